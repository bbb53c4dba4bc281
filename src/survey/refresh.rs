//! What is to be added to a catalogue that is there: new rows, and blank cells of kithbag's own columns.

use super::SurveyError;
use crate::catalogue;
use crate::catalogue::CatalogueError;
use crate::catalogue::CatalogueForm;
use crate::catalogue::columns;
use crate::catalogue::columns::SHEETS;
use crate::catalogue::columns::SheetPlan;
use crate::format::sheet::SheetFault;
use crate::format::sheet::Table;
use crate::format::sheet::csv;
use crate::format::sheet::read_workbook;
use crate::format::sheet::refresh::Fill;
use crate::format::sheet::refresh::SheetAdditions;
use crate::record::Collection;
use crate::store;
use crate::store::tree;
use std::path::Path;

/// What is to be added to one sheet.
#[derive(Debug)]
pub(super) struct Addition {
    pub(super) plan: &'static SheetPlan,
    /// All new rows, under our own headings.
    pub(super) rows: Table,
    /// The additions under the headings that stand in the person's sheet.
    pub(super) to_sheet: SheetAdditions,
    /// Columns that the person's sheet does not have although there is something for them.
    pub(super) without_column: Vec<&'static str>,
}

/// Reads the files of the catalogue as they are: name relative to the collection, and bytes.
pub(super) fn catalogue_bytes(root: &Path) -> Result<Vec<(String, Vec<u8>)>, SurveyError> {
    let found = catalogue::locate(root).map_err(SurveyError::Catalogue)?;
    let Some((form, name)) = found.into_iter().next() else {
        return Ok(Vec::new());
    };
    if form != CatalogueForm::CsvFolder {
        let bytes = store::read_all(&root.join(&name))?;
        return Ok(vec![(name, bytes)]);
    }
    let listed = tree::list(&root.join(&name))?;
    let direct = listed.files.iter().filter(|file| !file.path.contains('/'));
    let sheets = direct.filter(|file| is_csv(&file.path));
    sheets
        .map(|file| {
            Ok((
                format!("{name}/{}", file.path),
                store::read_all(&file.full_path)?,
            ))
        })
        .collect()
}

fn is_csv(name: &str) -> bool {
    let ending = name.rsplit('.').next().unwrap_or("");
    ending.eq_ignore_ascii_case("csv") || ending.eq_ignore_ascii_case("tsv")
}

/// Reads the headings of the catalogue's files; each CSV file is one table. Their rows were read before and are let go.
pub(super) fn tables(
    form: CatalogueForm,
    files: &[(String, Vec<u8>)],
) -> Result<Vec<Table>, SurveyError> {
    let fault = |file: &str, fault: SheetFault| {
        SurveyError::Catalogue(CatalogueError::Sheet {
            file: file.to_owned(),
            fault,
        })
    };
    if form != CatalogueForm::CsvFolder {
        let Some((name, bytes)) = files.first() else {
            return Ok(Vec::new());
        };
        let read = read_workbook(bytes).map_err(|error| fault(name, error))?;
        return Ok(read.into_iter().map(headings).collect());
    }
    files
        .iter()
        .map(|(name, bytes)| {
            let reading = csv::read(stem(name), bytes).map_err(|error| fault(name, error))?;
            Ok(headings(reading.table))
        })
        .collect()
}

fn headings(table: Table) -> Table {
    Table {
        rows: Vec::new(),
        ..table
    }
}

