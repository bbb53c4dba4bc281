//! Two copies of one package, damaged in different places: comparing says which copy of each file is good, mending puts the good
//! ones together, and the ledger tells what changed since the last time.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may fail loudly"
)]

mod support;

use kithbag::audit::AuditOptions;
use kithbag::audit::audit_all;
use kithbag::audit::compare;
use kithbag::audit::compare::Good;
use kithbag::audit::ledger::Ledger;
use kithbag::audit::ledger::LedgerLine;
use kithbag::fixity::Algorithm;
use kithbag::mend::MendError;
use kithbag::mend::MendReport;
use kithbag::mend::mend;
use kithbag::progress::Silent;
use kithbag::verdict::Outcome;
use std::fs;
use std::path::PathBuf;
use support::Bag;
use support::copy_folder;
use support::paths;
use support::run;
use support::verdicts;

/// A sound package and two copies of it, all in one folder.
struct Copies {
    scratch: tempfile::TempDir,
}

impl Copies {
    fn of(bag: &Bag) -> Self {
        let scratch = tempfile::tempdir().unwrap();
        let copies = Self { scratch };
        bag.write(&copies.path("sound/gift"));
        copy_folder(&copies.path("sound/gift"), &copies.path("a/gift"));
        copy_folder(&copies.path("sound/gift"), &copies.path("b/gift"));
        copies
    }

    fn path(&self, below: &str) -> PathBuf {
        self.scratch.path().join(below)
    }

    fn damage(&self, copy: &str, path: &str) {
        let full = self.path(copy).join("gift").join(path);
        let mut bytes = fs::read(&full).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        fs::write(full, bytes).unwrap();
    }

    fn remove(&self, copy: &str, path: &str) {
        fs::remove_file(self.path(copy).join("gift").join(path)).unwrap();
    }

    fn mend(&self, copies: &[&str]) -> Result<MendReport, MendError> {
        let copies: Vec<PathBuf> = copies.iter().map(|copy| self.path(copy)).collect();
        mend(&copies, &self.path("new"), 2, &Silent)
    }

    /// The new package has every file of the sound one, byte for byte, and no other.
    fn is_rebuilt(&self) {
        let (sound, new) = (self.path("sound/gift"), self.path("new/gift"));
        assert_eq!(paths(&sound), paths(&new));
        for path in paths(&sound) {
            let same = fs::read(sound.join(&path)).unwrap() == fs::read(new.join(&path)).unwrap();
            assert!(same, "{path}");
        }
    }
}

fn gift() -> Bag {
    let mut bag = Bag::sound().without("bag-info.txt");
    for number in 1..=4 {
        bag.set(
            &format!("data/portraits/C-0{number}.txt"),
            format!("portrait {number}"),
        );
    }
    bag.set("START-HERE.txt", "Start here.\n");
    bag.with("bag-info.txt", "External-Identifier: urn:uuid:1\n")
}

#[test]
fn a_package_is_rebuilt_from_two_damaged_copies() {
    let copies = Copies::of(&gift());
    for path in [
        "data/portraits/C-01.txt",
        "manifest-sha512.txt",
        "tagmanifest-sha256.txt",
    ] {
        copies.damage("a", path);
    }
    copies.remove("a", "data/portraits/C-02.txt");
    for path in [
        "data/portraits/C-03.txt",
        "bag-info.txt",
        "tagmanifest-sha512.txt",
    ] {
        copies.damage("b", path);
    }
    copies.remove("b", "bagit.txt");
    let renamed = copies.path("b/gift/data/portraits/renamed.txt");
    fs::rename(copies.path("b/gift/data/portraits/C-04.txt"), renamed).unwrap();
    copies.damage("a", "data/portraits/C-04.txt");
    fs::write(copies.path("a/gift/data/Thumbs.db"), "litter").unwrap();
    let before = paths(&copies.path("a"));

    let report = copies.mend(&["a/gift", "b/gift"]).unwrap();
    assert!(report.is_sound(), "{:?}", report.cannot_be_had);
    copies.is_rebuilt();
    assert_eq!(report.audit.unwrap().outcome, Outcome::Sound);
    assert!(report.taken.iter().all(|taken| taken.files > 0));
    assert_eq!(before, paths(&copies.path("a")), "the copies are only read");
}

