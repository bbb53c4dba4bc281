//! Dates in plain English.

use super::Qualification;
use super::bounds;
use super::syntax::Date;
use super::syntax::Endpoint;
use super::syntax::Expression;
use super::syntax::Gathering;
use super::syntax::Mark;
use super::syntax::Member;
use super::syntax::Pattern;
use super::syntax::Year;
use super::syntax::Zone;

/// The months, January first.
pub(super) const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Returns an expression in plain English.
pub(super) fn of_expression(expression: &Expression) -> String {
    match expression {
        Expression::Date(date) => of_date(date),
        Expression::Moment(moment) => {
            let (hour, minute, second) = moment.time;
            let zone = match moment.zone {
                Zone::Local => String::new(),
                Zone::Universal => " Universal Time".to_owned(),
                Zone::Shift {
                    behind,
                    hours,
                    minutes,
                } => format!(
                    ", {}:{:02} hours {} Universal Time",
                    hours,
                    minutes.unwrap_or(0),
                    if behind { "behind" } else { "ahead of" }
                ),
            };
            format!(
                "{} at {hour:02}:{minute:02}:{second:02}{zone}",
                of_date(&moment.date)
            )
        }
        Expression::Interval(start, end) => of_interval(start, end),
        Expression::Set(gathering, members) => of_set(*gathering, members),
    }
}

fn of_interval(start: &Endpoint, end: &Endpoint) -> String {
    match (start, end) {
        (Endpoint::Date(first), Endpoint::Date(last)) => {
            format!("from {} to {}", of_date(first), of_date(last))
        }
        (Endpoint::Date(first), Endpoint::Unknown) => {
            format!("from {}, its end not known", of_date(first))
        }
        (Endpoint::Date(first), _) => format!("from {} on", of_date(first)),
        (Endpoint::Unknown, Endpoint::Date(last)) => {
            format!("until {}, its beginning not known", of_date(last))
        }
        (_, Endpoint::Date(last)) => format!("until {}", of_date(last)),
        _ => "not known".to_owned(),
    }
}

fn of_set(gathering: Gathering, members: &[Member]) -> String {
    let words: Vec<String> = members
        .iter()
        .map(|member| match (member, gathering) {
            (Member::One(date), _) => of_date(date),
            (Member::Through(first, last), Gathering::OneOf) => {
                format!("between {} and {}", of_date(first), of_date(last))
            }
            (Member::Through(first, last), Gathering::AllOf) => {
                format!("all from {} to {}", of_date(first), of_date(last))
            }
            (Member::UpTo(date), Gathering::OneOf) => format!("{} or earlier", of_date(date)),
            (Member::UpTo(date), Gathering::AllOf) => {
                format!("{} and all before", of_date(date))
            }
            (Member::From(date), Gathering::OneOf) => format!("{} or later", of_date(date)),
            (Member::From(date), Gathering::AllOf) => format!("{} and all after", of_date(date)),
        })
        .collect();
    let joint = match gathering {
        Gathering::OneOf => " or ",
        Gathering::AllOf => " and ",
    };
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{}{joint}{last}", rest.join(", ")),
        None => String::new(),
    }
}

/// Returns a date with its doubts.
fn of_date(date: &Date) -> String {
    let plain = undoubted(date);
    if date.marks().next().is_none() {
        return plain;
    }
    if let Some(mark) = date.whole_mark() {
        return match mark {
            Mark::Uncertain => format!("{plain}, uncertain"),
            Mark::Approximate => format!("about {plain}"),
            Mark::Both => format!("about {plain}, uncertain"),
        };
    }
    let mut doubts = Vec::new();
    for (name, doubt) in ["year", "month", "day"].into_iter().zip(date.doubts()) {
        if doubt != Qualification::default() {
            doubts.push(format!("{name} {}", doubt_words(doubt)));
        }
    }
    format!("{plain} ({})", doubts.join(", "))
}

const fn doubt_words(doubt: Qualification) -> &'static str {
    match (doubt.uncertain, doubt.approximate) {
        (true, true) => "uncertain and approximate",
        (true, false) => "uncertain",
        _ => "approximate",
    }
}

fn undoubted(date: &Date) -> String {
    let year = of_year(&date.year.value);
    let Some(month) = &date.month else {
        return year.alone;
    };
    if let Some(season) = date.season() {
        return of_season(season, &year.after_month);
    }
    match &date.day {
        None => of_month(&month.value, &year),
        Some(day) => of_day(&month.value, &day.value, &year),
    }
}

