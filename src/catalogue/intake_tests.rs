//! What is told about cells that cannot be taken over, and where.

use super::from_tables;
use super::tables;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::format::sheet::Cell;
use crate::format::sheet::Kind;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::record::Answer;
use crate::record::Glass;
use crate::record::Medium;
use crate::record::PersonNumber;
use crate::record::Sitter;
use crate::record::YesNo;

fn table(name: &str, rows: &[&[&str]]) -> Table {
    let rows = rows.iter().zip(1..).map(|(cells, number)| TableRow {
        number,
        cells: cells.iter().map(|text| Cell::text(*text)).collect(),
    });
    Table::from_rows(name, rows)
}

fn only<'a>(concerns: &'a ConcernList, code: &str) -> &'a Concern {
    let found: Vec<&Concern> = concerns.iter().filter(|one| one.code == code).collect();
    assert_eq!(found.len(), 1, "{code}: {concerns:?}");
    found[0]
}

fn place_of(concerns: &ConcernList, code: &str) -> (String, Option<u32>, Option<String>) {
    let place = only(concerns, code).place.clone();
    (place.sheet.expect("a sheet"), place.row, place.column)
}

fn at(sheet: &str, row: u32, column: &str) -> (String, Option<u32>, Option<String>) {
    (sheet.to_owned(), Some(row), Some(column.to_owned()))
}

#[test]
fn three_kinds_of_nothing_are_kept_apart() {
    let sheet = table(
        "Portraits",
        &[
            &[
                "Portrait no.",
                "Glass",
                "Maker as printed",
                "Opened on",
                "Picture made of",
            ],
            &["A-1", "", "", "", ""],
            &["A-2", "nk", "NK", " nk ", "nk"],
            &["A-3", "na", "Na", "na", "NA"],
            &["A-4", "Convex", "Hallowmere", "1901", "photo ; charcoal"],
        ],
    );
    let (record, _) = from_tables(&[sheet]);
    let [blank, unknown, not, given] = record.portraits.as_slice() else {
        panic!("four portraits");
    };
    assert!(blank.glass.is_blank() && blank.maker.as_printed.is_blank() && blank.media.is_blank());
    assert_eq!(unknown.glass, Answer::NotKnown);
    assert_eq!(unknown.maker.as_printed, Answer::NotKnown);
    assert_eq!(unknown.opened_on, Answer::NotKnown);
    assert_eq!(unknown.media, Answer::NotKnown);
    assert_eq!(not.glass, Answer::DoesNotApply);
    assert_eq!(not.opened_on, Answer::DoesNotApply);
    assert_eq!(given.glass, Answer::Given(Glass::Convex));
    assert_eq!(
        given.media,
        Answer::Given(vec![Medium::Photograph, Medium::Charcoal])
    );
}

#[test]
fn a_word_that_is_not_in_the_list_is_kept_and_told_with_the_list() {
    let sheet = table(
        "Portraits",
        &[
            &["Glass", "Portrait no.", "Picture made of"],
            &["flat", "A-1", ""],
            &["bubbly", "A-2", "charcoal;gouache"],
        ],
    );
    let (record, concerns) = from_tables(&[sheet]);
    let glass = concerns
        .iter()
        .find(|one| one.code == "word-not-in-list" && one.place.column.as_deref() == Some("Glass"))
        .expect("a concern");
    assert_eq!(glass.place.row, Some(3));
    assert!(glass.what.contains("bubbly"));
    assert!(glass.remedy.contains("none, flat, convex, broken"));
    let portrait = &record.portraits[1];
    assert_eq!(
        portrait.extra.get("Glass").map(String::as_str),
        Some("bubbly")
    );
    assert!(portrait.glass.is_blank());
    // What can be read of a list counts: a loose surface must not be overlooked.
    assert_eq!(portrait.media, Answer::Given(vec![Medium::Charcoal]));
    assert_eq!(
        portrait.extra.get("Picture made of").map(String::as_str),
        Some("charcoal;gouache")
    );
    let written = &tables(&record)[1];
    let column = written
        .headings
        .iter()
        .position(|heading| heading == "Glass")
        .expect("the column");
    assert_eq!(written.rows[1].text(column), "bubbly");
    assert!(
        !written
            .headings
            .iter()
            .any(|heading| heading == "Glass (2)")
    );
}

