//! The gift of samples/ravelock-gift through the program: what must not leave does not, in any byte of any file, and everything that
//! was left out is listed without being said.
//!
//! What is expected stands in the sample's EXPECTED.md. Everything in it is invented.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod bytes;

mod support;

use bytes::Needle;
use bytes::members;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Output;

const DAY: &str = "2026-11-25";
const OUTGOING: [&str; 3] = ["archive", "family", "public"];

fn sample() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/ravelock-gift")
}

#[must_use]
fn kithbag(words: &[&str]) -> Output {
    support::program(&[words, &["--as-of", DAY]].concat())
}

fn pack_with(collection: &Path, audience: &str, into: &Path, more: &[&str]) -> (i32, String) {
    let (from, into) = (collection.to_str().unwrap(), into.to_str().unwrap());
    let mut words = vec!["pack", from, "--for", audience, "--into", into];
    words.extend(more);
    let output = kithbag(&words);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let complained = String::from_utf8_lossy(&output.stderr);
    (output.status.code().unwrap(), format!("{said}{complained}"))
}

fn name(audience: &str) -> String {
    format!("ravelock-gift-{audience}-{DAY}")
}

/// The list that a person answers, with each answer given by `answer` from the line's text.
fn answered(list: &Path, answer: impl Fn(&str) -> &'static str) -> PathBuf {
    let text = fs::read_to_string(list).unwrap();
    let mut lines = text.split_inclusive("\r\n");
    let mut filled = lines.next().unwrap().to_owned();
    for line in lines {
        let rest = line.strip_prefix("\"\"").unwrap();
        filled.push_str(&format!("\"{}\"{rest}", answer(rest)));
    }
    let path = list.with_extension("answered.csv");
    fs::write(&path, filled).unwrap();
    path
}

/// Packs as a careful giver does: looks at the list, says yes where it may be said, and packs with it.
fn pack_answered(collection: &Path, audience: &str, into: &Path) -> PathBuf {
    let looked = into.join("looked");
    let (_, said) = pack_with(collection, audience, &looked, &[]);
    let list = looked.join(format!("{}-living.csv", name(audience)));
    let mut more = Vec::new();
    let answers;
    if list.exists() {
        answers = answered(&list, |line| {
            if line.contains("yes / no") {
                "yes"
            } else {
                "no"
            }
        });
        more = vec!["--yes-living", answers.to_str().unwrap()];
    }
    let (code, again) = pack_with(collection, audience, into, &more);
    assert_eq!(code, 0, "{audience}: {said}\n{again}");
    into.join(name(audience))
}

/// Everything that must not be in any byte of a package, whatever is answered.
fn withheld_values(audience: &str) -> Vec<Needle> {
    let mut values = vec![
        "Saskia",
        "Venn",
        "Odo Venn",
        "Odo is nine",
        "Sallow Lane",
        "Marguerite",
        "Aldous",
        "01632 960155",
        "Mill House",
        "Bureau, second drawer",
    ];
    if audience != "archive" {
        values.extend([
            "imogen.ravelock@mail.example",
            "PX4-77120-INVENTED",
            "47.875297",
        ]);
    }
    if audience == "public" {
        values.extend(["Imogen", "Piers"]);
    }
    let mut needles: Vec<Needle> = values.into_iter().map(Needle::text).collect();
    if audience != "archive" {
        // Whoever had the original's checksum could try places until one fits.
        let original = fs::read(sample().join("C-01/C-01-front.jpg")).unwrap();
        let digest = kithbag::fixity::Digest::of(kithbag::fixity::Algorithm::Sha256, &original);
        needles.push(Needle::text(digest.hex()));
    }
    if audience != "archive" {
        // The second fraction of the place, 3107/100 and 5562/100, in both orders of bytes.
        for (number, hundred) in [(3107_u32, 100_u32), (5562, 100)] {
            let big = [number.to_be_bytes(), hundred.to_be_bytes()].concat();
            let little = [number.to_le_bytes(), hundred.to_le_bytes()].concat();
            needles.push(Needle::bytes("a place", &big));
            needles.push(Needle::bytes("a place", &little));
        }
    }
    needles
}

