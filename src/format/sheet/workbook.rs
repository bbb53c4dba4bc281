//! Reading workbooks: XLSX [ECMA-376] and ODS [ISO 26300].

use super::Budget;
use super::Cell;
use super::Kind;
use super::MAX_COLUMNS;
use super::MAX_ROWS;
use super::SheetFault;
use super::Table;
use super::TableRow;
use super::archive;
use super::archive::Form;
use super::repeats;
use calamine::Data;
use calamine::DataRef;
use calamine::ExcelDateTime;
use calamine::Ods;
use calamine::OdsError;
use calamine::Reader;
use calamine::Xlsx;
use calamine::XlsxError;
use jiff::SignedDuration;
use std::io::Cursor;

/// The beginning of the older binary workbooks, and of newer ones with a password. [MS-CFB 2.2]
const COMPOUND_FILE: &[u8] = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1";

/// Reads every sheet of a workbook, in the order of the tabs.
///
/// # Errors
/// Says when it is no workbook of these forms, has a password, is damaged, or holds more than kithbag will keep in memory.
pub fn read(bytes: &[u8]) -> Result<Vec<Table>, SheetFault> {
    let mut tables = Vec::new();
    open(bytes)?.each(|table| tables.push(table))?;
    Ok(tables)
}

/// A workbook whose zip is unpacked.
#[derive(Debug)]
pub struct Opened {
    parts: archive::Parts,
}

/// Unpacks a workbook within bounds.
///
/// # Errors
/// Says when it is no workbook of these forms, has a password, is damaged, or holds more than kithbag will keep in memory.
pub fn open(bytes: &[u8]) -> Result<Opened, SheetFault> {
    if bytes.starts_with(COMPOUND_FILE) {
        return Err(SheetFault::OldForm {
            form: ".xls, or has a password",
        });
    }
    if !bytes.starts_with(b"PK") {
        return Err(SheetFault::NotASheet {
            found: if bytes.is_empty() {
                "an empty file"
            } else {
                "not a workbook inside"
            },
        });
    }
    let parts = archive::unpack(bytes)?;
    if parts.form == Form::Ods {
        repeats::refuse_too_many(&parts.content)?;
    }
    Ok(Opened { parts })
}

impl Opened {
    /// Reads every sheet, in the order of the tabs, and gives each away as soon as it is read.
    ///
    /// # Errors
    /// As [`read`]; sheets that were given before are sound as far as they go.
    pub fn each(&self, mut give: impl FnMut(Table)) -> Result<(), SheetFault> {
        let Some(mut tabs) = self.tabs()? else {
            return read_ods(&self.parts.zip, give);
        };
        for index in 0..tabs.names.len() {
            if let Some(table) = tabs.read(index)? {
                give(table);
            }
        }
        Ok(())
    }

    /// Returns a reader that takes the sheets in any order, or nothing if this form is only read as a whole. Several readers can be
    /// at work at once; each holds the texts of the whole workbook.
    ///
    /// # Errors
    /// Says that the workbook is damaged or has a password.
    pub fn tabs(&self) -> Result<Option<Tabs<'_>>, SheetFault> {
        if self.parts.form == Form::Ods {
            return Ok(None);
        }
        let book = Xlsx::new(Cursor::new(self.parts.zip.as_slice())).map_err(xlsx_fault)?;
        Ok(Some(Tabs {
            names: book.sheet_names(),
            book,
            budget: Budget::default(),
        }))
    }

    /// Returns how many bytes each sheet probably has, in the order of the tabs: good for sharing work, and for nothing else.
    pub fn sizes(&self) -> impl Iterator<Item = usize> {
        self.parts.sheet_sizes.values().copied()
    }
}

/// The sheets of a workbook, read one by one in any order.
pub struct Tabs<'a> {
    names: Vec<String>,
    book: Xlsx<Cursor<&'a [u8]>>,
    budget: Budget,
}

