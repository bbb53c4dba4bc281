//! Later editions and the family tree in packages, made by the program from the Ravelock and Trevanick samples.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use serde_json::Value;
use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::path::PathBuf;
use std::process::Output;

mod support;

const FIRST_DAY: &str = "2026-11-25";
const SECOND_DAY: &str = "2027-03-01";
const THIRD_DAY: &str = "2028-03-01";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A collection of a test's own, and the place where its packages go.
struct Workshop {
    place: tempfile::TempDir,
    collection: PathBuf,
}

impl Workshop {
    fn with(sample: &str) -> Self {
        let place = tempfile::tempdir().unwrap();
        let collection = place.path().join(sample);
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        support::copy_folder(&samples.join(sample), &collection);
        Self { place, collection }
    }

    /// Replaces words in a sheet; they must be there.
    fn change(&self, sheet: &str, from: &str, to: &str) {
        let path = self.collection.join("catalogue").join(sheet);
        let before = fs::read_to_string(&path).unwrap();
        assert!(before.contains(from), "{sheet} does not hold {from}");
        fs::write(path, before.replacen(from, to, 1)).unwrap();
    }

    #[must_use]
    fn pack(&self, audience: &str, day: &str, more: &[&str]) -> Output {
        let into = self.place.path().join("out");
        let mut words = vec!["pack", text(&self.collection), "--for", audience];
        words.extend(["--into", text(&into), "--as-of", day, "--json"]);
        words.extend(more);
        support::program(&words)
    }

    /// Packs and returns where the package is, and what the program says of it.
    fn packed(&self, audience: &str, day: &str, more: &[&str]) -> (PathBuf, Value) {
        let output = self.pack(audience, day, more);
        let complaint = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{complaint}");
        let document: Value = serde_json::from_slice(&output.stdout).unwrap();
        (PathBuf::from(document["path"].as_str().unwrap()), document)
    }

    /// Replaces words in every sheet but that of the people.
    fn reword(&self, from: &str, to: &str) {
        let folder = self.collection.join("catalogue");
        for name in support::paths(&folder) {
            let path = folder.join(&name);
            let before = fs::read_to_string(&path).unwrap();
            if name != "people.csv" && before.contains(from) {
                fs::write(path, before.replace(from, to)).unwrap();
            }
        }
    }

