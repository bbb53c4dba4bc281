//! What the page tells of the weighing of dates, one line each.

use super::PackOptions;
use crate::record::Collection;
use crate::record::Day;
use crate::record::PortraitNumber;
use crate::weigh;
use crate::weigh::DateResult;
use crate::weigh::PortraitWeighing;
use crate::weigh::WeighOptions;
use crate::weigh::Weighing;
use std::collections::BTreeMap;

/// Weighs what this audience gets, so that nothing that is held back shows through the reasoning.
pub(super) fn weighing(collection: &Collection, options: &PackOptions) -> Weighing {
    let iso = options.as_of.to_string();
    let day =
        Day::from_iso(&iso).unwrap_or_else(|| Day::first_of_year(i64::from(options.as_of.year())));
    weigh::weigh(collection, &WeighOptions::as_of(day))
}

/// Returns what the page tells, by portrait.
pub(super) fn lines(weighing: &Weighing) -> BTreeMap<PortraitNumber, Vec<String>> {
    weighing
        .portraits
        .iter()
        .map(|portrait| (portrait.number.clone(), about(portrait)))
        .collect()
}

fn about(portrait: &PortraitWeighing) -> Vec<String> {
    let dates = &portrait.dates;
    let targets = [
        ("The sitting", &dates.sitting),
        ("This print", &dates.print),
        ("Framed or written on", &dates.framed),
    ];
    let mut lines: Vec<String> = targets
        .into_iter()
        .filter_map(|(what, result)| Some(told(what, result.as_ref()?)))
        .collect();
    lines.extend(dates.would_narrow.clone());
    lines
}

fn told(what: &str, result: &DateResult) -> String {
    let mut line = format!("{what}: {}", result.in_words);
    for (end, clues) in [
        ("earliest", &result.earliest_set_by),
        ("latest", &result.latest_set_by),
    ] {
        if !clues.is_empty() {
            line.push_str(&format!("; {end} by {}", clues.join(", ")));
        }
    }
    for set_aside in &result.set_aside {
        line.push_str(&format!(
            "; set aside: {} ({})",
            set_aside.what, set_aside.why
        ));
    }
    line
}
