//! Adds to a workbook that a person has worked in, without loss: blank cells are filled and rows appended in the XML of the
//! sheet itself; every other part of the file is copied as it is, still compressed. [ECMA-376-1 18, ECMA-376-2]
//!
//! What cannot be done safely is refused with a reason; nothing is then changed.

mod cells;
mod csv;
mod edits;
mod parts;
mod reference;
mod sheet_xml;
mod tables;

pub use csv::refresh_csv;

use parts::Parts;
use std::collections::BTreeMap;

/// What is to be added to one sheet. Headings are given as they stand in the workbook.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SheetAdditions {
    /// The name of the sheet.
    pub sheet: String,
    /// Cells of existing rows that are filled when they are blank.
    pub fills: Vec<Fill>,
    /// Rows that are appended below everything: heading and text.
    pub rows: Vec<Vec<(String, String)>>,
}

/// A text for one blank cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fill {
    /// The row as a spreadsheet counts it.
    pub row: u32,
    /// The heading of the column.
    pub heading: String,
    /// The text.
    pub text: String,
}

/// The refreshed workbook and what was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refreshed {
    /// The whole new file.
    pub bytes: Vec<u8>,
    /// The number of blank cells that were filled.
    pub filled: usize,
    /// The number of rows that were appended.
    pub appended: usize,
    /// Sheet, and the row of its first appended row as a spreadsheet counts it.
    pub first_new_rows: Vec<(String, u32)>,
}

/// Why a workbook cannot be added to without risk. The text finishes the sentence "the workbook was left alone because …".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RefreshFault {
    /// It is encrypted, or in the format used before 2007.
    #[error("it has a password, or it was saved in the format used before 2007")]
    EncryptedOrOld,
    /// It is no XLSX workbook.
    #[error("it is not a workbook in the format XLSX ({why})")]
    NotXlsx {
        /// What was found.
        why: String,
    },
    /// It holds programs.
    #[error("it holds macros, which are programs inside a workbook")]
    Macros,
    /// It is signed; any change would break the signature.
    #[error("it carries a digital signature, which any change would break")]
    Signed,
    /// It is in a variant of the format.
    #[error("it was saved in a variant of the format that is not changed safely ({variant})")]
    Variant {
        /// What was found.
        variant: String,
    },
    /// A sheet is missing.
    #[error("it has no sheet “{sheet}”")]
    NoSheet {
        /// The sheet.
        sheet: String,
    },
    /// A heading is missing.
    #[error("sheet “{sheet}” has no heading “{heading}”")]
    NoHeading {
        /// The sheet.
        sheet: String,
        /// The heading.
        heading: String,
    },
    /// Something on the sheet covers the cells that would be filled.
    #[error("on sheet “{sheet}” {what}")]
    InTheWay {
        /// The sheet.
        sheet: String,
        /// What is in the way.
        what: String,
    },
    /// A part of the file cannot be understood.
    #[error("its part “{part}” cannot be understood: {why}")]
    Part {
        /// The part.
        part: String,
        /// What is wrong.
        why: String,
    },
}

/// Adds to a workbook.
///
/// # Errors
/// Says why the workbook cannot be added to without risk.
pub fn refresh(bytes: &[u8], additions: &[SheetAdditions]) -> Result<Refreshed, RefreshFault> {
    let mut parts = Parts::open(bytes)?;
    let shared = parts.shared_strings()?;
    let mut changed: BTreeMap<String, String> = BTreeMap::new();
    let mut done = Refreshed {
        bytes: Vec::new(),
        filled: 0,
        appended: 0,
        first_new_rows: Vec::new(),
    };
    for one in additions
        .iter()
        .filter(|one| !one.fills.is_empty() || !one.rows.is_empty())
    {
        let part = parts.sheet_part(&one.sheet)?;
        let before = parts.text(&part)?;
        let after = sheet_xml::add(&before, &shared, one)?;
        for (table, text) in tables::extend(&mut parts, &part, one, &after)? {
            changed.insert(table, text);
        }
        sheet_xml::confirm(&before, &after, one)?;
        done.filled = done.filled.saturating_add(after.filled);
        done.appended = done.appended.saturating_add(one.rows.len());
        if let Some(row) = after.first_new_row {
            done.first_new_rows.push((one.sheet.clone(), row));
        }
        changed.insert(part, after.text);
    }
    done.bytes = parts.write(&changed)?;
    Ok(done)
}

#[cfg(test)]
mod tests;
