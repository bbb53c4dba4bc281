//! The dates of one portrait: when the sitter sat, when this print was made, when it was framed or written on.

use super::directory::Stay;
use super::evidence::DateClues;
use super::interval::Conflict;
use super::interval::DateClue;
use super::interval::Range;
use super::interval::SetAside;
use super::interval::Weighed;
use super::interval::weigh;
use super::shared::Shared;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Portrait;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// What the clues say of one date of a portrait.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DateResult {
    /// What hard clues leave, as a date. Absent if there are none, or if they disagree.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limits: Option<Edtf>,
    /// What soft clues leave of that, as a date. Absent if nothing is known, or if hard clues disagree.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub estimate: Option<Edtf>,
    /// The estimate in words.
    pub in_words: String,
    /// The clues that set the earliest day of the estimate.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub earliest_set_by: Vec<String>,
    /// The clues that set the latest day of the estimate.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub latest_set_by: Vec<String>,
    /// The two hard clues that cannot both be right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conflict: Option<Conflict>,
    /// The clues that were not used, and why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<SetAside>,
    /// The clues that were used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub used: Vec<DateClue>,
    /// What to bear in mind with the clues that set an end.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<Cow<'static, str>>,
    #[serde(skip)]
    pub(super) limit_range: Range,
    #[serde(skip)]
    pub(super) estimate_range: Range,
}

/// The three dates of a portrait.
// What the clues say of a date is long and is moved about often: so each lies in a box.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Dates {
    /// When the sitter sat. Absent if nothing speaks of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sitting: Option<Box<DateResult>>,
    /// When this print or enlargement was made. Absent if nothing speaks of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub print: Option<Box<DateResult>>,
    /// When it was framed or written on. Absent if nothing speaks of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub framed: Option<Box<DateResult>>,
    /// The maker's years at the printed address.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stay: Option<Shared<Stay>>,
    /// What would narrow the dates most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub would_narrow: Option<String>,
}

/// Weighs the clues to all dates of a portrait. Nobody sits after the print is made, and nothing is framed before.
pub(super) fn weigh_dates(portrait: &Portrait, clues: DateClues) -> Dates {
    let (sat, framed_known) = (!clues.sitting.is_empty(), !clues.framed.is_empty());
    let mut sitting = weigh(clues.sitting);
    let mut print = weigh(clues.print);
    let mut framed = weigh(clues.framed);
    let not_after_print = "the sitting is not after this print";
    if sat {
        in_order(&mut sitting, &mut print, not_after_print);
    }
    if framed_known {
        in_order(
            &mut print,
            &mut framed,
            "this print is not newer than its frame or the words on it",
        );
        if sat {
            in_order(&mut sitting, &mut print, not_after_print);
        }
    }
    let result = |weighed: Weighed| {
        let silent =
            weighed.used.is_empty() && weighed.set_aside.is_empty() && weighed.estimate.is_open();
        (!silent).then(|| Box::new(finish(weighed)))
    };
    let mut dates = Dates {
        sitting: result(sitting),
        print: result(print),
        framed: result(framed),
        stay: clues.stay,
        would_narrow: None,
    };
    dates.would_narrow = would_narrow(portrait, &dates);
    dates
}

/// Makes the earlier of two dates end when the later one ends, and the later one begin when the earlier one begins.
fn in_order(earlier: &mut Weighed, later: &mut Weighed, why: &str) {
    if earlier.conflict.is_some() || later.conflict.is_some() {
        return;
    }
    let (limits_before, limits_after) = ordered(earlier.limits, later.limits);
    if limits_before.is_empty() || limits_after.is_empty() {
        earlier.conflict = Some(Conflict {
            not_before: set_by(&earlier.used, earlier.limits.earliest, true).join(" and "),
            not_after: format!(
                "{} ({why})",
                set_by(&later.used, later.limits.latest, false).join(" and ")
            ),
        });
        return;
    }
    (earlier.limits, later.limits) = (limits_before, limits_after);
    let (before, after) = ordered(earlier.estimate, later.estimate);
    if !before.is_empty() && !after.is_empty() {
        (earlier.estimate, later.estimate) = (before, after);
        return;
    }
    // The estimates disagree; each still has to respect the other's limits.
    let before = earlier
        .estimate
        .until(limits_after.latest, limits_after.about_latest);
    let after = later
        .estimate
        .from(limits_before.earliest, limits_before.about_earliest);
    if !before.is_empty() {
        earlier.estimate = before;
    }
    if !after.is_empty() {
        later.estimate = after;
    }
}

