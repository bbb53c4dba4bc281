//! The sheets of the catalogue as a record. Nothing that a person wrote is lost: what a field cannot take over is kept under its
//! heading, and told.

use super::cell::CellFault;
use super::cell::Holds;
use super::columns;
use super::columns::Column;
use super::columns::Field;
use super::columns::SheetPlan;
use super::damage;
use super::heading;
use super::mapping;
use super::mapping::Target;
use super::remarks::Remarks;
use super::sheet_row::SheetRow;
use super::sitter;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;
use crate::format::sheet::Cell;
use crate::format::sheet::Kind;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::record::Collection;
use crate::record::RECORD_VERSION;
use crate::record::Row;
use crate::record::YesNo;
use std::borrow::Cow;

/// Reads the sheets of a catalogue, in any order, with headings in any order.
///
/// Returns the record and what was noticed, each with sheet, row and column.
#[must_use]
pub fn from_tables(tables: &[Table]) -> (Collection, ConcernList) {
    let mut concerns = ConcernList::default();
    report_unknown_sheets(tables, &mut concerns);
    let mut intake = Intake { tables, concerns };
    let mut collection = Collection {
        record_version: RECORD_VERSION,
        about: intake.only_row(&columns::COLLECTION, columns::collection::FIELDS),
        portraits: intake.rows(&columns::PORTRAITS, columns::portraits::FIELDS),
        scans: intake.rows(&columns::SCANS, columns::scans::FIELDS),
        words: intake.rows(&columns::WORDS, columns::words::FIELDS),
        people: intake.rows(&columns::PEOPLE, columns::people::FIELDS),
        claims: intake.rows(&columns::CLAIMS, columns::claims::FIELDS),
        clues: intake.rows(&columns::CLUES, columns::clues::FIELDS),
        lots: intake.rows(&columns::LOTS, columns::lots::FIELDS),
        listings: intake.rows(&columns::LISTINGS, columns::listings::FIELDS),
        rights: intake.rows(&columns::RIGHTS, columns::rights::FIELDS),
        receivers: intake.rows(&columns::RECEIVERS, columns::receivers::FIELDS),
        editions: Vec::new(),
    };
    sitter::settle(&mut collection, &mut intake.concerns);
    (collection, intake.concerns)
}

fn report_unknown_sheets(tables: &[Table], concerns: &mut ConcernList) {
    let unread = [columns::GUIDE_SHEET, columns::LISTS_SHEET].map(heading::fold);
    for table in tables {
        let known = heading::sheet_named(&table.name).is_some()
            || unread.contains(&heading::fold(&table.name));
        if !known && !table.is_empty() {
            concerns.note(
                "unknown-sheet",
                Place::sheet(table.name.as_str()),
                "This sheet is none of the catalogue’s own and was not read.",
                "Nothing need be done, unless it should have been one of them: then correct its name.",
            );
        }
    }
}

struct Intake<'a> {
    tables: &'a [Table],
    concerns: ConcernList,
}

impl Intake<'_> {
    fn rows<T: SheetRow>(&mut self, plan: &'static SheetPlan, fields: &[Field<T>]) -> Vec<T> {
        let mut remarks = Remarks::new(plan);
        let mut rows = Vec::new();
        let mut found = 0_usize;
        for table in self.tables {
            if heading::sheet_named(&table.name) == Some(plan) {
                found = found.saturating_add(1);
                read_table(plan, fields, table, &mut remarks, &mut rows);
            }
        }
        report_count(plan, found, &mut remarks);
        self.concerns.extend(remarks.finish());
        rows
    }

    fn only_row<T: SheetRow>(&mut self, plan: &'static SheetPlan, fields: &[Field<T>]) -> T {
        let mut rows = self.rows(plan, fields).into_iter();
        let first = rows.next().unwrap_or_default();
        if let Some(mut second) = rows.next() {
            self.concerns.warning(
                "more-than-one-row",
                Place::sheet(plan.name).row(second.row_mut().0),
                "This sheet has one row for the whole collection; only the first was read.",
                "Bring what belongs to the collection together in the first row.",
            );
        }
        first
    }
}

fn report_count(plan: &SheetPlan, found: usize, remarks: &mut Remarks) {
    if found == 0 {
        let is_needed = [columns::PORTRAITS.name, columns::SCANS.name].contains(&plan.name);
        remarks.whole(
            "missing-sheet",
            if is_needed { Severity::Warning } else { Severity::Note },
            None,
            format!("The catalogue has no sheet “{}”.", plan.name),
            "Run “kithbag survey” on the collection again: it adds the sheets that are missing and changes no cell that is filled.",
        );
    } else if found > 1 {
        remarks.whole(
            "sheet-twice",
            Severity::Warning,
            None,
            format!(
                "The catalogue has {found} sheets “{}”; all were read.",
                plan.name
            ),
            "Bring the rows together in one sheet.",
        );
    }
}

