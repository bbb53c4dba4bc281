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
use crate::record::About;
use crate::record::Collection;
use crate::record::RECORD_VERSION;
use crate::record::Row;
use crate::record::YesNo;

/// Reads the sheets of a catalogue, in any order, with headings in any order.
///
/// Returns the record and what was noticed, each with sheet, row and column.
#[must_use]
pub fn from_tables(tables: &[Table]) -> (Collection, ConcernList) {
    from_owned(tables.iter().cloned())
}

/// Does the same with sheets that nobody else needs, without copying their texts.
pub(super) fn from_owned(tables: impl IntoIterator<Item = Table>) -> (Collection, ConcernList) {
    let mut intake = Intake::new();
    for table in tables {
        intake.take(table);
    }
    intake.finish()
}

/// A record under way: sheets are taken one by one, so that the next can be read meanwhile.
pub(super) struct Intake {
    collection: Collection,
    about: Vec<About>,
    unknown: ConcernList,
    /// For each sheet of the catalogue what was noticed and how many tabs of its name were there, in the order of the plans.
    sheets: Vec<(&'static SheetPlan, Remarks, usize)>,
}

impl Intake {
    pub(super) fn new() -> Self {
        Self {
            collection: Collection {
                record_version: RECORD_VERSION,
                ..Collection::default()
            },
            about: Vec::new(),
            unknown: ConcernList::default(),
            sheets: columns::SHEETS
                .iter()
                .map(|plan| (plan, Remarks::new(plan), 0))
                .collect(),
        }
    }

    /// Takes one sheet over.
    pub(super) fn take(&mut self, table: Table) {
        let plan = heading::sheet_named(&table.name);
        let Some((plan, remarks, found)) = self
            .sheets
            .iter_mut()
            .find(|(known, _, _)| Some(*known) == plan)
        else {
            report_unknown_sheet(&table, &mut self.unknown);
            return;
        };
        *found = found.saturating_add(1);
        let to = &mut self.collection;
        macro_rules! into {
            ($sheet:ident, $rows:expr) => {
                read_table(plan, columns::$sheet::FIELDS, table, remarks, $rows)
            };
        }
        match plan.name {
            name if name == columns::COLLECTION.name => into!(collection, &mut self.about),
            name if name == columns::PORTRAITS.name => into!(portraits, &mut to.portraits),
            name if name == columns::SCANS.name => into!(scans, &mut to.scans),
            name if name == columns::WORDS.name => into!(words, &mut to.words),
            name if name == columns::PEOPLE.name => into!(people, &mut to.people),
            name if name == columns::CLAIMS.name => into!(claims, &mut to.claims),
            name if name == columns::CLUES.name => into!(clues, &mut to.clues),
            name if name == columns::LOTS.name => into!(lots, &mut to.lots),
            name if name == columns::LISTINGS.name => into!(listings, &mut to.listings),
            name if name == columns::RIGHTS.name => into!(rights, &mut to.rights),
            name if name == columns::RECEIVERS.name => into!(receivers, &mut to.receivers),
            _ => {}
        }
    }

    /// Adds what was taken over elsewhere. Tabs of one sheet of the catalogue must have been taken over by one of the two.
    pub(super) fn join(&mut self, mut other: Self) {
        macro_rules! append {
            ($($rows:ident)+) => {
                $(append(&mut self.collection.$rows, &mut other.collection.$rows);)+
            };
        }
        append! { portraits scans words people claims clues lots listings rights receivers }
        append(&mut self.about, &mut other.about);
        self.unknown.extend(other.unknown);
        for (mine, theirs) in self.sheets.iter_mut().zip(other.sheets) {
            if theirs.2 > 0 {
                *mine = theirs;
            }
        }
    }

    /// Returns the record and what was noticed, in the order of the sheets of the catalogue.
    pub(super) fn finish(mut self) -> (Collection, ConcernList) {
        let mut concerns = self.unknown;
        for (plan, mut remarks, found) in self.sheets {
            report_count(plan, found, &mut remarks);
            concerns.extend(remarks.finish());
            if plan.name == columns::COLLECTION.name {
                let mut rows = std::mem::take(&mut self.about).into_iter();
                self.collection.about = rows.next().unwrap_or_default();
                if let Some(second) = rows.next() {
                    report_second_row(second, &mut concerns);
                }
            }
        }
        sitter::settle(&mut self.collection, &mut concerns);
        (self.collection, concerns)
    }
}

/// Moves rows to the end of others, without copying them where there are none yet.
fn append<T>(rows: &mut Vec<T>, more: &mut Vec<T>) {
    if rows.is_empty() {
        std::mem::swap(rows, more);
    } else {
        rows.append(more);
    }
}

fn report_second_row(mut second: About, concerns: &mut ConcernList) {
    concerns.warning(
        "more-than-one-row",
        Place::sheet(columns::COLLECTION.name).row(second.row_mut().0),
        "This sheet has one row for the whole collection; only the first was read.",
        "Bring what belongs to the collection together in the first row.",
    );
}

fn report_unknown_sheet(table: &Table, concerns: &mut ConcernList) {
    let unread = [columns::GUIDE_SHEET, columns::LISTS_SHEET].map(heading::fold);
    if !unread.contains(&heading::fold(&table.name)) && !table.is_empty() {
        concerns.note(
            "unknown-sheet",
            Place::sheet(table.name.as_str()),
            "This sheet is none of the catalogue’s own and was not read.",
            "Nothing need be done, unless it should have been one of them: then correct its name.",
        );
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
    table: Table,
    remarks: &mut Remarks,
    rows: &mut Vec<T>,
) {
    let targets = mapping::map(plan, &table, remarks);
    report_lost_zeros(&table, &targets, remarks);
    rows.reserve(table.rows.len());
    for row in table.rows {
        if !row.is_blank() {
            rows.push(read_row(fields, &targets, row, remarks));
        }
    }
}

fn read_row<T: SheetRow>(
    fields: &[Field<T>],
    targets: &[Target],
    row: TableRow,
    remarks: &mut Remarks,
) -> T {
    let mut value = T::default();
    *value.row_mut() = Row(Some(row.number));
    for (target, cell) in targets.iter().zip(row.cells) {
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
                value.extra_mut().insert(name.clone(), cell.text);
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
    mut cell: Cell,
    row: u32,
    remarks: &mut Remarks,
) {
    for noticed in damage::inspect(column, &cell) {
        remarks.cell(
            noticed.code,
            noticed.severity,
            row,
            column.heading,
            noticed.what,
            noticed.remedy,
        );
    }
    let keep = |value: &mut T, text: String| {
        value.extra_mut().insert(column.heading.to_owned(), text);
    };
    if damage::is_error(&cell) {
        return keep(value, cell.text);
    }
    let read = match as_word(column, &cell) {
        Some(word) => (field.read)(value, &mut word.to_owned()),
        None => (field.read)(value, &mut cell.text),
    };
    if let Err(fault) = read {
        report_fault(&fault, column, &cell, row, remarks);
        keep(value, cell.text);
    }
}

/// A spreadsheet may have turned "yes" into its own TRUE.
fn as_word(column: &Column, cell: &Cell) -> Option<&'static str> {
    let turned = cell.kind == Kind::Boolean && column.words == Some(YesNo::WORDS);
    turned.then(|| {
        let word = if cell.text == "TRUE" {
            YesNo::Yes
        } else {
            YesNo::No
        };
        word.word()
    })
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
