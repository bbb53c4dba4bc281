//! The earliest and the latest day that a date can mean.

use super::day::Bound;
use super::day::Day;
use super::syntax::Component;
use super::syntax::Date;
use super::syntax::Endpoint;
use super::syntax::Expression;
use super::syntax::Member;
use super::syntax::Moment;
use super::syntax::Pattern;
use super::syntax::Year;
use super::syntax::Zone;

/// Both ends of a range, and whether the date that gives each of them is marked approximate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends {
    pub(super) earliest: Bound,
    pub(super) latest: Bound,
    pub(super) earliest_about: Option<Unit>,
    pub(super) latest_about: Option<Unit>,
}

/// The finest unit in which a date is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Year,
    Month,
    Day,
}

/// Returns both ends of an expression.
pub(super) fn of_expression(expression: &Expression) -> Ends {
    match expression {
        Expression::Date(date) => ends_of_date(date),
        Expression::Moment(moment) => ends_of_moment(moment),
        Expression::Interval(start, end) => join(ends_of_endpoint(start), ends_of_endpoint(end)),
        Expression::Set(_, members) => members
            .iter()
            .map(ends_of_member)
            .reduce(widest)
            .unwrap_or(UNKNOWN),
    }
}

const UNKNOWN: Ends = Ends {
    earliest: Bound::Unknown,
    latest: Bound::Unknown,
    earliest_about: None,
    latest_about: None,
};

const OPEN: Ends = Ends {
    earliest: Bound::Open,
    latest: Bound::Open,
    earliest_about: None,
    latest_about: None,
};

fn ends_of_date(date: &Date) -> Ends {
    let about = approximate_unit(date);
    match of_date(date) {
        Some((earliest, latest)) => Ends {
            earliest: Bound::Day(earliest),
            latest: Bound::Day(latest),
            earliest_about: about,
            latest_about: about,
        },
        None => UNKNOWN,
    }
}

fn ends_of_endpoint(endpoint: &Endpoint) -> Ends {
    match endpoint {
        Endpoint::Date(date) => ends_of_date(date),
        Endpoint::Open => OPEN,
        Endpoint::Unknown => UNKNOWN,
    }
}

fn ends_of_member(member: &Member) -> Ends {
    match member {
        Member::One(date) => ends_of_date(date),
        Member::Through(first, last) => join(ends_of_date(first), ends_of_date(last)),
        Member::UpTo(last) => join(OPEN, ends_of_date(last)),
        Member::From(first) => join(ends_of_date(first), OPEN),
    }
}

/// Takes the earliest end of one and the latest end of the other.
const fn join(start: Ends, end: Ends) -> Ends {
    Ends {
        earliest: start.earliest,
        earliest_about: start.earliest_about,
        latest: end.latest,
        latest_about: end.latest_about,
    }
}

fn widest(one: Ends, other: Ends) -> Ends {
    let first_begins = match (one.earliest, other.earliest) {
        (Bound::Day(one), Bound::Day(other)) => one <= other,
        (Bound::Day(_), _) => false,
        _ => true,
    };
    let first_ends = match (one.latest, other.latest) {
        (Bound::Day(one), Bound::Day(other)) => one >= other,
        (Bound::Day(_), _) => false,
        _ => true,
    };
    join(
        if first_begins { one } else { other },
        if first_ends { one } else { other },
    )
}

/// The unit of a date whose mark "approximate" reaches its year, or any part of it.
fn approximate_unit(date: &Date) -> Option<Unit> {
    if !date.marks().any(super::syntax::Mark::approximate) {
        return None;
    }
    Some(match (&date.month, &date.day) {
        (_, Some(_)) => Unit::Day,
        (Some(_), None) => Unit::Month,
        (None, None) => Unit::Year,
    })
}

/// A time of day with a shift can fall on another day in Universal Time: both days are within the bounds.
fn ends_of_moment(moment: &Moment) -> Ends {
    let local = ends_of_date(&moment.date);
    let (hour, minute, _) = moment.time;
    let minutes = i32::from(hour)
        .saturating_mul(60)
        .saturating_add(i32::from(minute));
    let shift = match moment.zone {
        Zone::Local | Zone::Universal => 0,
        Zone::Shift {
            behind,
            hours,
            minutes,
        } => {
            let size = i32::from(hours)
                .saturating_mul(60)
                .saturating_add(i32::from(minutes.unwrap_or(0)));
            if behind { size } else { size.saturating_neg() }
        }
    };
    let days = minutes.saturating_add(shift).div_euclid(24 * 60);
    Ends {
        earliest: local.earliest.map(|day| day.plus_days(days.min(0))),
        latest: local.latest.map(|day| day.plus_days(days.max(0))),
        ..local
    }
}