fn read_table<T: SheetRow>(
    plan: &SheetPlan,
    fields: &[Field<T>],
    table: &Table,
    remarks: &mut Remarks,
    rows: &mut Vec<T>,
) {
    let targets = mapping::map(plan, table, remarks);
    report_lost_zeros(table, &targets, remarks);
    rows.reserve(table.rows.len());
    for row in &table.rows {
        if !row.is_blank() {
            rows.push(read_row(fields, &targets, row, remarks));
        }
    }
}

fn read_row<T: SheetRow>(
    fields: &[Field<T>],
    targets: &[Target],
    row: &TableRow,
    remarks: &mut Remarks,
) -> T {
    let mut value = T::default();
    *value.row_mut() = Row(Some(row.number));
    for (target, cell) in targets.iter().zip(&row.cells) {
        if cell.text.is_empty() {
            continue;
        }
        match target {
            Target::Known(place, column) => {
                if let Some(field) = fields.get(*place) {
                    read_cell(&mut value, field, column, cell, row.number, remarks);
                }
            }
            Target::Own(name) if !cell.is_blank() => {
                value.extra_mut().insert(name.clone(), cell.text.clone());
            }
            Target::Own(_) | Target::Empty => {}
        }
    }
    value
}

fn read_cell<T: SheetRow>(
    value: &mut T,
    field: &Field<T>,
    column: &Column,
    cell: &Cell,
    row: u32,
    remarks: &mut Remarks,
) {
    for noticed in damage::inspect(column, cell) {
        remarks.cell(
            noticed.code,
            noticed.severity,
            row,
            column.heading,
            noticed.what,
            noticed.remedy,
        );
    }
    let keep = |value: &mut T| {
        value
            .extra_mut()
            .insert(column.heading.to_owned(), cell.text.clone());
    };
    if damage::is_error(cell) {
        return keep(value);
    }
    if let Err(fault) = (field.read)(value, &as_word(column, cell)) {
        keep(value);
        report_fault(&fault, column, cell, row, remarks);
    }
}

/// A spreadsheet may have turned "yes" into its own TRUE.
fn as_word<'a>(column: &Column, cell: &'a Cell) -> Cow<'a, str> {
    if cell.kind == Kind::Boolean && column.words == Some(YesNo::WORDS) {
        let word = if cell.text == "TRUE" {
            YesNo::Yes
        } else {
            YesNo::No
        };
        return Cow::Borrowed(word.word());
    }
    Cow::Borrowed(&cell.text)
}

fn report_fault(fault: &CellFault, column: &Column, cell: &Cell, row: u32, remarks: &mut Remarks) {
    let (code, what, remedy) = match fault {
        CellFault::NotAWord { values, words } => (
            "word-not-in-list",
            format!(
                "{} is none of the words that this column knows.",
                damage::quoted(&values.join(" ; "))
            ),
            format!(
                "Choose one of these: {}. What you wrote is kept; if none fits, put it under “Notes”.",
                words.join(", ")
            ),
        ),
        CellFault::NotADate(fault) => (
            "date-not-read",
            format!("{} is not understood as a date: {fault}.", damage::quoted(&cell.text)),
            "Write for example 1895, about 1895, 1890s, before 1901, or between 1890 and 1900. What you wrote is kept.".to_owned(),
        ),
        CellFault::NotANumber => (
            "not-a-whole-number",
            format!("{} is no whole number.", damage::quoted(&cell.text)),
            "Run “kithbag survey” again: this column is filled by kithbag.".to_owned(),
        ),
        // Told when the people are known.
        CellFault::NameForNumber => return,
    };
    remarks.cell(code, Severity::Warning, row, column.heading, what, remedy);
}

/// Looks down the columns that hold numbers of things for those that lost their leading zeros.
fn report_lost_zeros(table: &Table, targets: &[Target], remarks: &mut Remarks) {
    for (index, target) in targets.iter().enumerate() {
        let Target::Known(_, column) = target else {
            continue;
        };
        let holds_number = column.holds == Holds::Reference
            || column.heading == "Number on it"
            || column.heading == "File name now";
        if !holds_number {
            continue;
        }
        let values: Vec<&str> = table
            .rows
            .iter()
            .map(|row| row.text(index).trim())
            .collect();
        for (place, proposal) in damage::lost_zeros(&values) {
            let Some(row) = table.rows.get(place) else {
                continue;
            };
            remarks.cell(
                "zeros-lost",
                Severity::Warning,
                row.number,
                column.heading,
                format!(
                    "{} is shorter than the other numbers of this column; the spreadsheet may have taken zeros away.",
                    damage::quoted(row.text(index))
                ),
                format!("If {} stood there, format the column as text and type that again.", damage::quoted(&proposal)),
            );
        }
    }
}
