//! The catalogue: the sheets that the person fills, as a record, and back.
//!
//! [`columns::SHEETS`] is the one table of sheets and columns: reading, writing, the drafted workbook and the dictionary of
//! columns in a package all follow it.

mod cell;
pub mod columns;
mod damage;
mod heading;
mod intake;
mod mapping;
mod output;
mod remarks;
mod sheet_row;
mod sitter;

pub use cell::BETWEEN_VALUES;
pub use heading::column_of;
pub use heading::sheet_named;
pub use intake::from_tables;
pub use output::csv_files;
pub use output::tables;
