//! What an audit tells besides its verdict: counts, facts, reasons, and what to look for. RFC 8493 says what is a fault; that a person
//! can find it by what is told is kithbag's own rule.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod support;

use kithbag::audit::AuditReport;
use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::format::bagit::profile;
use kithbag::verdict::Outcome;
use std::fs;
use support::Bag;
use support::codes;
use support::verdicts;

/// A sound bag with one algorithm.
fn plain() -> Bag {
    Bag::sound().algorithms(&[Algorithm::Sha256])
}

/// What is told under a code, each time.
fn told(report: &AuditReport, code: &str) -> Vec<String> {
    let found = report.concerns.iter().filter(|one| one.code == code);
    found.map(|one| one.what.clone()).collect()
}

/// Where it is said to be.
fn places(report: &AuditReport, code: &str) -> Vec<Option<String>> {
    let found = report.concerns.iter().filter(|one| one.code == code);
    found.map(|one| one.place.file.clone()).collect()
}

#[test]
fn counts_are_told_in_words() {
    let stated = |oxum: &str| {
        let report = plain()
            .with("bag-info.txt", format!("Payload-Oxum: {oxum}\n"))
            .audit();
        told(&report, "bag-oxum-differs").concat()
    };
    assert!(stated("6.1").contains("holds 6 bytes in one file, but 6 bytes in 2 files are there"));
    assert!(stated("7.2").contains("holds 7 bytes in 2 files, but 6 bytes in 2 files"));
    assert_eq!(stated("6.2"), "");
    let left_out = |without: &[&str]| {
        let both = Bag::sound();
        let shorter = without
            .iter()
            .fold(both.clone(), |bag, path| bag.without(path));
        let bag = both.with("manifest-sha512.txt", shorter.manifest(Algorithm::Sha512));
        told(&bag.audit(), "bag-manifests-differ").concat()
    };
    assert!(left_out(&["data/b/c.txt"]).contains("leaves out one file "));
    let two = left_out(&["data/b/c.txt", "data/a.txt"]);
    assert!(
        two.contains("leaves out 2 files ") && two.contains("the first is “data/a.txt”"),
        "{two}"
    );
    let pending = |count: usize| {
        let lines: Vec<String> = (0..count)
            .map(|number| format!("https://x.example/a - data/{number}\n"))
            .collect();
        told(
            &plain().with("fetch.txt", lines.concat()).audit(),
            "bag-fetch-pending",
        )
        .concat()
    };
    assert!(pending(1).starts_with("One file is left to be fetched"));
    assert!(pending(3).starts_with("3 files are left to be fetched"));
}

/// Everything that is there, what was read of it, and the manifests' own checksums, which a receipt shows.
#[test]
fn facts_of_a_bag() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    let bag = plain()
        .with("data/new.txt", "12345")
        .with("notes.txt", "a note");
    let mut listed = bag.clone();
    listed.set("manifest-sha256.txt", plain().manifest(Algorithm::Sha256));
    listed.set(
        "bag-info.txt",
        "Payload-Oxum: 11.3\nContact-Name: Wilmot Sparke\n",
    );
    listed.write(&root);
    let report = support::audit_both(&root);
    assert_eq!(verdicts(&report), [("data/new.txt", "not listed")]);
    // Three of the payload, bagit.txt, bag-info.txt, notes.txt, manifest, tag manifest; the file that is not listed is not read.
    assert_eq!((report.seen.files, report.seen.files_read), (8, 7));
    let length = |path: &str| fs::metadata(root.join(path)).unwrap().len();
    let read: u64 = support::paths(&root)
        .iter()
        .filter(|path| *path != "data/new.txt")
        .map(|path| length(path))
        .sum();
    assert_eq!(report.seen.bytes_read, read);
    let facts = report.bag.unwrap();
    assert_eq!(facts.version, "1.0");
    assert_eq!((facts.payload.bytes, facts.payload.files), (11, 3));
    assert_eq!(facts.stated_payload, Some(facts.payload));
    assert_eq!(
        facts.info[1],
        ("Contact-Name".to_owned(), "Wilmot Sparke".to_owned())
    );
    let manifests: Vec<(&str, u64)> = facts
        .manifests
        .iter()
        .map(|one| (one.file.as_str(), one.lists))
        .collect();
    assert_eq!(
        manifests,
        [("manifest-sha256.txt", 2), ("tagmanifest-sha256.txt", 4)]
    );
    for one in &facts.manifests {
        let bytes = fs::read(root.join(&one.file)).unwrap();
        assert_eq!(
            one.digest,
            Some(Digest::of(Algorithm::Sha256, &bytes)),
            "{}",
            one.file
        );
        assert_eq!(one.algorithm, Some(Algorithm::Sha256));
    }
}

