//! Dates made from two days.

use super::ABOUT;
use super::Edtf;
use super::bounds::Unit;
use super::day::Bound;
use super::day::Day;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

/// Which ends of a range are approximate.
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
pub struct Estimated {
    /// The earliest day is an estimate.
    pub earliest: bool,
    /// The latest day is an estimate.
    pub latest: bool,
}

/// Moves an end outwards if the date that gives it is approximate.
pub(super) fn widened(end: Bound, about: Option<Unit>, earliest: bool) -> Bound {
    let Some(unit) = about else {
        return end;
    };
    let distance = if earliest {
        ABOUT.saturating_neg()
    } else {
        ABOUT
    };
    end.map(|day| match unit {
        Unit::Year => day.plus_years(i64::from(distance)),
        Unit::Month if earliest => day.plus_months(i64::from(distance)),
        Unit::Month => day
            .first_of_month()
            .plus_months(i64::from(distance))
            .last_of_month(),
        Unit::Day => day.plus_days(distance),
    })
}

/// Returns the shortest date for "at one moment between these days".
pub(super) fn between(earliest: Bound, latest: Bound, about: Estimated) -> Option<Edtf> {
    let text = match (earliest.day(), latest.day()) {
        (None, None) => return None,
        (None, Some(last)) => format!("[..{}]", end_alone(last, false, about.latest)?),
        (Some(first), None) => format!("[{}..]", end_alone(first, true, about.earliest)?),
        (Some(first), Some(last)) => both(first, last, about)?,
    };
    Edtf::parse(&text).ok()
}

fn both(first: Day, last: Day, about: Estimated) -> Option<String> {
    if first > last {
        return None;
    }
    let unit = finer(unit_of(first, true), unit_of(last, false));
    if unit != Unit::Year && about != Estimated::default() {
        return None;
    }
    // A mark of approximation on a single date would widen both of its ends.
    let same_doubt = about.earliest == about.latest;
    let (start, end) = (written(first, unit)?, written(last, unit)?);
    if start == end && same_doubt {
        return Some(format!("{start}{}", mark(about.earliest)));
    }
    if let Some(decade) = decade(first, last).filter(|_| about == Estimated::default()) {
        return Some(decade);
    }
    Some(format!(
        "[{start}{}..{end}{}]",
        mark(about.earliest),
        mark(about.latest)
    ))
}

fn end_alone(day: Day, earliest: bool, about: bool) -> Option<String> {
    if about && unit_of(day, earliest) != Unit::Year {
        return None;
    }
    Some(format!(
        "{}{}",
        written(day, unit_of(day, earliest))?,
        mark(about)
    ))
}

const fn mark(about: bool) -> &'static str {
    if about { "~" } else { "" }
}

/// The coarsest unit that says an end without moving it.
fn unit_of(day: Day, earliest: bool) -> Unit {
    let (whole_year, whole_month) = if earliest {
        (day.begins_year(), day.day() == 1)
    } else {
        (day.ends_year(), day.ends_month())
    };
    match (beyond_four_digits(day) || whole_year, whole_month) {
        (true, _) => Unit::Year,
        (false, true) => Unit::Month,
        (false, false) => Unit::Day,
    }
}

/// Both ends of a range are written in the unit of the finer one.
const fn finer(one: Unit, other: Unit) -> Unit {
    match (one, other) {
        (Unit::Day, _) | (_, Unit::Day) => Unit::Day,
        (Unit::Month, _) | (_, Unit::Month) => Unit::Month,
        _ => Unit::Year,
    }
}

fn beyond_four_digits(day: Day) -> bool {
    day.year().unsigned_abs() > 9999
}

fn written(day: Day, unit: Unit) -> Option<String> {
    let year = if beyond_four_digits(day) {
        format!("Y{}", day.year())
    } else if day.year() < 0 {
        format!("-{:04}", day.year().unsigned_abs())
    } else {
        format!("{:04}", day.year())
    };
    match unit {
        Unit::Year => Some(year),
        _ if beyond_four_digits(day) => None,
        Unit::Month => Some(format!("{year}-{:02}", day.month())),
        Unit::Day => Some(format!("{year}-{:02}-{:02}", day.month(), day.day())),
    }
}

fn decade(first: Day, last: Day) -> Option<String> {
    let whole = first.begins_year()
        && last.ends_year()
        && (0..=9999).contains(&first.year())
        && first.year().rem_euclid(10) == 0
        && last.year() == first.year().saturating_add(9);
    whole.then(|| format!("{:03}X", first.year().div_euclid(10)))
}
