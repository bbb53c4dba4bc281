//! Concerns that follow from the dates of a portrait.

use super::PortraitWeighing;
use super::cell::cell;
use super::dates::DateResult;
use super::dates::Dates;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::Answer;
use crate::record::DateEntry;
use crate::record::Edtf;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::PortraitNumber;
use crate::record::Row;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Concerns that follow from the dates.
pub(super) fn check(portrait: &Portrait, dates: &Dates, concerns: &mut ConcernList) {
    let place =
        |heading| cell(&columns::PORTRAITS, portrait.row, heading).of_portrait(&portrait.number);
    let three = [
        (
            &dates.sitting,
            &portrait.dates.sitting,
            "Sitting made",
            "the sitting",
        ),
        (
            &dates.print,
            &portrait.dates.print,
            "This print made",
            "this print",
        ),
        (
            &dates.framed,
            &portrait.dates.framed,
            "Framed or written on",
            "framing or writing",
        ),
    ];
    for (result, stated, heading, name) in three {
        let Some(result) = result else {
            continue;
        };
        if let Some(conflict) = &result.conflict {
            concerns.warning(
                "hard-clues-disagree",
                place(heading),
                format!("Two hard clues to {name} cannot both be right: {} and {}.", conflict.not_before, conflict.not_after),
                "Find out which of the two is wrong, or mark it as soft; until then nothing is estimated.",
            );
        }
        for aside in &result.set_aside {
            let what = format!(
                "For {name}, “{}” ({}) was set aside: {}.",
                aside.what, aside.range, aside.why
            );
            let remedy = "Nothing is lost: the clue stays in the sheet. Ask whether it speaks of another date, or of another picture.";
            if aside.against_limits {
                concerns.warning("clue-against-limits", place(heading), what, remedy);
            } else {
                concerns.note("clue-set-aside", place(heading), what, remedy);
            }
        }
        compare_with_stated(result, stated, || place(heading), name, concerns);
    }
    older_picture(portrait, dates, concerns);
}

/// What is to be borne in mind with clues that set an end, each said once for the whole collection.
#[derive(Debug, Default)]
pub(super) struct Caveats {
    /// For each caveat the first portrait, its row, and the number of portraits.
    found: BTreeMap<Cow<'static, str>, (PortraitNumber, Row, usize)>,
}

impl Caveats {
    pub(super) fn collect(&mut self, portrait: &Portrait, weighed: &PortraitWeighing) {
        let dates = &weighed.dates;
        let results = [&dates.sitting, &dates.print, &dates.framed];
        for remark in results
            .into_iter()
            .flatten()
            .flat_map(|result| &result.remarks)
        {
            if let Some((_, _, count)) = self.found.get_mut(remark) {
                *count = count.saturating_add(1);
            } else {
                let first = (portrait.number.clone(), portrait.row, 1);
                self.found.insert(remark.clone(), first);
            }
        }
    }

    pub(super) fn say(self, concerns: &mut ConcernList) {
        for (caveat, (first, row, count)) in self.found {
            let others = match count.saturating_sub(1) {
                0 => String::new(),
                1 => " and one more".to_owned(),
                more => format!(" and {more} more"),
            };
            concerns.note(
                "clue-with-caveat",
                cell(&columns::PORTRAITS, row, "This print made").of_portrait(&first),
                format!("For the dates of {first}{others}: {caveat}"),
                "Keep it in mind; it is a clue, never a rule.",
            );
        }
    }
}

/// Compares what the clues say with the date that the person gave.
fn compare_with_stated(
    result: &DateResult,
    stated: &Answer<DateEntry>,
    place: impl Fn() -> Place,
    name: &str,
    concerns: &mut ConcernList,
) {
    let Some(stated) = stated.given() else {
        return;
    };
    let (earliest, latest) = stated.edtf.generous_bounds();
    let misses = |range: super::interval::Range| {
        range
            .from(earliest.day(), None)
            .until(latest.day(), None)
            .is_empty()
    };
    let said = stated.edtf.in_words();
    if misses(result.limit_range) {
        let limits = result
            .limits
            .as_ref()
            .map_or_else(String::new, Edtf::in_words);
        concerns.warning(
            "date-outside-limits",
            place(),
            format!("{name} is given as {said}, and hard clues only allow {limits}."),
            "Correct the date, or the clue that excludes it.",
        );
    } else if misses(result.estimate_range) {
        concerns.question(
            "date-outside-estimate",
            place(),
            format!(
                "{name} is given as {said}, and the clues point to {}.",
                result.in_words
            ),
            "Say in “Why those dates” what outweighs the clues.",
        );
    }
}

/// A sitting that ended before the print was made: usual with enlargements, a question with cards.
fn older_picture(portrait: &Portrait, dates: &Dates, concerns: &mut ConcernList) {
    let (Some(sitting), Some(print)) = (&dates.sitting, &dates.print) else {
        return;
    };
    let apart = sitting
        .estimate_range
        .latest
        .zip(print.estimate_range.earliest)
        .is_some_and(|(sat, made)| sat < made);
    if !apart {
        return;
    }
    let place = cell(&columns::PORTRAITS, portrait.row, "Copy of").of_portrait(&portrait.number);
    let what = format!(
        "The sitting was {} ({}), and this print was made {} ({})",
        sitting.in_words,
        sitting.latest_set_by.join("; "),
        print.in_words,
        print.earliest_set_by.join("; ")
    );
    if portrait.kind.given() == Some(&PortraitKind::LargeCrayon) || portrait.copy_of.is_given() {
        concerns.note(
            "copied-from-earlier-picture",
            place,
            format!("{what}: it was copied from an earlier picture."),
            "Nothing is wrong with that. If you know of the earlier picture, note it.",
        );
    } else {
        concerns.question(
            "copy-of-older-picture",
            place,
            format!("{what}. Both cannot be right for a picture taken from life: is this a copy of an older picture?"),
            "Look for signs of copying (flat tones, a pinned edge), and fill in “Copy of” or the reasons against the sitter.",
        );
    }
}
