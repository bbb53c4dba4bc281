//! A record as the sheets of the catalogue.

use super::columns;
use super::columns::Field;
use super::columns::SheetPlan;
use super::heading;
use super::sheet_row::SheetRow;
use crate::format::sheet;
use crate::format::sheet::Cell;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::record::About;
use crate::record::Collection;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Returns every sheet of the catalogue, in the order of the workbook, headings marked, the person's own columns last.
///
/// [`super::from_tables`] gives back an equal record.
#[must_use]
pub fn tables(collection: &Collection) -> Vec<Table> {
    let plans = columns::SHEETS.iter();
    plans.map(|plan| table_of(plan, collection)).collect()
}

/// Returns one sheet of the catalogue. A sheet of a large collection takes more memory than its record, so who can does with one
/// at a time.
#[must_use]
pub fn table_of(plan: &SheetPlan, collection: &Collection) -> Table {
    match *plan {
        columns::COLLECTION => {
            let about = std::slice::from_ref(&collection.about);
            let is_told = collection.about != About::default();
            let rows = if is_told { about } else { &[] };
            table(plan, columns::collection::FIELDS, rows)
        }
        columns::PORTRAITS => table(plan, columns::portraits::FIELDS, &collection.portraits),
        columns::SCANS => table(plan, columns::scans::FIELDS, &collection.scans),
        columns::WORDS => table(plan, columns::words::FIELDS, &collection.words),
        columns::PEOPLE => table(plan, columns::people::FIELDS, &collection.people),
        columns::CLAIMS => table(plan, columns::claims::FIELDS, &collection.claims),
        columns::CLUES => table(plan, columns::clues::FIELDS, &collection.clues),
        columns::LOTS => table(plan, columns::lots::FIELDS, &collection.lots),
        columns::LISTINGS => table(plan, columns::listings::FIELDS, &collection.listings),
        columns::RIGHTS => table(plan, columns::rights::FIELDS, &collection.rights),
        columns::RECEIVERS => table(plan, columns::receivers::FIELDS, &collection.receivers),
        _ => Table::default(),
    }
}

/// Returns the sheets as CSV files: name of the file and its bytes. Sheets without a row are among them, with their headings.
#[must_use]
pub fn csv_files(collection: &Collection) -> Vec<(String, Vec<u8>)> {
    columns::SHEETS
        .iter()
        .map(|plan| {
            let table = table_of(plan, collection);
            (plan.file_name.to_owned(), sheet::write_csv(&table))
        })
        .collect()
}

fn table<T: SheetRow>(plan: &SheetPlan, fields: &[Field<T>], rows: &[T]) -> Table {
    let (kept_texts, own) = extra_columns(plan, rows);
    let headings = plan
        .columns
        .iter()
        .map(columns::Column::marked_heading)
        .chain(own.iter().cloned())
        .collect();
    let cells_of = |row: &T| -> Vec<Cell> {
        let known = fields.iter().enumerate().map(|(index, field)| {
            let kept = kept_texts
                .get(&index)
                .and_then(|keys| keys.iter().find_map(|key| row.extra().get(key)));
            // A text that the field could not take over still stands where the person wrote it.
            kept.map_or_else(|| (field.write)(row), Clone::clone)
        });
        let own = own
            .iter()
            .map(|key| row.extra().get(key).cloned().unwrap_or_default());
        known.chain(own).map(Cell::text).collect()
    };
    Table {
        name: plan.name.to_owned(),
        headings,
        rows: rows
            .iter()
            .zip(2..)
            .map(|(row, number)| TableRow {
                number,
                cells: cells_of(row),
            })
            .collect(),
    }
}

/// Sorts the headings under which rows keep texts: those of columns of the sheet, by the place of the column, and the
/// person's own.
fn extra_columns<T: SheetRow>(
    plan: &SheetPlan,
    rows: &[T],
) -> (BTreeMap<usize, BTreeSet<String>>, BTreeSet<String>) {
    let mut kept: BTreeMap<usize, BTreeSet<String>> = BTreeMap::new();
    let mut own = BTreeSet::new();
    let keys: BTreeSet<&String> = rows.iter().flat_map(|row| row.extra().keys()).collect();
    for key in keys {
        match heading::column_of(plan, key) {
            Some((index, _)) => {
                kept.entry(index).or_default().insert(key.clone());
            }
            None => {
                own.insert(key.clone());
            }
        }
    }
    (kept, own)
}