impl Tabs<'_> {
    /// Returns the names on the tabs.
    #[must_use]
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Returns what was read of the limits.
    #[must_use]
    pub const fn spent(&self) -> Budget {
        self.budget
    }

    /// Reads a sheet by its place among the tabs, counted from 0; nothing if it holds no cells but a chart.
    ///
    /// # Errors
    /// Says that the sheet is damaged, or that this reader has read more than kithbag will keep in memory.
    pub fn read(&mut self, tab: usize) -> Result<Option<Table>, SheetFault> {
        let Some(name) = self.names.get(tab) else {
            return Ok(None);
        };
        match read_worksheet(&mut self.book, name, &mut self.budget) {
            Ok(rows) => Ok(Some(Table::from_rows(name, rows))),
            Err(WorksheetFault::Xlsx(XlsxError::NotAWorksheet(_))) => Ok(None),
            Err(WorksheetFault::Xlsx(error)) => Err(xlsx_fault(error)),
            Err(WorksheetFault::Sheet(fault)) => Err(fault),
        }
    }
}

impl std::fmt::Debug for Tabs<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Tabs").field("names", &self.names).finish()
    }
}

#[derive(Debug)]
enum WorksheetFault {
    Xlsx(XlsxError),
    Sheet(SheetFault),
}

impl From<XlsxError> for WorksheetFault {
    fn from(error: XlsxError) -> Self {
        Self::Xlsx(error)
    }
}

impl From<SheetFault> for WorksheetFault {
    fn from(fault: SheetFault) -> Self {
        Self::Sheet(fault)
    }
}

/// Reads the cells one by one: the area from first to last cell may be far larger than what is filled.
fn read_worksheet(
    book: &mut Xlsx<Cursor<&[u8]>>,
    name: &str,
    budget: &mut Budget,
) -> Result<Vec<TableRow>, WorksheetFault> {
    let mut reader = book.worksheet_cells_reader(name)?;
    let mut rows: Vec<TableRow> = Vec::new();
    let mut is_sorted = true;
    while let Some(record) = reader.next_cell_with_formula_metadata()? {
        let mut cell = match record.value {
            DataRef::SharedString(text) => Cell::text(text),
            other => cell_of(Data::from(other)),
        };
        if record.formula.is_some() {
            cell.kind = Kind::Formula;
        }
        if cell.text.is_empty() && cell.kind == Kind::Text {
            continue;
        }
        let (row, column) = record.pos;
        let row = row_at(&mut rows, row, &mut is_sorted)?;
        place(row, column, cell, budget)?;
    }
    if !is_sorted {
        rows.sort_by_key(|row| row.number);
    }
    Ok(rows)
}

/// Returns the row of an index counted from 0, the last one in most cases.
fn row_at<'a>(
    rows: &'a mut Vec<TableRow>,
    index: u32,
    is_sorted: &mut bool,
) -> Result<&'a mut TableRow, SheetFault> {
    let number = index.saturating_add(1);
    if number > MAX_ROWS {
        return Err(SheetFault::TooBig {
            what: "rows",
            limit: usize::try_from(MAX_ROWS).unwrap_or(usize::MAX),
        });
    }
    let last = rows.last();
    if last.map(|row| row.number) != Some(number) {
        *is_sorted &= last.is_none_or(|last| last.number < number);
        // Rows of a sheet are mostly as wide as the one before.
        let width = last.map_or(0, |last| last.cells.len());
        rows.push(TableRow {
            number,
            cells: Vec::with_capacity(width),
        });
    }
    rows.last_mut()
        .ok_or_else(|| SheetFault::damaged("a cell without a row"))
}

fn place(
    row: &mut TableRow,
    column: u32,
    cell: Cell,
    budget: &mut Budget,
) -> Result<(), SheetFault> {
    let column = usize::try_from(column).unwrap_or(usize::MAX);
    if column >= MAX_COLUMNS {
        return Err(SheetFault::TooBig {
            what: "columns",
            limit: MAX_COLUMNS,
        });
    }
    let wider = column.saturating_add(1).saturating_sub(row.cells.len());
    budget.spend(wider, cell.text.len())?;
    if wider > 0 {
        row.cells
            .resize_with(column.saturating_add(1), Cell::default);
    }
    if let Some(target) = row.cells.get_mut(column) {
        *target = cell;
    }
    Ok(())
}