fn of_month(month: &Pattern, year: &YearWords) -> String {
    let whole = &year.after_month;
    match months_that_fit(month) {
        Fitting::One(name) => format!("{name} {whole}"),
        Fitting::Any => format!("an unknown month of {whole}"),
        Fitting::Some(names) => format!("{names} {whole}"),
    }
}

fn of_day(month: &Pattern, day: &Pattern, year: &YearWords) -> String {
    let whole = &year.after_month;
    let number = match day.number() {
        Some(number) => Some(number.to_string()),
        None if day.is_unspecified() => None,
        None => Some(format!(
            "a day from {} to {}",
            day.least().max(1),
            day.greatest().min(31)
        )),
    };
    match (number, months_that_fit(month)) {
        (Some(number), Fitting::One(name)) => format!("{number} {name} {whole}"),
        (Some(number), Fitting::Some(names)) => format!("{number} {names} {whole}"),
        (Some(number), Fitting::Any) => format!("the {number}. of an unknown month of {whole}"),
        (None, Fitting::One(name)) => format!("an unknown day of {name} {whole}"),
        (None, Fitting::Some(names)) => format!("an unknown day of {names} {whole}"),
        (None, Fitting::Any) => format!("an unknown day of {whole}"),
    }
}

enum Fitting {
    One(&'static str),
    Some(String),
    Any,
}

fn months_that_fit(month: &Pattern) -> Fitting {
    let names: Vec<&'static str> = (1_i64..)
        .zip(MONTHS)
        .filter(|(number, _)| month.fits(*number))
        .map(|(_, name)| name)
        .collect();
    match names.as_slice() {
        [only] => Fitting::One(only),
        _ if names.len() == MONTHS.len() => Fitting::Any,
        [first, .., last] if names.len() > 3 => {
            Fitting::Some(format!("a month from {first} to {last}"))
        }
        [rest @ .., last] => Fitting::Some(format!("{} or {last}", rest.join(", "))),
        [] => Fitting::Any,
    }
}

/// A year as it stands alone, and as it stands behind a month.
struct YearWords {
    alone: String,
    after_month: String,
}

fn of_year(year: &Year) -> YearWords {
    let same = |text: String| YearWords {
        after_month: text.clone(),
        alone: text,
    };
    let Some((first, last)) = bounds::years(year) else {
        return same(format!("the year {year}"));
    };
    if let Year::Four {
        significant: Some(count),
        digits,
        negative: _,
    } = year
    {
        return same(format!(
            "{} in its first {count} digits (between {} and {})",
            digits,
            counted(first),
            counted(last)
        ));
    }
    if first == last {
        return same(counted(first));
    }
    match year {
        Year::Four {
            negative: false,
            digits,
            ..
        } => match digits.unspecified_tail() {
            Some(1) => YearWords {
                alone: format!("the {first}s"),
                after_month: format!("in the {first}s"),
            },
            Some(4) => YearWords {
                alone: "an unknown year".to_owned(),
                after_month: "of an unknown year".to_owned(),
            },
            Some(_) => same(format!("between {first} and {last}")),
            None => same(format!("a year like {digits}")),
        },
        _ => same(format!("between {} and {}", counted(first), counted(last))),
    }
}

/// The year 0 of EDTF is 1 BC.
fn counted(year: i64) -> String {
    if year > 0 {
        year.to_string()
    } else {
        format!("{} BC", year.saturating_neg().saturating_add(1))
    }
}

fn of_season(number: i64, year: &str) -> String {
    // [EDTF level 1 seasons; level 2 sub-year groupings]
    let name = match number {
        21 => "spring",
        22 => "summer",
        23 => "autumn",
        24 => "winter",
        25 => "spring (northern)",
        26 => "summer (northern)",
        27 => "autumn (northern)",
        28 => "winter (northern)",
        29 => "spring (southern)",
        30 => "summer (southern)",
        31 => "autumn (southern)",
        32 => "winter (southern)",
        33 => "first quarter of",
        34 => "second quarter of",
        35 => "third quarter of",
        36 => "fourth quarter of",
        37 => "first third of",
        38 => "second third of",
        39 => "last third of",
        40 => "first half of",
        _ => "second half of",
    };
    format!("{name} {year}")
}