fn ordered(earlier: Range, later: Range) -> (Range, Range) {
    (
        earlier.until(later.latest, later.about_latest),
        later.from(earlier.earliest, earlier.about_earliest),
    )
}

/// Returns the clues that set an end.
fn set_by(used: &[DateClue], end: Option<Day>, earliest: bool) -> Vec<String> {
    if end.is_none() {
        return Vec::new();
    }
    used.iter()
        .filter(|clue| (if earliest { clue.earliest } else { clue.latest }) == end)
        .map(|clue| clue.what.clone())
        .collect()
}

fn finish(weighed: Weighed) -> DateResult {
    if let Some(conflict) = weighed.conflict {
        return DateResult {
            in_words: "two hard clues disagree".to_owned(),
            conflict: Some(conflict),
            used: weighed.used,
            set_aside: weighed.set_aside,
            ..DateResult::default()
        };
    }
    let (earliest, latest) = (weighed.estimate.earliest, weighed.estimate.latest);
    let sets_an_end = |clue: &&DateClue| {
        (clue.earliest.is_some() && clue.earliest == earliest)
            || (clue.latest.is_some() && clue.latest == latest)
    };
    let mut remarks: Vec<Cow<'static, str>> = weighed
        .used
        .iter()
        .filter(sets_an_end)
        .filter_map(|clue| clue.caveat.clone())
        .collect();
    remarks.dedup();
    let or_by_order = |set: Vec<String>, end: Option<Day>| {
        if set.is_empty() && end.is_some() {
            vec!["the order of sitting, print and framing".to_owned()]
        } else {
            set
        }
    };
    DateResult {
        in_words: weighed
            .estimate
            .in_words()
            .unwrap_or_else(|| "not known".to_owned()),
        limits: weighed.limits.edtf(),
        estimate: weighed.estimate.edtf(),
        earliest_set_by: or_by_order(set_by(&weighed.used, earliest, true), earliest),
        latest_set_by: or_by_order(set_by(&weighed.used, latest, false), latest),
        conflict: None,
        set_aside: weighed.set_aside,
        used: weighed.used,
        remarks,
        limit_range: weighed.limits,
        estimate_range: weighed.estimate,
    }
}

/// Names the one thing that would narrow the dates most.
fn would_narrow(portrait: &Portrait, dates: &Dates) -> Option<String> {
    let print = dates.print.as_deref();
    if let Some(conflict) = print.and_then(|print| print.conflict.as_ref()) {
        return Some(format!(
            "find out which is wrong: {} or {}",
            conflict.not_before, conflict.not_after
        ));
    }
    let exact = |result: &DateResult| matches!((result.estimate_range.earliest, result.estimate_range.latest), (Some(first), Some(last)) if first.year() == last.year());
    if print.is_some_and(exact) {
        return None;
    }
    if let Some(stay) = &dates.stay {
        return Some(directory_to_look_in(stay));
    }
    if let Some(maker) = portrait.maker.as_printed.text() {
        let place = portrait
            .maker
            .place_as_printed
            .text()
            .map_or_else(String::new, |place| format!(" of {place}"));
        return Some(format!(
            "look {maker} up in directories{place}, and write each year down in “Makers’ addresses”, also where the maker is missing"
        ));
    }
    if portrait.kind.is_blank() || portrait.size.in_millimetres().is_none() {
        return Some("say what it is, and measure the mount".to_owned());
    }
    Some("a maker’s name, a stamp or a date on the object, the frame or its paper".to_owned())
}

fn directory_to_look_in(stay: &Stay) -> String {
    let (first, last) = stay.firm;
    let who = format!("whether {} is at {}", stay.maker, stay.address);
    match (stay.absent_before, stay.absent_after) {
        (None, _) => format!("look in directories of the years before {first} {who}"),
        (_, None) => format!("look in directories of the years after {last} {who}"),
        (Some(before), Some(after)) => {
            let gap_before = first.saturating_sub(before);
            let gap_after = after.saturating_sub(last);
            if gap_before <= 1 && gap_after <= 1 {
                "a date on the object, or when the sitter lived nearby".to_owned()
            } else if gap_before >= gap_after {
                format!("look in a directory between {before} and {first} {who}")
            } else {
                format!("look in a directory between {last} and {after} {who}")
            }
        }
    }
}