#[test]
fn a_zip_is_as_good_a_copy_as_a_folder() {
    let copies = Copies::of(&gift());
    support::zip_folder(&copies.path("b/gift"), &copies.path("renamed by hand.zip"));
    copies.damage("a", "data/portraits/C-01.txt");
    let report = copies.mend(&["a/gift", "renamed by hand.zip"]).unwrap();
    assert!(report.is_sound());
    copies.is_rebuilt();
}

#[test]
fn nothing_is_built_when_one_file_cannot_be_had() {
    let copies = Copies::of(&gift());
    copies.damage("a", "data/portraits/C-01.txt");
    copies.damage("b", "data/portraits/C-01.txt");
    copies.remove("a", "START-HERE.txt");
    copies.remove("b", "START-HERE.txt");
    let report = copies.mend(&["a/gift", "b/gift"]).unwrap();
    assert!(!report.is_sound());
    let named: Vec<&str> = report.cannot_be_had.iter().map(|one| &*one.path).collect();
    assert_eq!(named, ["START-HERE.txt", "data/portraits/C-01.txt"]);
    assert!(report.verdict.starts_with("Nothing was built: 2 files are"));
    assert!(!copies.path("new").join("gift").exists());
    assert!(report.cannot_be_had[0].why.contains("no copy has it"));
    assert!(
        report.cannot_be_had[1]
            .why
            .contains("changed in every copy")
    );
}

#[test]
fn a_tag_manifest_that_was_cut_short_gives_way() {
    let copies = Copies::of(&gift());
    for algorithm in ["sha256", "sha512"] {
        let path = copies.path(&format!("a/gift/tagmanifest-{algorithm}.txt"));
        let text = fs::read_to_string(&path).unwrap();
        let first: String = text
            .lines()
            .take(2)
            .map(|line| format!("{line}\n"))
            .collect();
        fs::write(path, first).unwrap();
    }
    assert!(copies.mend(&["a/gift", "b/gift"]).unwrap().is_sound());
    copies.is_rebuilt();
}

#[test]
fn two_editions_are_not_mixed() {
    let copies = Copies::of(&gift());
    gift()
        .with("data/portraits/C-01.txt", "another story")
        .write(&copies.path("edition-2/gift"));
    let result = copies.mend(&["a/gift", "edition-2/gift"]);
    assert!(matches!(result, Err(MendError::DifferentPackages { .. })));
    assert!(!copies.path("new/gift").exists());
}

#[test]
fn an_existing_target_is_left_alone() {
    let copies = Copies::of(&gift());
    fs::create_dir_all(copies.path("new/gift")).unwrap();
    assert!(matches!(copies.mend(&["a/gift"]), Err(MendError::Store(_))));
    assert_eq!(fs::read_dir(copies.path("new/gift")).unwrap().count(), 0);
}

#[test]
fn a_bag_without_tag_manifests_can_be_mended_too() {
    let mut bag = gift();
    bag.with_tag_manifests = false;
    let copies = Copies::of(&bag);
    copies.damage("a", "data/portraits/C-01.txt");
    copies.damage("b", "manifest-sha256.txt");
    copies.remove("a", "manifest-sha512.txt");
    assert!(copies.mend(&["a/gift", "b/gift"]).unwrap().is_sound());
    copies.is_rebuilt();
}

fn compared(copies: &Copies) -> compare::Comparison {
    let options = AuditOptions::default();
    let (a, b) = (copies.path("a/gift"), copies.path("b/gift"));
    compare(&a, &b, &options, &Silent).unwrap()
}