/// Returns the first and the last day that a date can mean, or nothing if there is no such day or it is beyond counting.
pub(super) fn of_date(date: &Date) -> Option<(Day, Day)> {
    let (first_year, last_year) = years(&date.year.value)?;
    let Some(month) = &date.month else {
        return Some((Day::first_of_year(first_year), Day::last_of_year(last_year)));
    };
    if let Some(season) = date.season() {
        return Some((
            season_of(first_year, season)?.0,
            season_of(last_year, season)?.1,
        ));
    }
    let candidates = |year| days_in(year, &month.value, date.day.as_ref());
    let fits = |year: &i64| fits_year(&date.year.value, *year);
    let earliest = (first_year..=last_year)
        .filter(fits)
        .find_map(|year| candidates(year).map(|(first, _)| first))?;
    let latest = (first_year..=last_year)
        .rev()
        .filter(fits)
        .find_map(|year| candidates(year).map(|(_, last)| last))?;
    Some((earliest, latest))
}

/// The first and the last day of a year that fit a month and a day of which digits may be unspecified.
fn days_in(year: i64, month: &Pattern, day: Option<&Component<Pattern>>) -> Option<(Day, Day)> {
    let days = (1..=12_u8)
        .filter(|number| month.fits(i64::from(*number)))
        .flat_map(|number| (1..=31_u8).filter_map(move |day| Day::new(year, number, day)))
        .filter(|candidate| day.is_none_or(|day| day.value.fits(i64::from(candidate.day()))));
    let (mut first, mut last) = (None, None);
    for candidate in days {
        first = first.or(Some(candidate));
        last = Some(candidate);
    }
    first.zip(last)
}

fn fits_year(year: &Year, candidate: i64) -> bool {
    match year {
        Year::Four {
            digits,
            significant: None,
            ..
        } => digits.fits(candidate.saturating_abs()),
        _ => true,
    }
}

/// Returns the first and the last year that a year can mean.
pub(super) fn years(year: &Year) -> Option<(i64, i64)> {
    let (negative, least, greatest) = match year {
        Year::Four {
            negative,
            digits,
            significant,
        } => {
            let (least, greatest) = (digits.least(), digits.greatest());
            let (least, greatest) = match significant {
                Some(count) => rounded(least, 4, *count)?,
                None => (least, greatest),
            };
            // There is no year -0000.
            (
                *negative,
                if *negative { least.max(1) } else { least },
                greatest,
            )
        }
        Year::Long {
            negative,
            digits,
            exponent,
            significant,
        } => {
            let factor = 10_i64.checked_pow(exponent.unwrap_or(0))?;
            let value = digits.parse::<i64>().ok()?.checked_mul(factor)?;
            let length = u32::try_from(value.to_string().len()).ok()?;
            let (least, greatest) = match significant {
                Some(count) => rounded(value, length, *count)?,
                None => (value, value),
            };
            (*negative, least, greatest)
        }
    };
    // Months and days are counted in years of twelve months: keep far from the ends of what can be counted.
    if greatest > i64::MAX / 16 {
        return None;
    }
    Some(if negative {
        (greatest.saturating_neg(), least.saturating_neg())
    } else {
        (least, greatest)
    })
}

/// The years that agree with `value` in its first `count` of `length` digits. [EDTF level 2 significant digits]
fn rounded(value: i64, length: u32, count: u32) -> Option<(i64, i64)> {
    let span = 10_i64.checked_pow(length.checked_sub(count)?)?;
    let least = value.checked_div(span)?.checked_mul(span)?;
    Some((least, least.checked_add(span)?.checked_sub(1)?))
}

/// First and last day of a season, quarter or other part of a year. The standard gives seasons no fixed months, and does not
/// say which half of the globe is meant: a season whose months are not sure is taken as anywhere in its year.
fn season_of(year: i64, number: i64) -> Option<(Day, Day)> {
    let (first, last) = match number {
        // [EDTF level 1 seasons; level 2 sub-year groupings 25 to 41]
        21..=24 | 28 | 30 => (1, 12),
        25 | 31 => (3, 5),
        26 | 32 => (6, 8),
        27 | 29 => (9, 11),
        33 => (1, 3),
        34 => (4, 6),
        35 => (7, 9),
        36 => (10, 12),
        37 => (1, 4),
        38 => (5, 8),
        39 => (9, 12),
        40 => (1, 6),
        41 => (7, 12),
        _ => return None,
    };
    let january = Day::first_of_year(year);
    let month = |number: i64| january.plus_months(number.saturating_sub(1));
    Some((month(first), month(last).last_of_month()))
}
