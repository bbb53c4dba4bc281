//! The law of the catalogue: what is written as sheets reads back as the same record, whatever form the sheets have.

use super::cell::Holds;
use super::columns::Column;
use super::columns::SHEETS;
use super::columns::SheetPlan;
use super::csv_files;
use super::from_tables;
use super::json;
use super::tables;
use crate::format::sheet;
use crate::format::sheet::Cell;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::format::sheet::csv;
use crate::record;
use crate::record::Collection;
use proptest::prelude::*;
use proptest::sample::select;

const DATES: &[&str] = &[
    "1895",
    "1895~",
    "about 1895",
    "1890s",
    "before 1901",
    "1890/1900",
    "2026-03-14",
    "open/1884",
    "not a date",
];

/// A cell that a person might write in a column, wrong ones among them.
fn cell(column: &Column) -> BoxedStrategy<String> {
    let free = "[a-zA-Zë’;,='\n\u{202E}0-9 -]{0,12}";
    let filled: BoxedStrategy<String> = match column.holds {
        Holds::Word => word(column.words).boxed(),
        Holds::Words => prop::collection::vec(word(column.words), 1..3)
            .prop_map(|words| words.join(" ; "))
            .boxed(),
        Holds::Date => select(DATES).prop_map(str::to_owned).boxed(),
        Holds::Reference if column.heading.starts_with("Person no. or") => select(vec![
            "P-01",
            "anna",
            "Anna Marrack",
            "unknown man",
            "Somebody Else",
            "P-99",
        ])
        .prop_map(str::to_owned)
        .boxed(),
        Holds::WholeNumber => "[1-9][0-9]{0,5}|many".boxed(),
        Holds::Text | Holds::Texts | Holds::Reference | Holds::References => free.boxed(),
    };
    let nothing = select(vec!["", "nk", "NA", " na "]).prop_map(str::to_owned);
    prop_oneof![3 => filled, 2 => nothing].boxed()
}

fn word(words: Option<&'static [&'static str]>) -> impl Strategy<Value = String> + use<> {
    let mut choices = words.unwrap_or_default().to_vec();
    choices.push("some other word");
    select(choices).prop_map(str::to_owned)
}

fn sheet_of(plan: &'static SheetPlan) -> impl Strategy<Value = Table> {
    let cells: Vec<BoxedStrategy<String>> = plan.columns.iter().map(cell).collect();
    let row = (cells, "[a-z=]{0,4}");
    prop::collection::vec(row, 0..3).prop_map(move |rows| Table {
        name: plan.name.to_owned(),
        headings: plan
            .columns
            .iter()
            .map(Column::marked_heading)
            .chain(["My own column".to_owned()])
            .collect(),
        rows: rows
            .into_iter()
            .zip(2..)
            .map(|((texts, own), number)| TableRow {
                number,
                cells: texts.into_iter().chain([own]).map(Cell::text).collect(),
            })
            .collect(),
    })
}

fn catalogue() -> impl Strategy<Value = Vec<Table>> {
    SHEETS
        .iter()
        .map(sheet_of)
        .collect::<Vec<_>>()
        .prop_map(|mut sheets| {
            // People whom the claims may name.
            let people = sheets
                .iter_mut()
                .find(|sheet| sheet.name == "People")
                .expect("the sheet");
            for (number, name) in [("P-01", "Anna Marrack"), ("anna", "Anna Rowse")] {
                people.rows.push(TableRow {
                    number: 90,
                    cells: [number, name].map(Cell::text).to_vec(),
                });
            }
            sheets
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn sheets_json_and_csv_read_back_as_the_same_record(sheets in catalogue()) {
        let (before, _) = from_tables(&sheets);
        prop_assert_eq!(&from_tables(&tables(&before)).0, &before);

        let files: Vec<Table> = csv_files(&before)
            .iter()
            .map(|(name, bytes)| csv::read(name.trim_end_matches(".csv"), bytes).expect("a table").table)
            .collect();
        prop_assert_eq!(&from_tables(&files).0, &before);

        let text = json::write(&before).expect("JSON");
        prop_assert_eq!(&json::read(text.as_bytes()).expect("a record"), &before);
    }

    #[test]
    fn no_text_is_lost(sheets in catalogue()) {
        let (record, _) = from_tables(&sheets);
        let written: Vec<String> = tables(&record)
            .iter()
            .flat_map(|table| table.rows.iter().flat_map(|row| row.cells.iter().map(|cell| squeezed(&cell.text))))
            .collect();
        for table in sheets.iter().filter(|table| table.name != "Collection") {
            for (row, cell) in table.rows.iter().flat_map(|row| row.cells.iter().map(move |cell| (row, cell))) {
                let text = squeezed(&cell.text);
                let is_name = ["annamarrack", "annarowse"].contains(&text.as_str());
                prop_assert!(
                    text.is_empty() || is_name || written.contains(&text),
                    "{:?} of row {} of {} is gone", cell.text, row.number, table.name
                );
            }
        }
    }

    #[test]
    fn the_order_of_columns_and_sheets_does_not_count(sheets in catalogue()) {
        let turned: Vec<Table> = sheets
            .iter()
            .rev()
            .map(|table| Table {
                name: table.name.to_uppercase(),
                headings: table.headings.iter().rev().map(|heading| heading.to_uppercase().replace(' ', "")).collect(),
                rows: table
                    .rows
                    .iter()
                    .map(|row| {
                        let missing = table.headings.len().saturating_sub(row.cells.len());
                        TableRow {
                            number: row.number,
                            cells: row.cells.iter().cloned().chain(vec![Cell::default(); missing]).rev().collect(),
                        }
                    })
                    .collect(),
            })
            .collect();
        let own_heading = |record: Collection| {
            let text = json::write(&record).expect("JSON").replace("MYOWNCOLUMN", "My own column");
            json::read(text.as_bytes()).expect("a record")
        };
        prop_assert_eq!(own_heading(from_tables(&turned).0), own_heading(from_tables(&sheets).0));
    }
}

/// Blanks and signs between values may be written in another way; letters, digits and signs may not.
fn squeezed(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, ';' | '(' | ')' | ':'))
        .flat_map(char::to_lowercase)
        .collect()
}