#[test]
fn comparing_says_which_copy_is_good() {
    let copies = Copies::of(&gift());
    let same = compared(&copies);
    assert!(
        same.is_sound() && same.differences.is_empty(),
        "{}",
        same.verdict
    );
    assert!(same.verdict.starts_with("Both copies are the same"));
    copies.damage("a", "data/portraits/C-01.txt");
    copies.damage("b", "data/portraits/C-02.txt");
    copies.damage("a", "data/portraits/C-03.txt");
    copies.remove("b", "data/portraits/C-03.txt");
    copies.remove("b", "data/portraits/C-04.txt");
    fs::write(copies.path("b/gift/data/extra.txt"), "x").unwrap();
    let found = compared(&copies);
    assert!(!found.is_sound());
    let told: Vec<(&str, Good)> = found
        .differences
        .iter()
        .map(|one| (&*one.path, one.good))
        .collect();
    assert_eq!(
        told,
        [
            ("data/extra.txt", Good::Neither),
            ("data/portraits/C-01.txt", Good::Second),
            ("data/portraits/C-02.txt", Good::First),
            ("data/portraits/C-03.txt", Good::Neither),
            ("data/portraits/C-04.txt", Good::First),
        ]
    );
}

/// When somebody changed a file and its manifest together, the tag manifest still tells which copy is good.
#[test]
fn comparing_sees_through_a_changed_manifest() {
    let copies = Copies::of(&gift());
    let changed = gift().with("data/portraits/C-01.txt", "another story");
    let write = |path: &str, bytes: &str| {
        fs::write(copies.path("a/gift").join(path), bytes).unwrap();
    };
    write("data/portraits/C-01.txt", "another story");
    for algorithm in [Algorithm::Sha256, Algorithm::Sha512] {
        write(
            &format!("manifest-{algorithm}.txt"),
            &changed.manifest(algorithm),
        );
    }
    let found = compared(&copies);
    let of = |path: &str| {
        found
            .differences
            .iter()
            .find(|one| one.path == path)
            .unwrap()
            .good
    };
    assert_eq!(of("data/portraits/C-01.txt"), Good::Second);
    assert_eq!(of("manifest-sha256.txt"), Good::Second);
    assert_eq!(found.first.outcome, Outcome::Damaged);
}

#[test]
fn the_ledger_tells_what_changed_and_what_is_due() {
    let copies = Copies::of(&gift());
    let path = copies.path("a/gift");
    let day = |text: &str| text.parse::<jiff::civil::Date>().unwrap();
    let first = LedgerLine::new(&run(&path), day("2026-11-25"), None);
    assert_eq!(first.next_check, "2027-11-25");
    assert_eq!(first.identifier.as_deref(), Some("urn:uuid:1"));
    let ledger = Ledger::read(&format!("{}\nnot a line\n", first.to_json()));
    assert_eq!(ledger.unreadable, [2]);
    assert_eq!(ledger.last(&run(&path)), Some(&first));
    assert_eq!(
        ledger.since(&run(&path)).unwrap(),
        "Nothing changed since 2026-11-25."
    );
    assert!(ledger.due(day("2027-11-24")).is_empty());
    assert_eq!(ledger.due(day("2027-11-25"))[0].package, "gift");

    copies.damage("a", "data/portraits/C-01.txt");
    let damaged = run(&path);
    let told = ledger.since(&damaged).unwrap();
    assert!(told.contains("now it is “Damaged”"), "{told}");
    assert!(
        told.contains("new: data/portraits/C-01.txt: changed"),
        "{told}"
    );
    let second = LedgerLine::new(&damaged, day("2027-11-25"), Some(&first));
    let text = format!("{}\n{}\n", first.to_json(), second.to_json());
    copies.damage("a", "data/portraits/C-01.txt");
    let told = Ledger::read(&text).since(&run(&path)).unwrap();
    assert!(told.contains("settled: data/portraits/C-01.txt"), "{told}");

    let quick = AuditOptions {
        quick: true,
        ..AuditOptions::default()
    };
    let glance = support::run_with(&path, &quick);
    let line = LedgerLine::new(&glance, day("2027-12-01"), Some(&second));
    assert_eq!(
        line.next_check, second.next_check,
        "a quick look puts nothing off"
    );
}

