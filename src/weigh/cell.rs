//! Where a fault of the catalogue stands, and how names in it are compared.

use crate::catalogue::columns::SheetPlan;
use crate::concern::Place;
use crate::record::Row;

/// Returns the place of a cell.
pub(super) fn cell(sheet: &SheetPlan, row: Row, heading: &'static str) -> Place {
    Place::sheet(sheet.name).row(row.0).column(heading)
}

/// Returns the form in which names and addresses are compared: letters and digits in lower case, "and" for "&".
pub(super) fn plain_name(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut is_apart = false;
    for character in text.to_lowercase().chars() {
        let part = if character == '&' { "and" } else { "" };
        if !character.is_alphanumeric() && part.is_empty() {
            is_apart = true;
            continue;
        }
        if (is_apart || !part.is_empty()) && !plain.is_empty() {
            plain.push(' ');
        }
        is_apart = !part.is_empty();
        if is_apart {
            plain.push_str(part);
        } else {
            plain.push(character);
        }
    }
    plain
}
