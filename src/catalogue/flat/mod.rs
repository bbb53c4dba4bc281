//! Starting from a person's own flat sheet: one row for each picture, headings of their own.
//!
//! What a column means is guessed from its heading and from what stands in it, and the reason is told. A guess never makes a belief
//! surer: a name becomes a person and a claim without a certainty, unless the person wrote "probably", "perhaps" or a question mark.

mod build;
mod guess;
mod read;

pub use read::FlatSheet;
pub use read::read_flat;

use super::heading;
use super::intake;
use crate::concern::ConcernList;
use crate::format::sheet::Table;
use crate::record::Collection;
use schemars::JsonSchema;
use serde::Serialize;

/// What a flat sheet is taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// Every column of the sheet that has a heading, in their order.
    pub mapping: Vec<ColumnGuess>,
    /// The record that follows from it.
    pub collection: Collection,
    /// The headings of the columns that are carried along as the person's own.
    pub leftovers: Vec<String>,
    /// What was noticed, with rows and columns of the flat sheet.
    pub concerns: ConcernList,
}

/// What one column of a flat sheet is taken for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ColumnGuess {
    /// Its heading; for a column without one, the letter by which a spreadsheet calls it ("column D").
    pub heading: String,
    /// The sheet and column of the catalogue that take it over; nothing when it is carried along as it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goes_to: Option<(&'static str, &'static str)>,
    /// Why, a sentence.
    pub why: String,
}

/// Proposes what the columns of a person's own sheet are, and the catalogue that follows from it.
///
/// Rows with the same portrait number are one portrait. Rows without one get a number that is not taken yet. Nothing is left behind:
/// what no column of the catalogue takes over, or cannot be read by the one that does, stands as it was written in the portrait's row.
#[must_use]
pub fn from_flat(table: &Table) -> Proposal {
    let guesses = guess::guess(table);
    let sheets = build::sheets(table, &guesses);
    let (collection, noticed) = intake::from_owned(sheets);
    let mut concerns = ConcernList::default();
    for mut concern in noticed {
        // Sheets and columns that a flat sheet does not have are no fault of it.
        let Some(column) = concern.place.column.take() else {
            continue;
        };
        if matches!(&*concern.code, "missing-column" | "unknown-heading") {
            continue;
        }
        let theirs = guesses.iter().find(|one| {
            one.role.column().is_some_and(|(sheet, ours)| {
                concern.place.sheet.as_deref() == Some(sheet)
                    && heading::fold(ours) == heading::fold(&column)
            })
        });
        concern.place.sheet = Some(table.name.clone());
        concern.place.column = Some(theirs.map_or(column, |one| one.heading.clone()));
        concerns.push(concern);
    }
    Proposal {
        leftovers: guesses
            .iter()
            .filter(|one| one.role.column().is_none())
            .map(|one| one.carried.clone())
            .collect(),
        mapping: guesses
            .into_iter()
            .map(|one| ColumnGuess {
                goes_to: one.role.column(),
                heading: one.heading,
                why: one.why,
            })
            .collect(),
        collection,
        concerns,
    }
}

#[cfg(test)]
mod tests;