#[test]
fn every_file_is_named_when_that_is_asked_for() {
    let scratch = tempfile::tempdir().unwrap();
    plain().write(scratch.path());
    let named = |every_file: bool, quick: bool| {
        let options = kithbag::audit::AuditOptions {
            every_file,
            quick,
            ..Default::default()
        };
        let report = support::run_with(scratch.path(), &options);
        let counts: Vec<String> = report
            .counts
            .iter()
            .map(|(verdict, count)| format!("{} {count}", verdict.words()))
            .collect();
        (report.files.len(), counts.join(", "))
    };
    assert_eq!(named(false, false), (0, "unchanged 5".to_owned()));
    assert_eq!(named(true, false), (5, "unchanged 5".to_owned()));
    assert_eq!(named(false, true), (0, "there, but not read 5".to_owned()));
    assert_eq!(named(true, true), (5, "there, but not read 5".to_owned()));
}

/// 16 MB are far more than any such file has; it is refused and not held in memory.
#[test]
fn a_tag_file_of_absurd_length_is_refused() {
    let scratch = tempfile::tempdir().unwrap();
    let line = "Note: x\n";
    let limit = 16 * 1024 * 1024;
    for (length, is_refused) in [(limit, false), (limit + line.len(), true)] {
        let root = scratch.path().join(length.to_string());
        plain()
            .with("bag-info.txt", line.repeat(length / line.len()))
            .write(&root);
        let report = support::run(&root);
        assert_eq!(
            codes(&report).contains(&"bag-tag-file-unreadable".to_owned()),
            is_refused,
            "{length}"
        );
    }
}

/// A damaged zip: what the system said stands beside the file, and not its path a second time.
#[test]
fn why_a_file_could_not_be_read_is_told() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    // Every second file is deflated; random letters keep a length that can be damaged.
    let letters: String = (0..4_000_u32)
        .map(|number| char::from(b'a' + u8::try_from(number * number % 23).unwrap()))
        .collect();
    let bag = plain()
        .with("data/d.txt", &letters)
        .with("data/e.txt", &letters);
    bag.write(&root);
    let zip = scratch.path().join("bag.zip");
    support::zip_folder(&root, &zip);
    let mut bytes = fs::read(&zip).unwrap();
    let name = b"bag/data/e.txt";
    let mut at = bytes
        .windows(name.len())
        .position(|part| part == name)
        .unwrap()
        + name.len();
    if bytes[at..at + 40].iter().all(u8::is_ascii_lowercase) {
        let name = b"bag/data/d.txt";
        at = bytes
            .windows(name.len())
            .position(|part| part == name)
            .unwrap()
            + name.len();
    }
    for byte in &mut bytes[at..at + 12] {
        *byte = 0xFF;
    }
    fs::write(&zip, bytes).unwrap();
    let report = support::run(&zip);
    let bad: Vec<_> = report
        .files
        .iter()
        .filter(|one| one.verdict.words() == "unreadable")
        .collect();
    assert_eq!(bad.len(), 1, "{:?}", verdicts(&report));
    let detail = bad[0].detail.clone().unwrap_or_default();
    assert!(
        detail.len() > 5 && !detail.contains(&bad[0].path),
        "{detail}"
    );
    assert_eq!(report.valid, Some(false));
}

