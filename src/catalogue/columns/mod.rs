//! The sheets of the catalogue and their columns: heading, what it is for, which words it knows, and which field of the record
//! it holds. One table for reading and writing, for the drafted workbook and for the dictionary of columns in a package.

pub(super) mod claims;
pub(super) mod clues;
pub(super) mod collection;
pub(super) mod listings;
pub(super) mod lots;
pub(super) mod people;
pub(super) mod portraits;
pub(super) mod receivers;
pub(super) mod rights;
pub(super) mod scans;
pub(super) mod words;

pub use claims::SHEET as CLAIMS;
pub use clues::SHEET as CLUES;
pub use collection::SHEET as COLLECTION;
pub use listings::SHEET as LISTINGS;
pub use lots::SHEET as LOTS;
pub use people::SHEET as PEOPLE;
pub use portraits::SHEET as PORTRAITS;
pub use receivers::SHEET as RECEIVERS;
pub use rights::SHEET as RIGHTS;
pub use scans::SHEET as SCANS;
pub use words::SHEET as WORDS;

use super::cell::CellFault;
use super::cell::CellValue;
pub use super::cell::Holds;

/// The name of the workbook's first sheet, which explains the others and is never read.
pub const GUIDE_SHEET: &str = "Read me first";

/// The name of the workbook's sheet that may hold the words of drop-down lists, and is never read.
pub const LISTS_SHEET: &str = "Words to choose from";

/// Every sheet of the catalogue, in the order of the workbook.
pub const SHEETS: &[SheetPlan] = &[
    COLLECTION, PORTRAITS, SCANS, WORDS, PEOPLE, CLAIMS, CLUES, LOTS, LISTINGS, RIGHTS, RECEIVERS,
];

/// One sheet of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetPlan {
    /// The name on the tab.
    pub name: &'static str,
    /// The name of the CSV file in the folder `catalogue/`.
    pub file_name: &'static str,
    /// What stands in it, one plain sentence.
    pub about: &'static str,
    /// Its columns, in order.
    pub columns: &'static [Column],
}

/// One column of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// The heading, without the `*` that marks a column to fill.
    pub heading: &'static str,
    /// Other headings under which people know it.
    pub other_headings: &'static [&'static str],
    /// Whether a person should please fill it.
    pub required: bool,
    /// The words that it takes, when the list is closed.
    pub words: Option<&'static [&'static str]>,
    /// What it holds.
    pub holds: Holds,
    /// What to write there, one plain sentence.
    pub help: &'static str,
    /// Whether kithbag fills it, so that a person need not.
    pub filled_by_tool: bool,
    /// A good width in characters.
    pub width: u16,
}

impl Column {
    /// Returns the heading as it is written, with ` *` when the column should be filled.
    #[must_use]
    pub fn marked_heading(&self) -> String {
        if self.required {
            format!("{} *", self.heading)
        } else {
            self.heading.to_owned()
        }
    }
}

/// How one column of a sheet and a field of its rows become each other.
pub(super) struct Field<T> {
    /// Takes over the text of a cell, and may take it away; on a fault it is left as it was.
    pub(super) read: fn(&mut T, &mut String) -> Result<(), CellFault>,
    /// Returns the text of the cell.
    pub(super) write: fn(&T) -> String,
}

const fn words_of<T, V: CellValue>(_field: fn(&T) -> &V) -> Option<&'static [&'static str]> {
    V::WORDS
}

const fn held_by<T, V: CellValue>(_field: fn(&T) -> &V) -> Holds {
    V::HOLDS
}

const fn is_required(need: &str) -> bool {
    matches!(need.as_bytes(), b"required")
}

const fn is_filled_by_tool(need: &str) -> bool {
    matches!(need.as_bytes(), b"tool")
}

/// Writes a sheet down once: the plan that people see, and the fields of the record in the same order.
///
/// Each column is `"Heading" / "other heading", need, width, field, "Help.";` where need is `required`, `optional` or `tool`.
macro_rules! sheet {
    ($row:ident, $name:literal, $file:literal, $about:literal;
     $($heading:literal $(/ $other:literal)*, $need:ident, $width:literal, $($field:ident).+, $help:literal;)+) => {
        /// The plan of this sheet.
        pub const SHEET: crate::catalogue::columns::SheetPlan = crate::catalogue::columns::SheetPlan {
            name: $name,
            file_name: $file,
            about: $about,
            columns: &[$(crate::catalogue::columns::Column {
                heading: $heading,
                other_headings: &[$($other),*],
                required: crate::catalogue::columns::is_required(stringify!($need)),
                words: crate::catalogue::columns::words_of(|row: &$row| &row.$($field).+),
                holds: crate::catalogue::columns::held_by(|row: &$row| &row.$($field).+),
                help: $help,
                filled_by_tool: crate::catalogue::columns::is_filled_by_tool(stringify!($need)),
                width: $width,
            }),+],
        };

        /// The fields of a row, in the order of the columns.
        pub(in crate::catalogue) const FIELDS: &[crate::catalogue::columns::Field<$row>] = &[$(crate::catalogue::columns::Field {
            read: |row, text| crate::catalogue::cell::CellValue::take_cell(&mut row.$($field).+, text),
            write: |row| crate::catalogue::cell::CellValue::write_cell(&row.$($field).+),
        }),+];
    };
}
use sheet;

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn sheets_and_headings_are_distinct() {
        let names: BTreeSet<&str> = SHEETS.iter().map(|sheet| sheet.name).collect();
        assert_eq!(names.len(), 11);
        for sheet in SHEETS {
            let headings: BTreeSet<String> = sheet
                .columns
                .iter()
                .flat_map(|column| std::iter::once(&column.heading).chain(column.other_headings))
                .map(|heading| super::super::heading::fold(heading))
                .collect();
            let count: usize = sheet
                .columns
                .iter()
                .map(|column| column.other_headings.len() + 1)
                .sum();
            assert_eq!(headings.len(), count, "{}", sheet.name);
        }
    }

    #[test]
    fn every_column_explains_itself_in_one_sentence() {
        for sheet in SHEETS {
            assert!(sheet.about.ends_with('.'), "{}", sheet.name);
            assert!(
                sheet.columns.iter().any(|column| column.required),
                "{}",
                sheet.name
            );
            for column in sheet.columns {
                assert!(column.help.ends_with('.'), "{}", column.heading);
                assert!((4..=60).contains(&column.width), "{}", column.heading);
                assert!(!column.heading.contains('*'), "{}", column.heading);
            }
        }
    }

    #[test]
    fn file_names_mean_the_same_on_every_computer() {
        for sheet in SHEETS {
            let stem = sheet.file_name.strip_suffix(".csv").expect("a CSV file");
            assert!(stem.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
        }
    }
}