#[test]
fn nothing_that_is_withheld_is_in_any_byte_of_the_three_packages() {
    let place = tempfile::tempdir().unwrap();
    for audience in OUTGOING {
        let package = pack_answered(&sample(), audience, &place.path().join(audience));
        let needles = withheld_values(audience);
        let all = members(&package);
        assert!(
            all.len() > 25,
            "{audience}: only {} files and members",
            all.len()
        );
        for (file, bytes) in &all {
            for needle in &needles {
                assert!(!needle.is_in(bytes), "{audience}: {needle} is in {file}");
            }
        }
    }
}

#[test]
fn the_search_finds_everything_in_the_package_for_own_keeping() {
    let place = tempfile::tempdir().unwrap();
    let (code, said) = pack_with(&sample(), "keeping", place.path(), &[]);
    assert_eq!(code, 0, "{said}");
    let all = members(&place.path().join(name("keeping")));
    let is_found = |needle: &Needle| all.iter().any(|(_, bytes)| needle.is_in(bytes));
    let needles = withheld_values("public");
    let (places, texts): (Vec<&Needle>, Vec<&Needle>) = needles
        .iter()
        .partition(|needle| needle.told() == "a place");
    assert!(places.into_iter().filter(|needle| is_found(needle)).count() == 2);
    // The place stands in the file as fractions, not as a decimal number.
    for needle in texts
        .into_iter()
        .filter(|needle| needle.told() != "47.875297")
    {
        assert!(is_found(needle), "{needle} is nowhere");
    }
}

#[test]
fn the_search_finds_what_hides() {
    let place = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| fs::write(place.path().join(name), bytes).unwrap();
    let wide = |turn: fn(u16) -> [u8; 2], text: &str| -> Vec<u8> {
        text.encode_utf16().flat_map(turn).collect()
    };
    write("little", &wide(u16::to_le_bytes, "xx Zoë Little"));
    write("big", &wide(u16::to_be_bytes, "xx Zoë Big"));
    write("latin", b"Zo\xeb Latin");
    write("upper", "ZOË UPPER".to_lowercase().as_bytes());
    write(
        "base64",
        base64::Engine::encode(
            &base64::engine::general_purpose::STANDARD,
            "some more words, Zoë Sixtyfour, and more",
        )
        .as_bytes(),
    );
    let mut deflated = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    std::io::Write::write_all(&mut deflated, "Zoë Deflated".as_bytes()).unwrap();
    let content = [b"Comment\0\0".as_slice(), &deflated.finish().unwrap()].concat();
    let length = u32::try_from(content.len()).unwrap().to_be_bytes();
    write(
        "png",
        &[
            b"\x89PNG\r\n\x1a\n".as_slice(),
            &length,
            b"zTXt",
            &content,
            &[0; 4],
        ]
        .concat(),
    );
    let mut inner = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    inner
        .start_file("sheet.xml", zip::write::SimpleFileOptions::default())
        .unwrap();
    std::io::Write::write_all(&mut inner, "Zoë Zipped".as_bytes()).unwrap();
    write("xlsx", inner.finish().unwrap().get_ref());
    let all = members(place.path());
    for text in [
        "Zoë Little",
        "Zoë Big",
        "Zoë Latin",
        "Zoë Upper",
        "Zoë Sixtyfour",
        "Zoë Deflated",
        "Zoë Zipped",
        "base64",
    ] {
        assert!(
            all.iter().any(|(_, bytes)| Needle::text(text).is_in(bytes)),
            "{text}"
        );
    }
    assert!(
        !all.iter()
            .any(|(_, bytes)| Needle::text("Zoë Nowhere").is_in(bytes))
    );
}