#[test]
fn a_date_that_cannot_be_read_is_kept_and_told_with_the_place() {
    let sheet = table(
        "People",
        &[
            &["Person no.", "Name", "Born"],
            &["P-1", "Cora", "when the mill burned"],
        ],
    );
    let (record, concerns) = from_tables(&[sheet]);
    assert_eq!(
        place_of(&concerns, "date-not-read"),
        at("People", 2, "Born")
    );
    assert!(only(&concerns, "date-not-read").what.contains("character"));
    assert!(record.people[0].born.is_blank());
    assert_eq!(record.people[0].extra["Born"], "when the mill burned");
}

#[test]
fn own_columns_are_kept_and_odd_headings_told() {
    let sheet = table(
        "Portraits",
        &[
            &["Portrait No *", "Shelf", "", "GLASS ?", "glass"],
            &["A-1", "top", "stray", "flat", "convex"],
        ],
    );
    let (record, concerns) = from_tables(&[sheet]);
    let portrait = &record.portraits[0];
    assert_eq!(portrait.extra["Shelf"], "top");
    assert_eq!(portrait.extra["column C"], "stray");
    assert_eq!(portrait.extra["glass (2)"], "convex");
    assert_eq!(portrait.glass, Answer::Given(Glass::Flat));
    assert_eq!(
        place_of(&concerns, "no-heading"),
        at("Portraits", 2, "column C")
    );
    assert!(concerns.has("heading-twice"));
    assert_eq!(
        only(&concerns, "unknown-heading").place.column.as_deref(),
        Some("Shelf")
    );
    let missing: Vec<Option<&str>> = concerns
        .iter()
        .filter(|one| one.code == "missing-column")
        .map(|one| one.place.column.as_deref())
        .collect();
    assert_eq!(missing, [Some("What it is"), Some("Lot no.")]);
    assert_eq!(from_tables(&tables(&record)).0, record);
}

#[test]
fn sheets_that_are_missing_unknown_or_twice_are_told() {
    let (_, concerns) = from_tables(&[
        table("portraits", &[&["Portrait no."], &["A-1"]]),
        table("Portraits", &[&["Portrait no."], &["A-2"]]),
        table("Shopping", &[&["milk"], &["eggs"]]),
        table("Read me first", &[&["How to fill"]]),
    ]);
    assert_eq!(
        only(&concerns, "unknown-sheet").place.sheet.as_deref(),
        Some("Shopping")
    );
    assert!(
        only(&concerns, "sheet-twice")
            .what
            .contains("all were read")
    );
    let missing = concerns
        .iter()
        .filter(|one| one.code == "missing-sheet")
        .count();
    assert_eq!(missing, 10);
}

#[test]
fn who_a_claim_names() {
    let people = table(
        "People",
        &[
            &["Person no.", "Name as best known"],
            &["P-01", "Edwin Marrack"],
            &["enoch", "Enoch Marrack"],
            &["P-03", "Cora Lunt"],
            &["P-04", "Cora Lunt"],
        ],
    );
    let claims = table(
        "Who is it",
        &[
            &["Portrait no.", "Person no. or unknown man"],
            &["A-1", "P-01"],
            &["A-1", "enoch"],
            &["A-1", "unknown man"],
            &["A-1", "none of them"],
            &["A-1", "edwin marrack"],
            &["A-1", "Cora Lunt"],
            &["A-1", "Thirza Marrack"],
            &["A-1", "P-77"],
        ],
    );
    let (record, concerns) = from_tables(&[people, claims]);
    let person = |number: &str| Sitter::Person(PersonNumber::new(number));
    let unnamed = |text: &str| Sitter::Unnamed(text.to_owned());
    let sitters: Vec<Sitter> = record
        .claims
        .iter()
        .map(|claim| claim.sitter.clone())
        .collect();
    assert_eq!(
        sitters,
        [
            person("P-01"),
            person("enoch"),
            unnamed("unknown man"),
            unnamed("none of them"),
            person("P-01"),
            Sitter::NotSaid,
            Sitter::NotSaid,
            person("P-77"),
        ]
    );
    assert_eq!(only(&concerns, "name-for-number").place.row, Some(6));
    let rows: Vec<Option<u32>> = concerns
        .iter()
        .filter(|one| one.code == "sitter-not-a-person")
        .map(|one| one.place.row)
        .collect();
    assert_eq!(rows, [Some(7), Some(8)]);
    assert_eq!(from_tables(&tables(&record)).0, record);
}

