//! Gathers the concerns of one sheet, so that a fault that runs down a whole column is told once and not ten thousand times.

use super::columns::SheetPlan;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;
use std::collections::BTreeMap;

/// How many concerns of one code in one column are told one by one.
const TOLD_ONE_BY_ONE: usize = 25;

/// The concerns of one sheet.
#[derive(Debug)]
pub(super) struct Remarks {
    sheet: &'static str,
    told: ConcernList,
    counts: BTreeMap<(&'static str, String), Count>,
}

#[derive(Debug, Clone, Copy)]
struct Count {
    all: usize,
    severity: Severity,
}

impl Remarks {
    pub(super) fn new(plan: &SheetPlan) -> Self {
        Self {
            sheet: plan.name,
            told: ConcernList::default(),
            counts: BTreeMap::new(),
        }
    }

    /// Adds a concern about the sheet or one of its columns.
    pub(super) fn whole(
        &mut self,
        code: &'static str,
        severity: Severity,
        column: Option<&str>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let mut place = Place::sheet(self.sheet);
        place.column = column.map(str::to_owned);
        self.told
            .push(Concern::new(code, severity, place, what, remedy));
    }

    /// Adds a concern about one cell.
    pub(super) fn cell(
        &mut self,
        code: &'static str,
        severity: Severity,
        row: u32,
        column: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let count = self
            .counts
            .entry((code, column.to_owned()))
            .or_insert(Count { all: 0, severity });
        count.all = count.all.saturating_add(1);
        count.severity = count.severity.max(severity);
        if count.all <= TOLD_ONE_BY_ONE {
            let place = Place::sheet(self.sheet).row(Some(row)).column(column);
            self.told
                .push(Concern::new(code, severity, place, what, remedy));
        }
    }

    /// Returns all concerns; those that were too many to be told one by one are counted.
    pub(super) fn finish(mut self) -> ConcernList {
        for ((code, column), count) in &self.counts {
            let more = count.all.saturating_sub(TOLD_ONE_BY_ONE);
            if more > 0 {
                self.told.push(Concern::new(
                    code,
                    count.severity,
                    Place::sheet(self.sheet).column(column.as_str()),
                    format!("The same is true of {more} more rows in this column."),
                    "Mend the rows named before, then look again: what is left will be named.",
                ));
            }
        }
        self.told
    }
}