#[test]
fn everything_that_was_left_out_is_listed_without_being_said() {
    let place = tempfile::tempdir().unwrap();
    let expected: [(&str, &[&str]); 3] = [
        (
            "archive",
            &[
                "The whole portrait (C-07)",
                "A person (P-04, P-05, P-06)",
                "Where it is stored (C-01, C-02, C-03, C-04, C-05)",
                "How to reach the giver (L-01)",
                "Who else receives a package (R-01, R-02, R-03, R-04)",
                "C-01-front: camera serial number, place (GPS)",
            ],
        ),
        (
            "family",
            &[
                "The whole portrait (C-05), since it is held back until 2036-01-01",
                "The whole portrait (C-07)",
                "A person (P-04, P-05, P-06)",
                "How to reach the keeper",
                "How to reach the giver (L-01)",
                "C-01-front: camera serial number, place (GPS)",
            ],
        ),
        (
            "public",
            &[
                "The whole portrait (C-05, C-07)",
                "An altered version (C-06)",
                "A person (P-02, P-03, P-04, P-05, P-06)",
                "Where the original is now",
                "From whom it came (L-01)",
                "How to reach the giver (L-01)",
            ],
        ),
    ];
    for (audience, lines) in expected {
        let package = pack_answered(&sample(), audience, &place.path().join(audience));
        let text = fs::read_to_string(package.join("data/withheld.txt")).unwrap();
        for line in lines {
            assert!(text.contains(line), "{audience}: {line}\n{text}");
        }
        // Each thing stands once.
        let mut told: Vec<&str> = text
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .collect();
        let count = told.len();
        told.sort_unstable();
        told.dedup();
        assert_eq!(told.len(), count, "{text}");
    }
}

#[test]
fn the_packages_hold_what_each_audience_is_promised() {
    let place = tempfile::tempdir().unwrap();
    let pack = |audience: &str| pack_answered(&sample(), audience, &place.path().join(audience));
    let (archive, family, public) = (pack("archive"), pack("family"), pack("public"));
    let has = |package: &Path, path: &str| package.join("data").join(path).exists();
    assert!(has(&archive, "originals/C-01/C-01-front.jpg"));
    assert!(has(&archive, "portraits/C-05/C-05-front.jpg"));
    assert!(!has(&family, "originals") && !has(&public, "originals"));
    assert!(!has(&family, "portraits/C-05") && !has(&public, "portraits/C-05"));
    assert!(has(&family, "portraits/C-06") && !has(&public, "portraits/C-06"));
    for package in [&archive, &family, &public] {
        assert!(!has(package, "portraits/C-07") && has(package, "portraits/C-01"));
    }
    let record =
        |package: &Path| fs::read_to_string(package.join("data/catalogue/record.json")).unwrap();
    assert!(
        record(&archive).contains("Piers Ravelock") && record(&family).contains("Piers Ravelock")
    );
    assert!(record(&public).contains("Jethro Ravelock"));
    // The society is no living person: its name stays in the story.
    assert!(record(&public).contains("Tollen County Historical Society"));
}

/// A fact that a file says twice, in Exif and in XMP, is listed once; what originals hold is told before the archive gets them.
#[test]
fn each_private_fact_is_told_once_and_before_an_archive_gets_it() {
    let place = tempfile::tempdir().unwrap();
    let collection = place.path().join("ravelock-gift");
    support::copy_folder(sample().as_ref(), &collection);
    let scan = collection.join("C-01/C-01-front.jpg");
    let jpeg = fs::read(&scan).unwrap();
    fs::write(&scan, bytes::with_place_in_xmp(&jpeg)).unwrap();
    let out = place.path().join("out");
    let (_, said) = pack_with(&collection, "archive", &out, &[]);
    let told = said
        .find("holds: camera serial number, place (GPS).")
        .unwrap();
    assert!(
        told < said.find("About people who may be living").unwrap(),
        "{said}"
    );
    let (code, said) = pack_with(&collection, "family", &out, &[]);
    assert_eq!(code, 0, "{said}");
    let package = out.join(name("family"));
    let withheld = fs::read_to_string(package.join("data/withheld.txt")).unwrap();
    assert_eq!(withheld.matches("GPS").count(), 1, "{withheld}");
    let log = fs::read_to_string(package.join("data/log/events.json")).unwrap();
    assert!(
        log.contains("Taken out of the copy for this audience: camera serial number, place (GPS)."),
        "{log}"
    );
}

