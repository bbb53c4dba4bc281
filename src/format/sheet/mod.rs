//! Sheets: CSV, XLSX and ODS as tables of text cells, and back.

pub mod draft;
pub mod refresh;