/// The zip's own check value is less than the manifest's checksum: where they disagree the file is sound, and the zip is not.
#[test]
fn a_wrong_check_value_in_a_zip_is_told() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    plain().write(&root);
    let zip = scratch.path().join("bag.zip");
    support::zip_folder(&root, &zip);
    assert_eq!(codes(&support::run(&zip)), Vec::<String>::new());
    let mut bytes = fs::read(&zip).unwrap();
    // In the directory at the end, the check value stands 30 bytes before the name. [APPNOTE 4.3.12]
    let name = b"bag/data/a.txt";
    let at = bytes.windows(name.len()).rposition(|part| part == name);
    bytes[at.unwrap() - 30] ^= 1;
    fs::write(&zip, bytes).unwrap();
    let report = support::run(&zip);
    let place = Some("data/a.txt".to_owned());
    assert_eq!(places(&report, "zip-check-value"), [place]);
    assert_eq!(report.valid, Some(true));
}

#[test]
fn what_a_missing_file_may_have_become_is_told() {
    let listed = plain().manifest(Algorithm::Sha256);
    let detail = |bag: &Bag, path: &str| {
        let report = bag.audit();
        let found = report.files.iter().find(|one| one.path == path);
        found.and_then(|one| one.detail.clone()).unwrap_or_default()
    };
    let gone = plain()
        .without("data/a.txt")
        .with("manifest-sha256.txt", &listed);
    assert_eq!(detail(&gone, "data/a.txt"), "");
    let renamed = gone.clone().with("data/z.txt", "hello\n");
    assert!(detail(&renamed, "data/a.txt").contains("it is now “data/z.txt”"));
    let twin = gone.clone().with("data/A.TXT", "other");
    assert!(detail(&twin, "data/a.txt").contains("“data/A.TXT” is there"));
    let to_fetch = gone.with("fetch.txt", "https://x.example/a 6 data/a.txt\n");
    assert!(detail(&to_fetch, "data/a.txt").contains("to be fetched"));
}

/// Two files that went and one that came: it is one of them under another name, and the other one is missing.
#[test]
fn one_file_is_the_new_name_of_one_only() {
    let before = plain().with("data/a2.txt", "hello\n");
    let bag = plain()
        .without("data/a.txt")
        .with("data/z.txt", "hello\n")
        .with("manifest-sha256.txt", before.manifest(Algorithm::Sha256));
    let report = bag.audit();
    assert_eq!(
        verdicts(&report),
        [
            ("data/a.txt", "renamed, contents unchanged"),
            ("data/a2.txt", "missing")
        ]
    );
}

/// A listed file that took on the contents of a missing one is a changed file, and no new name.
#[test]
fn a_listed_file_is_not_the_new_name_of_another() {
    let bag = plain()
        .without("data/a.txt")
        .with("data/b/c.txt", "hello\n")
        .with("manifest-sha256.txt", plain().manifest(Algorithm::Sha256));
    assert_eq!(
        verdicts(&bag.audit()),
        [("data/a.txt", "missing"), ("data/b/c.txt", "changed")]
    );
}

/// Lists that disagree about a file tell more than that the file was changed.
#[test]
fn lists_that_disagree_are_named() {
    let both = Bag::sound();
    let other = both.clone().with("data/a.txt", "other\n");
    let bag = both.with("manifest-sha512.txt", other.manifest(Algorithm::Sha512));
    let report = bag.audit();
    assert_eq!(verdicts(&report), [("data/a.txt", "changed")]);
    let detail = report.files[0].detail.clone().unwrap_or_default();
    assert!(
        detail.contains("agrees with manifest-sha256.txt but not with manifest-sha512.txt"),
        "{detail}"
    );
}

/// A file that agrees only with a list that was itself changed is not vouched for, and how many are so is told.
#[test]
fn what_only_changed_lists_vouch_for_is_counted() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    plain().write(&root);
    fs::write(root.join("data/a.txt"), "other\n").unwrap();
    let forged = plain()
        .with("data/a.txt", "other\n")
        .manifest(Algorithm::Sha256);
    fs::write(root.join("manifest-sha256.txt"), forged).unwrap();
    let report = support::audit_both(&root);
    let said = told(&report, "bag-list-changed").concat();
    assert!(said.starts_with("2 files agree only"), "{said}");
    assert_eq!(report.valid, Some(false));
}