#[test]
fn many_packages_in_one_run_and_the_bad_ones_stop_nothing() {
    let copies = Copies::of(&gift());
    copies.damage("a", "data/portraits/C-01.txt");
    support::zip_folder(&copies.path("b/gift"), &copies.path("zipped.zip"));
    let whole = fs::read(copies.path("zipped.zip")).unwrap();
    fs::write(copies.path("cut.zip"), &whole[..whole.len() / 2]).unwrap();
    let mut heard = Vec::new();
    let places = [copies.path(""), copies.path("nowhere")];
    let all = audit_all(&places, &AuditOptions::default(), &Silent, |one| {
        heard.push(one.path.clone());
    });
    let told: Vec<String> = all
        .iter()
        .map(|one| {
            let below = one.path.strip_prefix(copies.path("")).unwrap();
            let what = match &one.result {
                Ok(report) => report.outcome.words(),
                Err(_) => "could not be done",
            };
            format!("{}: {what}", below.display())
        })
        .collect();
    assert_eq!(
        told,
        [
            "a/gift: Damaged",
            "b/gift: Sound",
            "cut.zip: Damaged",
            "sound/gift: Sound",
            "zipped.zip: Sound",
            "nowhere: could not be done",
        ]
    );
    assert_eq!(heard.len(), 6);
}

/// A zip cut anywhere is damage and never a fault of ours.
#[test]
fn a_zip_cut_anywhere_is_damage() {
    let copies = Copies::of(&Bag::sound().algorithms(&[Algorithm::Md5]));
    let zip = copies.path("gift.zip");
    support::zip_folder(&copies.path("b/gift"), &zip);
    let whole = fs::read(&zip).unwrap();
    for length in (0..whole.len()).step_by(7) {
        fs::write(&zip, &whole[..length]).unwrap();
        let report = run(&zip);
        assert_eq!(report.outcome, Outcome::Damaged, "{length}");
        assert_eq!(report.seen.files_read, 0);
    }
}

/// One byte changed anywhere in a zip package is never called sound, unless the byte is one that nobody reads.
#[test]
fn every_byte_of_a_zip_counts() {
    let copies = Copies::of(&Bag::sound().algorithms(&[Algorithm::Sha256]));
    let zip = copies.path("gift.zip");
    support::zip_folder(&copies.path("b/gift"), &zip);
    let whole = fs::read(&zip).unwrap();
    for position in 0..whole.len() {
        let mut changed = whole.clone();
        changed[position] ^= 0x01;
        fs::write(&zip, &changed).unwrap();
        let report = run(&zip);
        if report.is_sound() {
            let contents_are_as_they_were = verdicts(&report).is_empty();
            assert!(contents_are_as_they_were, "{position}");
        }
    }
}

/// What is said in JSON keeps to the published schemas.
#[test]
fn reports_keep_to_their_schemas() {
    let schema = |name: &str| {
        let all = kithbag::audit::schemas::PUBLISHED.iter();
        let mut all = all.chain([&kithbag::mend::PUBLISHED_SCHEMA]);
        let (_, text, _) = all.find(|(file, _, _)| *file == name).unwrap();
        jsonschema::validator_for(&serde_json::from_str(text).unwrap()).unwrap()
    };
    let keeps = |name: &str, value: serde_json::Value| {
        let errors: Vec<String> = schema(name)
            .iter_errors(&value)
            .map(|error| error.to_string())
            .collect();
        assert_eq!(errors, Vec::<String>::new(), "{name}");
    };
    let copies = Copies::of(&gift());
    copies.damage("a", "data/portraits/C-01.txt");
    copies.remove("a", "data/portraits/C-02.txt");
    let report = run(&copies.path("a/gift"));
    keeps(
        "audit-report.schema.json",
        serde_json::to_value(&report).unwrap(),
    );
    let line = LedgerLine::new(&report, "2026-11-25".parse().unwrap(), None);
    keeps(
        "ledger-line.schema.json",
        serde_json::to_value(line).unwrap(),
    );
    let comparison = compared(&copies);
    keeps(
        "comparison.schema.json",
        serde_json::to_value(comparison).unwrap(),
    );
    let mended = copies.mend(&["a/gift", "b/gift"]).unwrap();
    keeps(
        "mend-report.schema.json",
        serde_json::to_value(mended).unwrap(),
    );
}