fn xlsx_fault(error: XlsxError) -> SheetFault {
    match error {
        XlsxError::Password => SheetFault::Password,
        other => SheetFault::damaged(other),
    }
}

fn read_ods(zip: &[u8], mut give: impl FnMut(Table)) -> Result<(), SheetFault> {
    let mut book = Ods::new(Cursor::new(zip)).map_err(ods_fault)?;
    let mut budget = Budget::default();
    for (name, range) in book.worksheets() {
        let Some((first_row, first_column)) = range.start() else {
            give(Table {
                name,
                ..Table::default()
            });
            continue;
        };
        let formulas = book.worksheet_formula(&name).map_err(ods_fault)?;
        let mut rows = Vec::new();
        for (index, cells) in (first_row..).zip(range.rows()) {
            if cells.iter().all(|value| *value == Data::Empty) {
                continue;
            }
            let mut sorted = true;
            let row = row_at(&mut rows, index, &mut sorted)?;
            for (column, value) in (first_column..).zip(cells) {
                let mut cell = cell_of(value.clone());
                if formulas
                    .get_value((index, column))
                    .is_some_and(|formula| !formula.is_empty())
                {
                    cell.kind = Kind::Formula;
                }
                if !cell.text.is_empty() || cell.kind != Kind::Text {
                    place(row, column, cell, &mut budget)?;
                }
            }
        }
        give(Table::from_rows(name, rows));
    }
    Ok(())
}

fn ods_fault(error: OdsError) -> SheetFault {
    match error {
        OdsError::Password => SheetFault::Password,
        OdsError::CellLimitExceeded { max, .. } => SheetFault::TooBig {
            what: "cells",
            limit: max,
        },
        other => SheetFault::damaged(other),
    }
}

fn cell_of(value: Data) -> Cell {
    let (text, kind) = match value {
        Data::Empty => (String::new(), Kind::Text),
        Data::String(text) => (text, Kind::Text),
        Data::Int(number) => (number.to_string(), Kind::Number),
        Data::Float(number) => (number.to_string(), Kind::Number),
        Data::Bool(true) => ("TRUE".to_owned(), Kind::Boolean),
        Data::Bool(false) => ("FALSE".to_owned(), Kind::Boolean),
        Data::DateTime(date) => (date_text(date), Kind::Date),
        Data::DateTimeIso(text) => (without_midnight(&text), Kind::Date),
        Data::DurationIso(text) => (text, Kind::Date),
        Data::Error(error) => (error.to_string(), Kind::Error),
    };
    Cell { text, kind }
}

/// Writes a date that the spreadsheet holds as days since its epoch.
fn date_text(date: ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
    if date.as_f64() < 0.0 && !date.is_duration() {
        return before_epoch(date.as_f64(), year).unwrap_or_else(|| date.as_f64().to_string());
    }
    let time = format!("{hour:02}:{minute:02}:{second:02}");
    // Less than one day is a time of day, and a span of time is no date.
    if date.is_duration() || (0.0..1.0).contains(&date.as_f64()) {
        return if date.is_duration() {
            date.as_f64().to_string()
        } else {
            time
        };
    }
    without_midnight(&format!("{year:04}-{month:02}-{day:02}T{time}"))
}

/// The standard counts no days before the epoch [ECMA-376 part 1, 18.17.4.1]; spreadsheets that can hold older dates go on counting
/// below zero, from 30 December 1899 [ISO 26300, the default of `table:null-date`].
fn before_epoch(days: f64, epoch_year: u16) -> Option<String> {
    let epoch = if epoch_year == 1904 {
        jiff::civil::date(1904, 1, 1)
    } else {
        jiff::civil::date(1899, 12, 30)
    };
    let span = SignedDuration::try_from_secs_f64((days * 86_400.0).round()).ok()?;
    let moment = epoch.at(0, 0, 0, 0).checked_add(span).ok()?;
    Some(without_midnight(&moment.to_string()))
}

fn without_midnight(text: &str) -> String {
    text.strip_suffix("T00:00:00").unwrap_or(text).to_owned()
}

#[cfg(test)]
#[path = "workbook_tests.rs"]
mod tests;
