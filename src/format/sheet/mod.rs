//! Sheets: CSV [RFC4180], XLSX [ECMA-376] and ODS [ISO 26300] as tables of text cells, and back to CSV.
//!
//! Each cell keeps what it was in the file ([`Kind`]), so that what a spreadsheet did to a text can be noticed afterwards.

mod archive;
pub mod csv;
mod csv_write;
pub mod draft;
mod drawings;
mod encoding;
pub mod refresh;
mod repeats;
mod workbook;

pub use csv_write::is_guarded;
pub use csv_write::write as write_csv;
pub use encoding::Encoding;
pub use workbook::Opened;
pub use workbook::Tabs;
pub use workbook::open as open_workbook;
pub use workbook::read as read_workbook;

/// Most rows of a sheet: what common spreadsheets can hold. [ECMA-376 part 1, 18.3.1.73: rows are numbered to 1048576]
pub const MAX_ROWS: u32 = 1_048_576;

/// Most columns of a sheet. The widest sheet of the catalogue has fifty; a sheet with thousands is a mistake or an attack, and
/// every row would have to be padded to that width.
pub const MAX_COLUMNS: usize = 1_024;

/// Most cells of all sheets of a file together, some twenty times what a hundred thousand portraits need: keeps memory bounded.
pub const MAX_CELLS: usize = 20_000_000;

/// Most bytes of text of all cells of a file together: one shared string can stand in millions of cells.
pub const MAX_TEXT: usize = 512 * 1024 * 1024;

/// One sheet as text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Table {
    /// The name on the tab, or of the CSV file without its ending.
    pub name: String,
    /// The texts of the first row that is not empty, without the empty ones at its end.
    pub headings: Vec<String>,
    /// The rows below it that are not empty.
    pub rows: Vec<TableRow>,
}

/// One row of a sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TableRow {
    /// Its number as a spreadsheet counts: the first row is 1.
    pub number: u32,
    /// Its cells from the first column on; cells that are missing at the end are empty.
    pub cells: Vec<Cell>,
}

/// One cell.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cell {
    /// Its text. A whole number has no decimal point; a date is `YYYY-MM-DD`.
    pub text: String,
    /// What it was in the file.
    pub kind: Kind,
}

/// What a cell was in the file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Text, and every cell of a CSV file.
    #[default]
    Text,
    /// A number.
    Number,
    /// A date or time, as the spreadsheet understood it.
    Date,
    /// Yes or no, as the spreadsheet understood it.
    Boolean,
    /// An error of the spreadsheet, such as `#REF!`.
    Error,
    /// The last result of a formula.
    Formula,
}

impl Cell {
    /// Returns a cell of text.
    #[must_use]
    pub fn text(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            kind: Kind::Text,
        }
    }

    /// Tells whether nothing or nothing but blanks stands in it.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.text.trim().is_empty()
    }
}

impl TableRow {
    /// Returns the text of a column counted from 0, empty where there is no cell.
    #[must_use]
    pub fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.text.as_str())
    }

    /// Tells whether nothing stands in any cell.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(Cell::is_blank)
    }
}

impl Table {
    /// Makes a table from rows in ascending order: the first that is not empty holds the headings, later empty ones are left
    /// out.
    #[must_use]
    pub fn from_rows(name: impl Into<String>, rows: impl IntoIterator<Item = TableRow>) -> Self {
        let mut filled = rows.into_iter().filter(|row| !row.is_blank());
        let mut headings: Vec<String> = filled.next().map_or_else(Vec::new, |row| {
            row.cells.into_iter().map(|cell| cell.text).collect()
        });
        while headings.last().is_some_and(|last| last.trim().is_empty()) {
            headings.pop();
        }
        Self {
            name: name.into(),
            headings,
            rows: filled.collect(),
        }
    }

    /// Tells whether it has neither headings nor rows.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.headings.is_empty() && self.rows.is_empty()
    }
}

/// Why a file cannot be read as sheets.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetFault {
    /// It is something else.
    #[error("it is not a spreadsheet that can be read ({found})")]
    NotASheet {
        /// What it looks like.
        found: &'static str,
    },
    /// It is one of the older or binary forms.
    #[error("it has the older form {form}")]
    OldForm {
        /// The form.
        form: &'static str,
    },
    /// It is locked with a password.
    #[error("it is locked with a password")]
    Password,
    /// Its parts contradict each other or end too early.
    #[error("it is damaged: {why}")]
    Damaged {
        /// What was met.
        why: String,
    },
    /// It is bigger than kithbag will hold in memory.
    #[error("it holds more than {limit} {what}")]
    TooBig {
        /// What there is too much of.
        what: &'static str,
        /// The limit.
        limit: usize,
    },
}

impl SheetFault {
    fn damaged(why: impl std::fmt::Display) -> Self {
        Self::Damaged {
            why: why.to_string(),
        }
    }

    /// Returns what a person can do about it, a sentence.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NotASheet { .. } => {
                "Save the sheet as .xlsx, .ods or .csv from your spreadsheet program."
            }
            Self::OldForm { .. } | Self::Password => {
                "Open it in your spreadsheet program and save it again as an ordinary .xlsx or .ods without a password."
            }
            Self::Damaged { .. } => {
                "Open it in your spreadsheet program; if that works, save it under a new name, else take your last good copy."
            }
            Self::TooBig { .. } => {
                "Take out what does not belong to the catalogue, or split the collection in two."
            }
        }
    }
}

/// Counts cells and text against the limits.
#[derive(Debug, Clone, Copy, Default)]
pub struct Budget {
    cells: usize,
    text: usize,
}

impl Budget {
    /// Adds what another reader of the same file has read.
    ///
    /// # Errors
    /// Says that both together are more than kithbag will keep in memory.
    pub fn and(mut self, other: Self) -> Result<Self, SheetFault> {
        self.spend(other.cells, other.text)?;
        Ok(self)
    }

    fn spend(&mut self, cells: usize, text: usize) -> Result<(), SheetFault> {
        self.cells = self.cells.saturating_add(cells);
        self.text = self.text.saturating_add(text);
        if self.cells > MAX_CELLS {
            return Err(SheetFault::TooBig {
                what: "cells",
                limit: MAX_CELLS,
            });
        }
        if self.text > MAX_TEXT {
            return Err(SheetFault::TooBig {
                what: "bytes of text",
                limit: MAX_TEXT,
            });
        }
        Ok(())
    }
}
