//! Reads a workbook on two threads: each takes the largest sheet that is left, reads it and takes it over.
//!
//! The record and the concerns are put together in the order of the tabs, so that nothing depends on which thread was faster.

use super::heading;
use super::intake::Intake;
use crate::concern::ConcernList;
use crate::crew;
use crate::format::sheet;
use crate::format::sheet::Budget;
use crate::format::sheet::Opened;
use crate::format::sheet::SheetFault;
use crate::format::sheet::Tabs;
use crate::record::Collection;
use std::cmp::Reverse;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;

/// Fewest bytes of all sheets together for which a second thread is worth its while.
const WORTH_SHARING: usize = 256 * 1024;

/// Reads the sheets of a workbook as a record.
pub(super) fn read(bytes: &[u8]) -> Result<(Collection, ConcernList), SheetFault> {
    let book = sheet::open_workbook(bytes)?;
    if book.sizes().sum::<usize>() < WORTH_SHARING {
        let mut intake = Intake::new();
        book.each(|table| intake.take(table))?;
        return Ok(intake.finish());
    }
    let next = AtomicUsize::new(0);
    let (mine, other) = crew::both(|| take_turns(&book, &next), || take_turns(&book, &next));
    together(mine?, other?)
}

/// What one thread has read: for each group of tabs its first one, and what came of it.
struct Share {
    taken: Vec<(usize, Intake)>,
    faults: Vec<(usize, SheetFault)>,
    spent: Budget,
}

/// Takes groups of tabs until none is left. A fault ends its group only: the first one in the order of the tabs is to be told.
fn take_turns(book: &Opened, next: &AtomicUsize) -> Result<Share, SheetFault> {
    let mut share = Share {
        taken: Vec::new(),
        faults: Vec::new(),
        spent: Budget::default(),
    };
    let Some(mut tabs) = book.tabs()? else {
        return Ok(share);
    };
    let groups = groups(&tabs, book);
    while let Some(group) = groups.get(next.fetch_add(1, Ordering::Relaxed)) {
        let mut intake = Intake::new();
        for tab in group {
            match tabs.read(*tab) {
                Ok(table) => table.into_iter().for_each(|table| intake.take(table)),
                Err(fault) => {
                    share.faults.push((*tab, fault));
                    break;
                }
            }
        }
        share
            .taken
            .push((group.first().copied().unwrap_or_default(), intake));
    }
    share.spent = tabs.spent();
    Ok(share)
}

/// Returns the tabs, those of one sheet of the catalogue together, the largest group first.
fn groups(tabs: &Tabs<'_>, book: &Opened) -> Vec<Vec<usize>> {
    let sizes: Vec<usize> = book.sizes().collect();
    let mut groups: Vec<(Option<&str>, usize, Vec<usize>)> = Vec::new();
    for (tab, name) in tabs.names().iter().enumerate() {
        let sheet = heading::sheet_named(name).map(|plan| plan.name);
        let size = sizes.get(tab).copied().unwrap_or_default();
        let same = groups
            .iter_mut()
            .find(|(other, ..)| sheet.is_some() && *other == sheet);
        if let Some((_, sum, group)) = same {
            *sum = sum.saturating_add(size);
            group.push(tab);
        } else {
            groups.push((sheet, size, vec![tab]));
        }
    }
    groups.sort_by_key(|(_, size, _)| Reverse(*size));
    groups.into_iter().map(|(_, _, group)| group).collect()
}

fn together(mine: Share, other: Share) -> Result<(Collection, ConcernList), SheetFault> {
    let faults = mine.faults.into_iter().chain(other.faults);
    if let Some((_, fault)) = faults.min_by_key(|(tab, _)| *tab) {
        return Err(fault);
    }
    mine.spent.and(other.spent)?;
    let mut taken: Vec<(usize, Intake)> = mine.taken.into_iter().chain(other.taken).collect();
    taken.sort_by_key(|(tab, _)| *tab);
    let mut intake = Intake::new();
    for (_, more) in taken {
        intake.join(more);
    }
    Ok(intake.finish())
}