#[test]
fn without_a_reviewed_list_people_who_agreed_are_left_out_and_the_list_says_so() {
    let place = tempfile::tempdir().unwrap();
    let (code, said) = pack_with(&sample(), "family", place.path(), &[]);
    assert_eq!(code, 0, "{said}");
    assert!(
        said.contains("--yes-living") && said.contains("People, P-03"),
        "{said}"
    );
    let record = fs::read_to_string(
        place
            .path()
            .join(name("family"))
            .join("data/catalogue/record.json"),
    )
    .unwrap();
    assert!(!record.contains("Piers"), "Piers was not left out");
    let list =
        fs::read_to_string(place.path().join(format!("{}-living.csv", name("family")))).unwrap();
    assert!(
        list.contains("Piers Ravelock") && !list.contains("Saskia"),
        "{list}"
    );
}

#[test]
fn every_package_names_the_profile_of_its_audience_and_meets_it_alone() {
    let place = tempfile::tempdir().unwrap();
    let schemas = Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas");
    let all = ["keeping", "archive", "family", "public"];
    for audience in all {
        let package = pack_answered(&sample(), audience, &place.path().join(audience));
        let info = fs::read_to_string(package.join("bag-info.txt")).unwrap();
        for other in all {
            let profile = schemas.join(format!("package-profile-{other}.json"));
            let output = kithbag(&[
                "audit",
                package.to_str().unwrap(),
                "--profile",
                profile.to_str().unwrap(),
            ]);
            let meets = output.status.code() == Some(0);
            assert_eq!(
                meets,
                other == audience,
                "{audience} {other}: {}",
                String::from_utf8_lossy(&output.stdout)
            );
            let text: serde_json::Value =
                serde_json::from_slice(&fs::read(profile).unwrap()).unwrap();
            let named = text["BagIt-Profile-Info"]["BagIt-Profile-Identifier"]
                .as_str()
                .unwrap();
            assert_eq!(info.contains(named), other == audience);
        }
    }
}

/// A copy of the sample with one cell changed.
fn changed(to: &Path, sheet: &str, from: &str, into: &str) {
    support::copy_folder(sample().as_ref(), to);
    let path = to.join("catalogue").join(sheet);
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{text}");
    fs::write(&path, text.replacen(from, into, 1)).unwrap();
}

#[test]
fn free_text_about_somebody_who_refused_blocks_until_a_person_decides() {
    let place = tempfile::tempdir().unwrap();
    let collection = place.path().join("ravelock-gift");
    changed(
        &collection,
        "clues.csv",
        "The giver, from her grandmother",
        "Told by Saskia, telephone 01632 960777",
    );
    let out = place.path().join("out");
    let (code, said) = pack_with(&collection, "family", &out, &[]);
    assert_eq!(code, 1, "{said}");
    assert!(
        said.contains("stop") && said.contains("Clues, K-01, source"),
        "{said}"
    );
    assert!(!out.join(name("family")).exists());
    let list = out.join(format!("{}-living.csv", name("family")));

    let answers = answered(
        &list,
        |line| if line.contains("K-01") { "yes" } else { "no" },
    );
    let (code, said) = pack_with(
        &collection,
        "family",
        &out,
        &["--yes-living", answers.to_str().unwrap()],
    );
    assert_eq!(
        code, 1,
        "nobody may say yes for somebody who refused: {said}"
    );

    let answers = answered(&list, |_| "no");
    let (code, said) = pack_with(
        &collection,
        "family",
        &out,
        &["--yes-living", answers.to_str().unwrap()],
    );
    assert_eq!(code, 0, "{said}");
    let clues =
        fs::read_to_string(out.join(name("family")).join("data/catalogue/clues.csv")).unwrap();
    assert!(
        clues.contains("Told by a descendant, telephone [held back]"),
        "{clues}"
    );
}