#[test]
fn kinds_of_checksums_are_told_for_each_list() {
    let mut weak = plain().algorithms(&[Algorithm::Md5, Algorithm::Sha1, Algorithm::Sha256]);
    weak.with_tag_manifests = true;
    let notes = places(&weak.audit(), "bag-algorithm-weak");
    let expected = [
        "manifest-md5.txt",
        "manifest-sha1.txt",
        "tagmanifest-md5.txt",
        "tagmanifest-sha1.txt",
    ];
    let mut named: Vec<String> = notes.into_iter().flatten().collect();
    named.sort();
    assert_eq!(named, expected);
    assert!(places(&plain().audit(), "bag-algorithm-weak").is_empty());
}

/// Of names that other computers join or refuse twenty are told one by one; a list of thousands would hide everything else.
#[test]
fn at_most_twenty_awkward_names_are_told() {
    let mut bag = plain().without("bag-info.txt");
    for number in 0..30 {
        bag.set(&format!("data/twin-{number}.txt"), "x");
        bag.set(&format!("data/TWIN-{number}.txt"), "x");
    }
    let report = bag.audit();
    assert_eq!(told(&report, "bag-twin-names").len(), 20);
    let said = told(&report, "bag-twin-names");
    assert!(
        said.iter()
            .all(|one| one.contains("are one and the same name")),
        "{said:?}"
    );
    let mut bag = plain().without("bag-info.txt");
    for number in 0..30 {
        bag.set(&format!("data/what {number}?.txt"), "x");
    }
    assert_eq!(told(&bag.audit(), "bag-name-awkward").len(), 20);
}

/// Tag files that no tag manifest lists are told, litter and payload manifests are not.
#[test]
fn tag_files_that_are_not_vouched_for_are_told_by_name() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    plain().write(&root);
    fs::write(root.join("added.txt"), "x").unwrap();
    fs::write(root.join("Thumbs.db"), "x").unwrap();
    let report = support::audit_both(&root);
    // What nothing can be compared with is not read: two files of the payload and four tag files are.
    assert_eq!((report.seen.files, report.seen.files_read), (8, 6));
    let named: Vec<String> = places(&report, "bag-tag-file-not-listed")
        .into_iter()
        .flatten()
        .collect();
    assert_eq!(named, ["added.txt"]);
    assert_eq!(verdicts(&report), [("Thumbs.db", "harmless litter")]);
    assert!(
        report.files[0]
            .detail
            .as_ref()
            .unwrap()
            .contains("breaks no rule")
    );
    assert_eq!(report.valid, Some(true));
    let mut none = plain();
    none.with_tag_manifests = false;
    let report = none.audit();
    assert!(places(&report, "bag-tag-file-not-listed").is_empty());
    assert_eq!(told(&report, "bag-tag-manifest-missing").len(), 1);
}

/// [RFC8493 2.2.1] asks for no tag manifest. A package of kithbag's own has one, and without it the page in it could say anything.
#[test]
fn a_package_that_lost_its_tag_manifest_is_not_called_sound() {
    let own = profile::OWN[0].identifier;
    for (info, outcome, code) in [
        (
            "Bag-Software-Agent: another\n".to_owned(),
            Outcome::Sound,
            "bag-tag-manifest-missing",
        ),
        (
            format!("BagIt-Profile-Identifier: {own}\n"),
            Outcome::NotInOrder,
            "package-tag-manifest-missing",
        ),
    ] {
        let scratch = tempfile::tempdir().unwrap();
        let root = scratch.path().join("bag");
        plain().with("bag-info.txt", &info).write(&root);
        assert_eq!(support::audit_both(&root).outcome, Outcome::Sound);
        fs::remove_file(root.join("tagmanifest-sha256.txt")).unwrap();
        let report = support::audit_both(&root);
        assert_eq!(report.outcome, outcome, "{info}");
        // It is a bag by the rules all the same.
        assert_eq!((report.complete, report.valid), (Some(true), Some(true)));
        let missing = report.concerns.iter();
        let missing: Vec<&str> = missing
            .filter(|one| one.code.contains("tag-manifest-missing"))
            .map(|one| one.code.as_ref())
            .collect();
        assert_eq!(missing, [code]);
    }
}