    /// The changes that are planted in the collection between the first edition and the second.
    fn plant_changes(&self) {
        let sheet = "who-is-it.csv";
        // Piers supplies a dated letter: the old belief becomes surer, and a wrong name is given up.
        self.change(sheet, r#""P-01","possible""#, r#""P-01","probable""#);
        let (held, given_up) = (
            r#""The album leaf from behind","Imogen Ravelock","2026-01-20","yes","""#,
            r#""The album leaf from behind","Imogen Ravelock","2026-01-20","withdrawn","the letter names another man""#,
        );
        self.change(
            sheet,
            &format!(r#""anybody",{held}"#),
            &format!(r#""anybody",{given_up}"#),
        );
        self.change("words-found.csv", "TOLLEN 1948", "TOLLEN 1949");
        let scan = |name: &str| self.collection.join(name);
        fs::copy(scan("C-02/C-02-front.jpg"), scan("C-03/C-03-front.jpg")).unwrap();
        fs::copy(scan("C-01/C-01-back.jpg"), scan("C-01/C-01-label.jpg")).unwrap();
        let row = r#""C-01/C-01-back.jpg","","C-01","back""#;
        let new = format!(
            "\"C-01/C-01-label.jpg\",\"\",\"C-01\",\"label\",\"\",\"\",\"\",\"\",\"\",\"\",\"na\",\"untouched\",\"\",\"\",\"\",\"\"\n{row}"
        );
        self.change("scans.csv", row, &new);
    }
}

fn changes(document: &Value) -> Vec<String> {
    let editions = document["editions"].as_array().unwrap();
    let own = editions.last().unwrap();
    let told = own["changes"].as_array().map_or(&[][..], Vec::as_slice);
    told.iter()
        .map(|change| {
            let part = |name: &str| change[name].as_str().unwrap();
            format!("{} {}: {}", part("kind"), part("portrait"), part("what"))
        })
        .collect()
}

fn seal(package: &Path) -> String {
    let bytes = fs::read(package.join("manifest-sha256.txt")).unwrap();
    Digest::of(Algorithm::Sha256, &bytes).hex().to_owned()
}

#[test]
fn a_second_edition_tells_exactly_what_was_planted_and_a_third_carries_the_chain() {
    let workshop = Workshop::with("ravelock-gift");
    let (first, document) = workshop.packed("family", FIRST_DAY, &[]);
    assert_eq!(document["editions"], serde_json::json!([]));
    workshop.plant_changes();
    let (second, document) = workshop.packed("family", SECOND_DAY, &["--supersedes", text(&first)]);
    assert_eq!(
        changes(&document),
        [
            "claim-raised C-01: Jethro Ravelock: was possible, now probable.",
            "scan-added C-01: Added: the scan of the label (C-01/C-01-label.jpg).",
            "claim-withdrawn C-03: Jethro Ravelock: withdrawn (the letter names another man).",
            "scan-replaced C-03: Replaced: the scan of the front (C-03/C-03-front.jpg).",
            "words-corrected C-04: Words on the back: were “BRAM OSKELL / Portraits / TOLLEN 1948”, now “BRAM OSKELL / Portraits / TOLLEN 1949”.",
        ]
    );
    let zipped = workshop.place.path().join("second.zip");
    support::zip_folder(&second, &zipped);
    let (third, document) = workshop.packed("family", THIRD_DAY, &["--supersedes", text(&zipped)]);
    assert_eq!(changes(&document), [""; 0]);
    let seals: Vec<&str> = document["editions"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|one| one["sha256"].as_str())
        .collect();
    assert_eq!(seals, [seal(&first), seal(&second)]);
    for file in [
        "bag-info.txt",
        "data/log/events.json",
        "data/catalogue/record.json",
        "START-HERE.txt",
        "START-HERE.html",
    ] {
        let told = fs::read_to_string(third.join(file)).unwrap();
        for seal in [seal(&first), seal(&second)] {
            assert!(
                told.contains(&seal),
                "{file} does not hold the seal of an earlier edition"
            );
        }
    }
    assert!(
        fs::read_to_string(third.join("START-HERE.html"))
            .unwrap()
            .contains("was possible, now probable")
    );
    let audit = support::program(&["audit", text(&third), "--as-of", THIRD_DAY]);
    assert_eq!(audit.status.code(), Some(0));
}

#[test]
fn nothing_is_said_of_a_package_that_is_damaged_or_another() {
    let workshop = Workshop::with("ravelock-gift");
    let (first, _) = workshop.packed("family", FIRST_DAY, &[]);
    let refused = |output: &Output, code: i32, words: &str| {
        let said =
            String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{said}");
        assert!(said.contains(words), "{said}");
        assert!(
            !workshop
                .place
                .path()
                .join("out/ravelock-gift-public-2027-03-01")
                .exists()
        );
        assert!(
            !workshop
                .place
                .path()
                .join("out/ravelock-gift-family-2027-03-01")
                .exists()
        );
    };
    let superseding = ["--supersedes", text(&first)];
    refused(
        &workshop.pack("public", SECOND_DAY, &superseding),
        3,
        "another audience",
    );
    let other = Workshop::with("trevanick-pair");
    let (pair, _) = other.packed("family", FIRST_DAY, &[]);
    refused(
        &workshop.pack("family", SECOND_DAY, &["--supersedes", text(&pair)]),
        3,
        "no earlier edition",
    );
    let record = first.join("data/catalogue/record.json");
    let forged = fs::read_to_string(&record)
        .unwrap()
        .replacen("possible", "probable", 1);
    fs::write(record, forged).unwrap();
    refused(
        &workshop.pack("family", SECOND_DAY, &superseding),
        1,
        "record.json",
    );
}

#[test]
fn who_may_no_longer_be_named_is_not_named_by_what_changed() {
    let workshop = Workshop::with("ravelock-gift");
    let (first, _) = workshop.packed("family", FIRST_DAY, &[]);
    workshop.plant_changes();
    // Texts of today must not name him either, or nothing is packed; what the earlier package said is another matter.
    workshop.reword("Jethro", "the old man");
    workshop.change(
        "people.csv",
        r#""Tollen registers","","public""#,
        r#""Tollen registers","","nobody""#,
    );
    workshop.change(
        "portraits.csv",
        r#""Stamped on the back","","","","","","","With"#,
        r#""Stamped on the back","","","","","","nobody","With"#,
    );
    let (second, document) = workshop.packed("family", SECOND_DAY, &["--supersedes", text(&first)]);
    assert!(
        changes(&document).contains(
            &"portrait-removed C-04: Portrait C-04 is no longer in the package.".to_owned()
        )
    );
    for path in support::paths(&second) {
        let bytes = fs::read(second.join(&path)).unwrap();
        let holds = |word: &str| {
            bytes
                .windows(word.len())
                .any(|part| part == word.as_bytes())
        };
        assert!(!holds("Jethro Ravelock"), "{path}");
        assert!(!holds("OSKELL"), "{path}");
    }
}

fn family_tree(package: &Path) -> (String, Vec<(String, Vec<u8>)>) {
    let file = fs::File::open(package.join("data/family/family.gdz")).unwrap();
    let mut zip = zip::ZipArchive::new(file).unwrap();
    let mut files = Vec::new();
    for position in 0..zip.len() {
        let mut entry = zip.by_index(position).unwrap();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).unwrap();
        files.push((entry.name().unwrap().into_owned(), bytes));
    }
    let list = files.remove(0);
    assert_eq!(list.0, "gedcom.ged");
    (String::from_utf8(list.1).unwrap(), files)
}

#[test]
fn a_proved_sitter_is_in_the_family_tree_with_the_face_and_nobody_else_is() {
    let workshop = Workshop::with("trevanick-pair");
    let (before, _) = workshop.packed("family", FIRST_DAY, &[]);
    assert!(
        !before.join("data/family").exists(),
        "nobody is proved or probable in the sample"
    );
    let claim = r#""A-001","only one","","P-01","possible""#;
    workshop.change(
        "who-is-it.csv",
        claim,
        &claim.replace(
            r#""","P-01","possible""#,
            r#""0.25, 0.2, 0.5, 0.4","P-01","proved""#,
        ),
    );
    let (package, _) = workshop.packed("family", SECOND_DAY, &[]);
    let (list, pictures) = family_tree(&package);
    assert!(list.contains("1 NAME Edwin Marrack\n"));
    assert!(list.contains("2 CROP\n"));
    assert!(
        !list.contains("Enoch") && !list.contains("Loveday"),
        "{list}"
    );
    let names: Vec<&str> = pictures.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["media/A-001-front.jpg", "media/A-001-back.jpg"]);
    for (name, bytes) in &pictures {
        let viewing = package
            .join("data/viewing")
            .join(name.rsplit('/').next().unwrap());
        assert!(fs::read(viewing).unwrap() == *bytes, "{name}");
        assert!(list.contains(&format!("1 FILE {name}\n")));
    }
    assert_eq!(
        support::program(&["audit", text(&package), "--as-of", SECOND_DAY])
            .status
            .code(),
        Some(0)
    );
}

fn paper(package: &Path, name: &str) -> String {
    let folder = format!("{}-papers", text(package));
    let path = Path::new(&folder).join(name);
    fs::read_to_string(path).unwrap().replace("\r\n", "\n")
}

/// A text without its line breaks, so that words can be found that a line end parts.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<&str>>().join(" ")
}

