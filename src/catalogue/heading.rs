//! Which column a heading means.

use super::columns::Column;
use super::columns::SHEETS;
use super::columns::SheetPlan;

/// Returns the form in which headings are compared: letters and digits alone, lower case; `*`, blanks and marks do not count.
pub(super) fn fold(heading: &str) -> String {
    heading
        .chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// Finds the column of a sheet that a heading means.
#[must_use]
pub fn column_of(plan: &SheetPlan, heading: &str) -> Option<(usize, &'static Column)> {
    let folded = fold(heading);
    let columns: &'static [Column] = plan.columns;
    let exact = columns
        .iter()
        .enumerate()
        .find(|(_, column)| fold(column.heading) == folded);
    exact.or_else(|| {
        columns.iter().enumerate().find(|(_, column)| {
            column
                .other_headings
                .iter()
                .any(|other| fold(other) == folded)
        })
    })
}

/// Finds the sheet that a name on a tab, or a file name without its ending, means.
#[must_use]
pub fn sheet_named(name: &str) -> Option<&'static SheetPlan> {
    let folded = fold(name);
    SHEETS.iter().find(|plan| {
        fold(plan.name) == folded
            || plan
                .file_name
                .strip_suffix(".csv")
                .is_some_and(|stem| fold(stem) == folded)
    })
}
