//! `survey --people`: the People sheet is filled from a family tree file, and nothing that stands in it is changed.
//!
//! The trees are invented; the forms are those of `FamilySearch` GEDCOM 7.0 and of GEDCOM 5.5.1.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may fail loudly"
)]

use kithbag::catalogue;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Person;
use kithbag::survey;
use kithbag::survey::SheetForm;
use kithbag::survey::Survey;
use kithbag::survey::SurveyOptions;
use std::fs;
use std::path::Path;
use std::path::PathBuf;

mod support;

const NEWER: &str = "0 HEAD\n1 GEDC\n2 VERS 7.0\n\
    0 @I1@ INDI\n1 NAME Edwin /Marrack/\n1 BIRT\n2 DATE 1831\n2 PLAC Porthenys\n1 DEAT\n2 DATE 4 NOV 1884\n\
    0 @I2@ INDI\n1 NAME Zoë /Ångström/\n1 BIRT\n2 DATE ABT 1862\n1 DEAT Y\n\
    0 @I3@ INDI\n1 NAME Enoch /Marrack/\n1 BIRT\n2 DATE 1840\n\
    0 @I4@ INDI\n1 NAME Jan /Rowse/\n1 BIRT\n2 DATE JULIAN 5 MAY 1730\n0 TRLR\n";

/// A collection without pictures, with the sample's People sheet.
fn collection(form: SheetForm) -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/trevanick-pair/catalogue");
    if form == SheetForm::Csv {
        support::copy_folder(&sample, &place.path().join("catalogue"));
    }
    place
}

fn survey_with(root: &Path, tree: &[u8], form: SheetForm) -> Survey {
    let file = root.join("tree.ged");
    fs::write(&file, tree).unwrap();
    survey::survey(root, &options(Some(file), form), &Silent).unwrap()
}

fn options(people: Option<PathBuf>, sheets: SheetForm) -> SurveyOptions {
    SurveyOptions {
        as_of: jiff::civil::date(2026, 11, 25),
        sheets,
        threads: 1,
        people,
    }
}

fn people(root: &Path) -> Vec<Person> {
    catalogue::read(root).unwrap().collection.people
}

fn person<'a>(people: &'a [Person], number: &str) -> &'a Person {
    people
        .iter()
        .find(|one| one.number.as_str() == number)
        .unwrap()
}

#[test]
fn a_sheet_gains_people_and_blank_cells_and_loses_nothing() {
    let place = collection(SheetForm::Csv);
    let before = people(place.path());
    let survey = survey_with(place.path(), NEWER.as_bytes(), SheetForm::Csv);
    let after = people(place.path());
    let taken = survey.people.unwrap();
    assert_eq!((taken.people, taken.version.as_str()), (4, "7.0"));
    // Edwin is known by name and birth: his row gains the place; his year of death stays although the tree has the day.
    let edwin = person(&after, "P-01");
    assert_eq!(edwin.born_at.text(), Some("Porthenys"));
    assert_eq!(edwin.died, person(&before, "P-01").died);
    assert!(
        survey
            .concerns
            .iter()
            .any(|one| one.code == "tree-differs" && one.what.contains("P-01"))
    );
    // Another Enoch, by the birth: a row of his own.
    assert_eq!(person(&after, "I3").name.text(), Some("Enoch Marrack"));
    assert_eq!(person(&after, "I2").name.text(), Some("Zoë Ångström"));
    assert!(person(&after, "I4").born.is_blank());
    assert!(
        survey
            .concerns
            .iter()
            .any(|one| one.code == "tree-date-not-read" && one.what.contains("1730"))
    );
    assert_eq!(after.len(), before.len() + 3);
    for old in &before {
        let new = person(&after, old.number.as_str());
        assert_eq!(new.name, old.name);
        for (was, is) in [(&old.born, &new.born), (&old.died, &new.died)] {
            assert!(was.is_blank() || was == is, "{}", old.number);
        }
    }
    let again = survey_with(place.path(), NEWER.as_bytes(), SheetForm::Csv);
    assert_eq!(people(place.path()), after);
    assert_eq!(again.people.unwrap().new, 0);
}

#[test]
fn a_workbook_is_drafted_and_filled_in_every_encoding() {
    let older = NEWER
        .replace("VERS 7.0\n", "VERS 5.5.1\n1 CHAR UNICODE\n")
        .replace("JULIAN 5", "@#DJULIAN@ 5");
    let wide: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain(older.encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    let western: Vec<u8> = NEWER
        .replace("VERS 7.0", "VERS 5.5.1")
        .chars()
        .map(|one| u8::try_from(u32::from(one)).unwrap())
        .collect();
    // Ansel puts accents before their letters: E8 is the diaeresis, EA the ring. [ANSI/NISO Z39.47]
    let mut library = Vec::new();
    for one in NEWER
        .replace("VERS 7.0\n", "VERS 5.5.1\n1 CHAR ANSEL\n")
        .chars()
    {
        match one {
            'ë' => library.extend(b"\xE8e"),
            'Å' => library.extend(b"\xEAA"),
            'ö' => library.extend(b"\xE8o"),
            one => library.push(u8::try_from(u32::from(one)).unwrap()),
        }
    }
    let mut marked = b"\xEF\xBB\xBF".to_vec();
    marked.extend(NEWER.replace('\n', "\r\n").as_bytes());
    for (name, bytes) in [
        ("UTF-16", wide),
        ("Western", western),
        ("Ansel", library),
        ("UTF-8 with mark", marked),
    ] {
        let place = collection(SheetForm::Workbook);
        let survey = survey_with(place.path(), &bytes, SheetForm::Workbook);
        assert_eq!(survey.wrote, ["catalogue.xlsx"], "{name}");
        let found = people(place.path());
        assert_eq!(
            person(&found, "I2").name,
            Answer::Given("Zoë Ångström".to_owned()),
            "{name}"
        );
        assert_eq!(
            person(&found, "I2").born.given().unwrap().edtf.as_str(),
            "1862~",
            "{name}"
        );
        // A refresh of the workbook with a tree that knows more fills what is blank.
        let fuller = NEWER.replace("2 DATE ABT 1862\n", "2 DATE ABT 1862\n2 PLAC Uppsala\n");
        survey_with(place.path(), fuller.as_bytes(), SheetForm::Workbook);
        let later = people(place.path());
        assert_eq!(
            person(&later, "I2").born_at.text(),
            Some("Uppsala"),
            "{name}"
        );
        assert_eq!(later.len(), found.len(), "{name}");
    }
}

#[test]
fn what_is_no_family_tree_is_refused_and_nothing_is_written() {
    let place = collection(SheetForm::Workbook);
    let file = place.path().join("tree.ged");
    fs::write(&file, "number,name\n1,Cora\n").unwrap();
    let error = survey::survey(
        place.path(),
        &options(Some(file), SheetForm::Workbook),
        &Silent,
    )
    .unwrap_err();
    assert!(
        error.to_string().contains("not a family tree file"),
        "{error}"
    );
    assert!(!place.path().join("catalogue.xlsx").exists());
}