/// Returns the last part of a path without its ending.
pub(super) fn stem(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

/// Works out what is to be added. `theirs` are the tables as they stand in the person's files.
pub(super) fn additions(
    before: &Collection,
    after: &Collection,
    theirs: &[Table],
) -> Vec<Addition> {
    SHEETS
        .iter()
        .filter_map(|plan| {
            let of = |collection| catalogue::table_of(plan, collection);
            let their = theirs
                .iter()
                .find(|table| catalogue::sheet_named(&table.name) == Some(plan));
            addition(plan, of(before), of(after), their, &rows_of(plan, before))
        })
        .collect()
}

/// Returns the row of each scan or person as a spreadsheet counts it, in the order of the record. In the rows of other sheets nothing is
/// ever filled.
fn rows_of(plan: &SheetPlan, collection: &Collection) -> Vec<Option<u32>> {
    if *plan == columns::SCANS {
        collection.scans.iter().map(|scan| scan.row.0).collect()
    } else if *plan == columns::PEOPLE {
        collection.people.iter().map(|one| one.row.0).collect()
    } else {
        Vec::new()
    }
}

fn addition(
    plan: &'static SheetPlan,
    old: Table,
    mut new: Table,
    their: Option<&Table>,
    known_rows: &[Option<u32>],
) -> Option<Addition> {
    let known = old.rows.len().min(new.rows.len());
    let fresh = new.rows.split_off(known);
    let heading = |at: usize| their_heading(plan, &new.headings, at, their);
    let fills = fills(plan, &old, &new, known_rows, heading);
    // Of a large collection these are the largest: let go before the new rows are written down.
    drop((old, new.rows));
    let mut without_column = Vec::new();
    let mut rows = Vec::new();
    for row in &fresh {
        let mut cells = Vec::new();
        for (at, cell) in row.cells.iter().enumerate() {
            if cell.text.is_empty() {
                continue;
            }
            match (heading(at), plan.columns.get(at)) {
                (Some(heading), _) => cells.push((heading, cell.text.clone())),
                (None, Some(column)) if !column.filled_by_tool => {
                    without_column.push(column.heading);
                }
                (None, _) => {}
            }
        }
        rows.push(cells);
    }
    without_column.sort_unstable();
    without_column.dedup();
    if rows.is_empty() && fills.is_empty() {
        return None;
    }
    Some(Addition {
        plan,
        rows: Table {
            name: new.name,
            headings: new.headings,
            rows: fresh,
        },
        to_sheet: SheetAdditions {
            sheet: their.map_or_else(|| plan.name.to_owned(), |table| table.name.clone()),
            fills,
            rows,
        },
        without_column,
    })
}

/// Returns the heading under which a column of ours stands in the person's sheet.
fn their_heading(
    plan: &SheetPlan,
    headings: &[String],
    at: usize,
    their: Option<&Table>,
) -> Option<String> {
    let Some(their) = their else {
        return headings.get(at).cloned();
    };
    let means_it = |heading: &&String| match plan.columns.get(at) {
        Some(column) => catalogue::column_of(plan, heading).is_some_and(|(_, one)| one == column),
        None => headings
            .get(at)
            .is_some_and(|own| own.trim() == heading.trim()),
    };
    their.headings.iter().find(means_it).cloned()
}

/// Returns what is now known for cells that were blank: those of kithbag's own columns, and those of people whom a family tree tells
/// more about.
fn fills(
    plan: &SheetPlan,
    old: &Table,
    new: &Table,
    rows: &[Option<u32>],
    heading: impl Fn(usize) -> Option<String>,
) -> Vec<Fill> {
    let may_be_filled: Vec<(usize, String)> = plan
        .columns
        .iter()
        .enumerate()
        .filter(|(_, column)| column.filled_by_tool || *plan == columns::PEOPLE)
        .filter_map(|(at, _)| Some((at, heading(at)?)))
        .collect();
    let mut fills = Vec::new();
    for ((was, is), row) in old.rows.iter().zip(&new.rows).zip(rows) {
        let Some(row) = *row else { continue };
        for (at, heading) in &may_be_filled {
            if was.text(*at).is_empty() && !is.text(*at).is_empty() {
                fills.push(Fill {
                    row,
                    heading: heading.clone(),
                    text: is.text(*at).to_owned(),
                });
            }
        }
    }
    fills
}