#[test]
fn a_list_that_does_not_match_what_would_leave_now_is_refused() {
    let place = tempfile::tempdir().unwrap();
    let collection = place.path().join("ravelock-gift");
    changed(
        &collection,
        "clues.csv",
        "The giver, from her grandmother",
        "Told by Saskia",
    );
    let out = place.path().join("out");
    let _ = pack_with(&collection, "family", &out, &[]);
    let list = out.join(format!("{}-living.csv", name("family")));
    let answers = answered(&list, |_| "no");
    let refused = |code: &str, list: &Path| {
        let more = ["--yes-living", list.to_str().unwrap(), "--json"];
        let (exit, said) = pack_with(&collection, "family", &out, &more);
        assert!(exit == 1 && said.contains(code), "{code}: {said}");
    };
    // The words in the list were changed.
    let edited = out.join("edited.csv");
    let text = fs::read_to_string(&answers).unwrap();
    fs::write(&edited, text.replace("Told by Saskia", "Told by nobody")).unwrap();
    refused("living-list-changed", &edited);
    // An answer that is none.
    fs::write(&edited, text.replacen("\"no\"", "\"perhaps\"", 1)).unwrap();
    refused("living-answer-unknown", &edited);
    // Some other sheet.
    fs::write(&edited, "\"a\",\"b\"\r\n\"no\",\"x\"\r\n").unwrap();
    refused("not-a-living-list", &edited);
    // A line was taken out.
    let short: String = text
        .split_inclusive("\r\n")
        .filter(|line| !line.contains("K-01"))
        .collect();
    fs::write(&edited, short).unwrap();
    refused("living-list-lacks", &edited);
    // The collection changed after the list was made.
    let clues = collection.join("catalogue/clues.csv");
    let words = fs::read_to_string(&clues).unwrap();
    fs::write(
        &clues,
        words.replace("Told by Saskia", "Told by Saskia and Odo"),
    )
    .unwrap();
    refused("living-list-out-of-date", &answers);
    refused("living-list-lacks", &answers);
    // The new list carries the answers that still hold.
    let newest = fs::read_dir(&out)
        .unwrap()
        .filter_map(|entry| fs::read_to_string(entry.unwrap().path()).ok())
        .find(|text| text.contains("Told by Saskia and Odo"))
        .unwrap();
    assert!(
        newest.contains("\"\",\"no / not them\"") && newest.contains("\"no\",\"yes / no\""),
        "{newest}"
    );
    assert!(!out.join(name("family")).exists());
}

#[test]
fn captions_that_other_programs_wrote_are_searched() {
    let place = tempfile::tempdir().unwrap();
    let collection = place.path().join("ravelock-gift");
    support::copy_folder(sample().as_ref(), &collection);
    let scan = collection.join("C-02/C-02-front.jpg");
    let jpeg = fs::read(&scan).unwrap();
    fs::write(
        &scan,
        bytes::with_iptc_caption(&jpeg, "Taken with Saskia Venn at the mill"),
    )
    .unwrap();
    let scan = collection.join("C-02/C-02-back.jpg");
    let jpeg = fs::read(&scan).unwrap();
    // A comment, which no description is read from. [T81 B.2.4.5]
    let comment = [
        &jpeg[..2],
        b"\xff\xfe\0\x16scanned for Odo Venn",
        &jpeg[2..],
    ]
    .concat();
    fs::write(&scan, comment).unwrap();
    let out = place.path().join("out");
    for audience in OUTGOING {
        let (code, said) = pack_with(&collection, audience, &out, &[]);
        assert_eq!(code, 1, "{audience}: {said}");
        assert!(
            said.contains("Inside C-02/C-02-front.jpg: IPTC caption"),
            "{audience}: {said}"
        );
        assert!(
            said.contains("Somewhere in the bytes of C-02/C-02-back.jpg"),
            "{audience}: {said}"
        );
        let list = out.join(format!("{}-living.csv", name(audience)));
        let answers = answered(&list, |line| {
            if line.contains("yes / no") {
                "yes"
            } else {
                "no"
            }
        });
        let (code, said) = pack_with(
            &collection,
            audience,
            &out,
            &["--yes-living", answers.to_str().unwrap()],
        );
        assert_eq!(code, 0, "{audience}: {said}");
        let package = out.join(name(audience));
        assert!(!package.join("data/portraits/C-02/C-02-front.jpg").exists());
        for (file, bytes) in members(&package) {
            for text in ["Saskia", "Odo Venn"] {
                assert!(!Needle::text(text).is_in(&bytes), "{audience}: {file}");
            }
        }
    }
}