#[test]
fn lists_are_split_where_people_mean_it() {
    let claims = table(
        "Who is it",
        &[
            &["Portrait no.", "Reasons for", "Clues for"],
            &[
                "A-1",
                "He is tall; so is Edwin ; the label says so ;",
                "C-1;C-2 ; C-3",
            ],
        ],
    );
    let claim = from_tables(&[claims]).0.claims.remove(0);
    assert_eq!(
        claim.reasons_for,
        ["He is tall; so is Edwin", "the label says so"]
    );
    let clues: Vec<&str> = claim.clues_for.iter().map(|clue| clue.as_str()).collect();
    assert_eq!(clues, ["C-1", "C-2", "C-3"]);
}

#[test]
fn ties_are_read_with_their_reasons() {
    let portraits = table(
        "Portraits",
        &[
            &["Portrait no.", "Belongs with"],
            &[
                "A-1",
                "A-002 (same order (see back)) ; A-003: same frame ; A-004",
            ],
        ],
    );
    let (record, _) = from_tables(&[portraits]);
    let ties: Vec<(String, &str)> = record.portraits[0]
        .belongs_with
        .iter()
        .map(|tie| (tie.portrait.to_string(), tie.reason.as_str()))
        .collect();
    assert_eq!(
        ties,
        [
            ("A-002".to_owned(), "same order (see back)"),
            ("A-003".to_owned(), "same frame"),
            ("A-004".to_owned(), ""),
        ]
    );
}

#[test]
fn what_a_spreadsheet_understood_as_yes_is_yes() {
    let mut sheet = table(
        "Portraits",
        &[&["Portrait no.", "Bowed?"], &["A-1", "TRUE"]],
    );
    sheet.rows[0].cells[1].kind = Kind::Boolean;
    let (record, concerns) = from_tables(&[sheet]);
    assert_eq!(record.portraits[0].bowed, Answer::Given(YesNo::Yes));
    assert!(!concerns.has("word-not-in-list"));
}

#[test]
fn a_fault_all_down_a_column_is_told_once_and_counted() {
    let mut rows = vec![vec!["Portrait no.".to_owned(), "Glass".to_owned()]];
    rows.extend((0..1000).map(|number| vec![format!("A-{number}"), "bubbly".to_owned()]));
    let rows = rows.into_iter().zip(1..).map(|(cells, number)| TableRow {
        number,
        cells: cells.into_iter().map(Cell::text).collect(),
    });
    let (_, concerns) = from_tables(&[Table::from_rows("Portraits", rows)]);
    let told: Vec<&Concern> = concerns
        .iter()
        .filter(|one| one.code == "word-not-in-list")
        .collect();
    assert_eq!(told.len(), 26);
    assert!(told[25].what.contains("975"));
}

#[test]
fn errors_of_the_spreadsheet_are_no_texts() {
    let sheet = table(
        "Portraits",
        &[&["Portrait no.", "Notes"], &["A-1", "#REF!"]],
    );
    let (record, concerns) = from_tables(&[sheet]);
    assert_eq!(
        place_of(&concerns, "spreadsheet-error"),
        at("Portraits", 2, "Notes")
    );
    assert!(record.portraits[0].notes.is_blank());
    assert_eq!(record.portraits[0].extra["Notes"], "#REF!");
}

#[test]
fn lost_zeros_are_told_by_comparison() {
    let sheet = table(
        "Portraits",
        &[&["Portrait no."], &["001"], &["2"], &["003"]],
    );
    let (_, concerns) = from_tables(&[sheet]);
    assert_eq!(
        place_of(&concerns, "zeros-lost"),
        at("Portraits", 3, "Portrait no.")
    );
    assert!(only(&concerns, "zeros-lost").remedy.contains("“002”"));
}

#[test]
fn headings_that_were_opened_with_the_wrong_encoding_are_read_and_told() {
    let sheet = table(
        "Portraits",
        &[
            &[
                "ï»¿\"Portrait no. *\"",
                "Makerâ€™s place as printed",
                "ï»¿Own",
            ],
            &["A-1", "Marrowby", "x"],
        ],
    );
    let (record, concerns) = from_tables(&[sheet]);
    assert_eq!(record.portraits[0].number.as_str(), "A-1");
    assert_eq!(
        record.portraits[0].maker.place_as_printed.text(),
        Some("Marrowby")
    );
    assert_eq!(record.portraits[0].extra.len(), 1);
    let garbled: Vec<&Concern> = concerns
        .iter()
        .filter(|one| one.code == "garbled-letters" && one.place.row.is_none())
        .collect();
    assert_eq!(garbled.len(), 2, "{concerns:?}");
    assert!(garbled[0].what.contains("“Portrait no.”"));
    assert!(!concerns.iter().any(|one| {
        one.code == "missing-column" && one.place.column.as_deref() == Some("Portrait no.")
    }));
}
