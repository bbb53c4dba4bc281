//! Reading a person's own flat sheet: a workbook or a CSV file of any name.

use crate::catalogue::CatalogueError;
use crate::catalogue::read;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::sheet;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::format::sheet::csv;
use crate::store;
use std::path::Path;

/// A flat sheet that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FlatSheet {
    /// The file's name.
    pub file: String,
    /// The sheet: headings and rows.
    pub table: Table,
    /// Words that stand above the headings.
    pub above: Vec<String>,
    /// What was noticed on the way.
    pub concerns: ConcernList,
}

/// Reads a flat sheet. Of a workbook with several filled sheets the one with most rows is taken, and a concern names the others.
///
/// # Errors
/// Says when the disk refuses, or that the file is no sheet that can be read.
pub fn read_flat(path: &Path) -> Result<FlatSheet, CatalogueError> {
    let file = path
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let bytes = store::read_all(path)?;
    let mut concerns = ConcernList::default();
    let table = if is_csv(&file) {
        let stem = file
            .rsplit_once('.')
            .map_or(file.as_str(), |(stem, _)| stem);
        let reading = csv::read(stem, &bytes).map_err(|fault| refused(&file, fault))?;
        read::report_form(&file, &reading, &mut concerns);
        reading.table
    } else {
        let tables = sheet::read_workbook(&bytes).map_err(|fault| refused(&file, fault))?;
        fullest(tables, &file, &mut concerns)
    };
    let (above, table) = without_title(table);
    Ok(FlatSheet {
        file,
        table,
        above,
        concerns,
    })
}

fn refused(file: &str, fault: sheet::SheetFault) -> CatalogueError {
    CatalogueError::Sheet {
        file: file.to_owned(),
        fault,
    }
}

fn is_csv(file: &str) -> bool {
    let ending = file.rsplit_once('.').map_or("", |(_, ending)| ending);
    ["csv", "tsv", "txt"]
        .iter()
        .any(|known| ending.eq_ignore_ascii_case(known))
}

fn fullest(tables: Vec<Table>, file: &str, concerns: &mut ConcernList) -> Table {
    let most = tables.iter().map(|table| table.rows.len()).max();
    let mut chosen = None;
    for table in tables {
        if chosen.is_none() && Some(table.rows.len()) == most {
            chosen = Some(table);
        } else if !table.is_empty() {
            let place = Place {
                sheet: Some(table.name),
                ..Place::file(file)
            };
            concerns.warning(
                "sheet-not-taken",
                place,
                format!(
                    "This sheet was not taken over ({} rows): kithbag takes one sheet, the one with most rows.",
                    table.rows.len()
                ),
                "If it belongs to the catalogue, copy its rows into the sheets of the catalogue by hand; your own file is left as it is.",
            );
        }
    }
    chosen.unwrap_or_default()
}

/// A title often stands above the headings: rows with one filled cell, before one with several.
fn without_title(table: Table) -> (Vec<String>, Table) {
    const LOOKED_AT: usize = 6;
    let filled = |texts: &mut dyn Iterator<Item = &str>| {
        texts.filter(|text| !text.trim().is_empty()).count()
    };
    if filled(&mut table.headings.iter().map(String::as_str)) != 1 {
        return (Vec::new(), table);
    }
    let headings = table
        .rows
        .iter()
        .take(LOOKED_AT)
        .position(|row| filled(&mut row.cells.iter().map(|cell| cell.text.as_str())) > 1);
    let Some(at) = headings else {
        return (Vec::new(), table);
    };
    let cells_of = |row: &TableRow| -> Vec<String> {
        row.cells.iter().map(|cell| cell.text.clone()).collect()
    };
    let before = table.rows.iter().take(at).flat_map(cells_of);
    let above = table
        .headings
        .iter()
        .cloned()
        .chain(before)
        .filter(|text| !text.trim().is_empty())
        .collect();
    (
        above,
        Table::from_rows(table.name, table.rows.into_iter().skip(at)),
    )
}
