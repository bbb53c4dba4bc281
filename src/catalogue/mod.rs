//! The catalogue: the sheets that the person fills, as a record, and back.
//!
//! [`columns::SHEETS`] is the one table of sheets and columns: reading, writing, the drafted workbook and the dictionary of
//! columns in a package all follow it.
#![expect(
    dead_code,
    reason = "the readers and writers of these columns come with the next change"
)]

mod cell;
pub mod columns;
mod heading;
mod sitter;

pub use cell::BETWEEN_VALUES;
pub use heading::column_of;
pub use heading::sheet_named;
