//! Which columns of a sheet hold what: ours by their headings in any order, the person's own by theirs.

use super::columns::Column;
use super::columns::SheetPlan;
use super::garbled::mend;
use super::heading;
use super::remarks::Remarks;
use crate::concern::Severity;
use crate::format::sheet::Table;
use std::collections::BTreeSet;

/// What one column of a person's sheet holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Target {
    /// A column of the plan, by its place there.
    Known(usize, &'static Column),
    /// A column of the person's own, by its heading.
    Own(String),
    /// Nothing.
    Empty,
}

/// Finds what each column of a table holds, and tells what is odd about the headings.
pub(super) fn map(plan: &SheetPlan, table: &Table, remarks: &mut Remarks) -> Vec<Target> {
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let mut own: BTreeSet<String> = BTreeSet::new();
    let width = table
        .rows
        .iter()
        .map(|row| row.cells.len())
        .chain([table.headings.len()])
        .max()
        .unwrap_or_default();
    let mut targets = Vec::with_capacity(width);
    for index in 0..width {
        let written = table.headings.get(index).map_or("", |text| text.trim());
        let target = if written.is_empty() {
            unnamed(table, index, remarks)
        } else {
            named(plan, written, &taken, remarks)
        };
        targets.push(match target {
            Target::Known(place, column) => {
                taken.insert(place);
                Target::Known(place, column)
            }
            Target::Own(name) => {
                let name = distinct(name, &own);
                own.insert(name.clone());
                Target::Own(name)
            }
            Target::Empty => Target::Empty,
        });
    }
    report_missing(plan, table, &taken, remarks);
    targets
}

fn named(
    plan: &SheetPlan,
    written: &str,
    taken: &BTreeSet<usize>,
    remarks: &mut Remarks,
) -> Target {
    match heading::column_of(plan, written) {
        Some((place, column)) if !taken.contains(&place) => Target::Known(place, column),
        Some((_, column)) => {
            remarks.whole(
                "heading-twice",
                Severity::Warning,
                Some(written),
                format!(
                    "Two columns are headed “{}”; the first was read, the second is kept as a column of your own.",
                    column.heading
                ),
                "Bring both together in one column, or give one of them another heading.",
            );
            Target::Own(format!("{written} (2)"))
        }
        None => garbled(plan, written, taken, remarks).unwrap_or_else(|| {
            remarks.whole(
                "unknown-heading",
                Severity::Note,
                Some(written),
                "This column is none of the catalogue’s own; it is kept and carried along as it is.",
                "Nothing need be done, unless it should have been one of the catalogue’s columns: then correct the heading.",
            );
            Target::Own(written.to_owned())
        }),
    }
}

/// A heading that was stored as UTF-8 and opened as Windows-1252, as the first one of a CSV file with its mark: `ï»¿"Portrait no."`.
fn garbled(
    plan: &SheetPlan,
    written: &str,
    taken: &BTreeSet<usize>,
    remarks: &mut Remarks,
) -> Option<Target> {
    let (place, column) = heading::column_of(plan, &mend(written)?)?;
    if taken.contains(&place) {
        return None;
    }
    remarks.whole(
        "garbled-letters",
        Severity::Warning,
        Some(written),
        format!(
            "This heading looks like “{}”, opened with the wrong encoding; it was read so, and other letters of the sheet may be garbled too.",
            column.heading
        ),
        "Open the CSV file again in your spreadsheet program, choose UTF-8 in the window that it shows, and save from there.",
    );
    Some(Target::Known(place, column))
}

/// A column without a heading counts only when something stands in it.
fn unnamed(table: &Table, index: usize, remarks: &mut Remarks) -> Target {
    let is_filled = |row: &&crate::format::sheet::TableRow| !row.text(index).trim().is_empty();
    let Some(row) = table.rows.iter().find(is_filled) else {
        return Target::Empty;
    };
    let name = format!("column {}", letters(index));
    remarks.cell(
        "no-heading",
        Severity::Warning,
        row.number,
        &name,
        "Something stands in this column, but it has no heading; it is kept as a column of your own.",
        "Give the column a heading, or empty it.",
    );
    Target::Own(name)
}

fn distinct(name: String, own: &BTreeSet<String>) -> String {
    let mut candidate = name.clone();
    let mut count = 2_u32;
    while own.contains(&candidate) {
        candidate = format!("{name} ({count})");
        count = count.saturating_add(1);
    }
    candidate
}

fn report_missing(plan: &SheetPlan, table: &Table, taken: &BTreeSet<usize>, remarks: &mut Remarks) {
    if table.rows.is_empty() {
        return;
    }
    for (place, column) in plan.columns.iter().enumerate() {
        if column.required && !taken.contains(&place) {
            remarks.whole(
                "missing-column",
                Severity::Warning,
                Some(column.heading),
                format!("The sheet has no column “{}”.", column.heading),
                format!("Add a column with that heading: {}", column.help),
            );
        }
    }
}

/// Returns the letters by which spreadsheets name a column: A to Z, AA and so on.
fn letters(index: usize) -> String {
    let mut name = Vec::new();
    let mut rest = index.saturating_add(1);
    while rest > 0 {
        let digit = rest.saturating_sub(1) % 26;
        let letter = u8::try_from(digit).unwrap_or_default().saturating_add(b'A');
        name.push(char::from(letter));
        rest = rest.saturating_sub(1) / 26;
    }
    name.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::letters;

    #[test]
    fn columns_are_named_as_in_a_spreadsheet() {
        let names: Vec<String> = [0, 25, 26, 51, 52, 701, 702].map(letters).to_vec();
        assert_eq!(names, ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
