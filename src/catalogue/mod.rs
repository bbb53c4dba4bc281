//! The catalogue: the sheets that the person fills, as a record, and back.
//!
//! [`columns::SHEETS`] is the one table of sheets and columns: reading, writing, the drafted workbook and the dictionary of
//! columns in a package all follow it.

mod cell;
pub mod columns;
mod damage;
mod date_cell;
pub mod dictionary;
pub mod flat;
mod garbled;
pub mod guide;
mod heading;
mod intake;
pub mod json;
mod mapping;
mod output;
pub mod read;
mod remarks;
pub mod schemas;
mod sharing;
mod sheet_row;
mod sitter;

pub use cell::BETWEEN_VALUES;
pub use dictionary::column_dictionary;
pub use flat::ColumnGuess;
pub use flat::FlatSheet;
pub use flat::Proposal;
pub use flat::from_flat;
pub use flat::read_flat;
pub use heading::column_of;
pub use heading::sheet_named;
pub use intake::from_tables;
pub use output::csv_files;
pub use output::table_of;
pub use output::tables;
pub use read::CatalogueError;
pub use read::CatalogueForm;
pub use read::CatalogueSource;
pub use read::Reading;
pub use read::locate;
pub use read::read;

#[cfg(test)]
mod intake_tests;
#[cfg(test)]
mod law_tests;