#[test]
fn the_letter_to_a_descendant_tells_nothing_private() {
    let workshop = Workshop::with("ravelock-gift");
    let (package, document) = workshop.packed("family", FIRST_DAY, &[]);
    assert_eq!(
        document["papers"].as_str().unwrap(),
        format!("{}-papers", text(&package))
    );
    for name in ["letter-to-a-descendant.txt", "letter-to-a-descendant.html"] {
        let letter = flowing(&paper(&package, name));
        assert!(
            letter.contains("Imogen Ravelock"),
            "the sender says who they are"
        );
        assert!(letter.contains("accept “no”"));
        for private in [
            "Jethro",
            "Saskia",
            "Odo",
            "Piers",
            "Venn",
            "Marguerite",
            "Mill House",
            "01632",
            "mail.example",
            "Sallow",
            "Bureau",
        ] {
            assert!(!letter.contains(private), "{name}: {private}");
        }
    }
    let receipt = flowing(&paper(&package, "receipt-to-send-back.txt"));
    let seal = Digest::of(
        Algorithm::Sha256,
        &fs::read(package.join("manifest-sha256.txt")).unwrap(),
    );
    assert!(receipt.contains(&seal.in_groups()));
    assert!(receipt.contains("it gives away no property"));
}

#[test]
fn the_giver_is_asked_what_archives_ask_and_signs_nothing() {
    let workshop = Workshop::with("ravelock-gift");
    // Nothing is packed while a text names somebody who must not be named.
    workshop.reword("Saskia is not named", "One relative is not named");
    let (package, _) = workshop.packed("archive", FIRST_DAY, &[]);
    let worksheet = flowing(&paper(&package, "worksheet-for-the-giver.txt"));
    for asked in [
        "Only the archive’s own signed deed transfers anything",
        "Tollen County Historical Society",
        "Do you own the copyright, in all or in some? C-02, C-04: no C-01, C-03, C-05: not known",
        "C-05: until 1 January 2036, because: The bride is living",
        "C-01, C-02, C-03, C-04, C-05: return",
        "how, from whom and when did it come to you",
        "Accession number: ____",
        "This sheet transfers nothing",
        "A lawyer can tell you",
    ] {
        assert!(
            worksheet.to_lowercase().contains(&asked.to_lowercase()),
            "{asked}"
        );
    }
    assert!(!worksheet.to_lowercase().contains("signature"));
    let keeping = workshop.packed("keeping", FIRST_DAY, &[]);
    assert!(keeping.1["papers"].is_null());
}