/// A value for every column, none of them the default.
fn full(plan: &SheetPlan) -> Table {
    let cells = plan.columns.iter().map(|column| {
        let text = match column.holds {
            Holds::Word | Holds::Words => column
                .words
                .unwrap_or_default()
                .last()
                .copied()
                .unwrap_or_default(),
            Holds::Date => "1895",
            Holds::WholeNumber => "7",
            Holds::Text | Holds::Texts | Holds::Reference | Holds::References => "P-01",
        };
        Cell::text(text)
    });
    Table {
        name: plan.name.to_owned(),
        headings: plan
            .columns
            .iter()
            .map(|column| column.heading.to_owned())
            .collect(),
        rows: vec![TableRow {
            number: 2,
            cells: cells.collect(),
        }],
    }
}

#[test]
fn every_field_of_the_record_has_a_column() {
    let sheets: Vec<Table> = SHEETS.iter().map(full).collect();
    let (record, concerns) = from_tables(&sheets);
    assert_eq!(concerns.len(), 0, "{concerns:?}");
    let value = serde_json::to_value(&record).expect("JSON");
    let parts: &[(&str, &[&str])] = &[
        ("/about", record::About::FIELDS),
        ("/portraits/0", record::Portrait::FIELDS),
        ("/portraits/0/size", record::Size::FIELDS),
        ("/portraits/0/maker", record::Maker::FIELDS),
        ("/portraits/0/dates", record::PortraitDates::FIELDS),
        ("/scans/0", record::Scan::FIELDS),
        ("/scans/0/facts", record::ScanFacts::FIELDS),
        ("/words/0", record::Transcription::FIELDS),
        ("/people/0", record::Person::FIELDS),
        ("/claims/0", record::Claim::FIELDS),
        ("/clues/0", record::Clue::FIELDS),
        ("/lots/0", record::Lot::FIELDS),
        ("/listings/0", record::Listing::FIELDS),
        ("/rights/0", record::Rights::FIELDS),
        ("/receivers/0", record::Receiver::FIELDS),
    ];
    for (pointer, fields) in parts {
        let part = value.pointer(pointer).expect("the part");
        for field in fields
            .iter()
            .filter(|field| !["row", "extra"].contains(field))
        {
            assert!(part.get(field).is_some(), "{pointer}/{field} has no column");
        }
    }
    // Editions come from packing, never from a sheet.
    for name in Collection::FIELDS
        .iter()
        .filter(|name| **name != "editions")
    {
        assert!(value.get(name).is_some(), "{name} has no sheet");
    }
}

#[test]
fn csv_written_twice_is_the_same_bytes_and_holds_no_formula() {
    let mut sheets: Vec<Table> = SHEETS.iter().map(full).collect();
    sheets[1].rows[0].cells[2] = Cell::text("=HYPERLINK(\"x\")");
    let (record, _) = from_tables(&sheets);
    let files = csv_files(&record);
    assert_eq!(files, csv_files(&record));
    let portraits = String::from_utf8(files[1].1.clone()).expect("UTF-8");
    assert!(portraits.contains("\"'=HYPERLINK"));
    assert!(sheet::is_guarded("'=HYPERLINK"));
}
