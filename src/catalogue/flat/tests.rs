use super::*;
use crate::format::sheet::csv;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::PersonNumber;
use crate::record::Side;
use crate::record::Sitter;
use crate::record::View;

const FLAT: &str = "\
Image,Name,Date,Photographer,Where from,Written on back,Reverse scan,Colour of frame,Description
IMG_1.jpg,Edwin Marrack?,c. 1890,Hallowmere,vestry,\"E. Marrack\nPetrel\",IMG_2.jpg,gold,man in a coat
IMG_3.jpg,Cora Lunt,18-Jun,,vestry,,,,
IMG_5.jpg; IMG_6.jpg,unknown child,,,aunt,,,white,
IMG_7.jpg,probably Cora Lunt,when the mill burned,,,,,,
";

fn proposal() -> Proposal {
    from_flat(
        &csv::read("my pictures", FLAT.as_bytes())
            .expect("a table")
            .table,
    )
}

fn goes_to(proposal: &Proposal, heading: &str) -> Option<(&'static str, &'static str)> {
    let guess = proposal.mapping.iter().find(|one| one.heading == heading);
    guess.expect("the column").goes_to
}

#[test]
fn columns_are_recognised_with_reasons() {
    let proposal = proposal();
    for (heading, target) in [
        ("Image", ("Scans", "File name now")),
        ("Name", ("Who is it", "Person no. or unknown man")),
        ("Date", ("Portraits", "This print made")),
        ("Photographer", ("Portraits", "Maker, if we know more")),
        ("Where from", ("How it came", "From whom or where")),
        ("Written on back", ("Words found", "The words exactly")),
        ("Reverse scan", ("Scans", "File name now")),
        ("Description", ("Portraits", "Notes")),
    ] {
        assert_eq!(goes_to(&proposal, heading), Some(target), "{heading}");
    }
    assert_eq!(proposal.leftovers, ["Colour of frame"]);
    assert!(proposal.mapping.iter().all(|one| one.why.ends_with('.')));
}

#[test]
fn names_become_people_and_claims_and_no_certainty_is_made_up() {
    let record = proposal().collection;
    let names: Vec<&str> = record
        .people
        .iter()
        .filter_map(|one| one.name.text())
        .collect();
    assert_eq!(names, ["Edwin Marrack", "Cora Lunt"]);
    let person = |number: &str| Sitter::Person(PersonNumber::new(number));
    let claims: Vec<(Sitter, Answer<Certainty>)> = record
        .claims
        .iter()
        .map(|claim| (claim.sitter.clone(), claim.certainty.clone()))
        .collect();
    assert_eq!(
        claims,
        [
            (person("P-01"), Answer::Given(Certainty::Possible)),
            (person("P-02"), Answer::Blank),
            (Sitter::Unnamed("unknown child".to_owned()), Answer::Blank),
            (person("P-02"), Answer::Given(Certainty::Probable)),
        ]
    );
}

#[test]
fn files_words_and_lots_find_their_places() {
    let record = proposal().collection;
    let scans: Vec<(&str, Option<&str>, Option<&View>)> = record
        .scans
        .iter()
        .map(|scan| {
            let portrait = scan.portrait.given().map(|number| number.as_str());
            (scan.file.as_str(), portrait, scan.view.given())
        })
        .collect();
    assert_eq!(
        scans,
        [
            ("IMG_1.jpg", Some("A-001"), None),
            ("IMG_2.jpg", Some("A-001"), Some(&View::Back)),
            ("IMG_3.jpg", Some("A-002"), None),
            ("IMG_5.jpg", Some("A-003"), None),
            ("IMG_6.jpg", Some("A-003"), None),
            ("IMG_7.jpg", Some("A-004"), None),
        ]
    );
    assert_eq!(record.words[0].text.text(), Some("E. Marrack\nPetrel"));
    assert_eq!(record.words[0].side, Answer::Given(Side::Back));
    assert_eq!(record.lots.len(), 2);
    assert_eq!(record.portraits[1].lot, record.portraits[0].lot);
    assert_eq!(record.portraits[0].extra["Colour of frame"], "gold");
}

#[test]
fn concerns_name_rows_and_columns_of_the_flat_sheet() {
    let concerns = proposal().concerns;
    let concern = concerns
        .iter()
        .find(|one| one.code == "date-not-read")
        .expect("a concern");
    assert_eq!(concern.place.sheet.as_deref(), Some("my pictures"));
    assert_eq!(concern.place.column.as_deref(), Some("Date"));
    assert!(!concerns.has("missing-sheet") && !concerns.has("missing-column"));
}

#[test]
fn rows_of_one_number_are_one_portrait_and_nothing_is_lost() {
    let flat = "Item no.,File,Condition\n7,a.jpg,good\n7,b.jpg,torn\n,c.jpg,\nA-002,d.jpg,good\n";
    let record = from_flat(&csv::read("flat", flat.as_bytes()).expect("a table").table).collection;
    let numbers: Vec<&str> = record
        .portraits
        .iter()
        .map(|one| one.number.as_str())
        .collect();
    assert_eq!(numbers, ["7", "A-003", "A-002"]);
    assert_eq!(record.scans.len(), 4);
    assert_eq!(record.portraits[0].condition.text(), Some("good"));
    assert_eq!(record.portraits[0].extra["Condition (row 3)"], "torn");
}

#[test]
fn an_empty_sheet_proposes_nothing() {
    let proposal = from_flat(&Table::default());
    assert!(proposal.mapping.is_empty() && proposal.collection.portraits.is_empty());
}

#[test]
fn a_file_name_without_ending_is_nobodys_name() {
    let flat = "File name,Surname\nIMG_1,Marrack\n";
    let proposal = from_flat(&csv::read("flat", flat.as_bytes()).expect("a table").table);
    assert_eq!(
        goes_to(&proposal, "File name"),
        Some(("Scans", "File name now"))
    );
    assert!(proposal.collection.people.is_empty());
}