/// The rows of the sample's EXPECTED.md: both branches for the United States, and the statement that nobody has judged.
#[test]
fn the_rights_worksheet_sets_out_both_branches_and_decides_nothing() {
    let workshop = Workshop::with("ravelock-gift");
    let (package, _) = workshop.packed("family", FIRST_DAY, &[]);
    let worksheet = flowing(&fs::read_to_string(package.join("data/rights.txt")).unwrap());
    assert!(worksheet.contains("worked out for the year 2026"));
    let about = |number: &str| {
        let rest = worksheet.split_once(&format!("{number} — ")).unwrap().1;
        rest.split_once(" — ")
            .map_or(rest, |(own, _)| own)
            .to_owned()
    };
    for (number, unpublished, published) in [
        ("C-01", "possibly ended", "possibly ended"),
        ("C-02", "end of 2027", "possibly ended with 2002"),
        ("C-03", "end of 2032", "possibly ended"),
        ("C-04", "end of 2060", "end of 2043"),
    ] {
        let own = about(number);
        assert!(
            own.contains("http://rightsstatements.org/vocab/CNE/1.0/"),
            "{own}"
        );
        let never = own
            .split_once("If it was never published, copyright: ")
            .unwrap()
            .1;
        let (never, soon) = never
            .split_once("If it was published soon after it was made, copyright: ")
            .unwrap();
        assert!(never.contains(unpublished), "{number}: {never}");
        assert!(soon.contains(published), "{number}: {soon}");
    }
    assert!(package.join("data/rights.html").is_file());
}
