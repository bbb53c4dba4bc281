//! Dates as other standards say them.

use super::bounds;
use super::day::Day;
use super::syntax::Date;
use super::syntax::Endpoint;
use super::syntax::Expression;
use super::syntax::Gathering;
use super::syntax::Mark;
use super::syntax::Member;
use super::syntax::Moment;
use super::syntax::Year;
use super::syntax::Zone;
use super::words;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

/// A date in GEDCOM 7: the payload of DATE, and the words of its PHRASE where the payload does not say all.
/// [GEDCOM 7.0 2.3; g7:PHRASE]
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct GedcomDate {
    /// The payload, for example `BET 1890 AND 1900`. Empty when GEDCOM has no form for it.
    pub value: String,
    /// What the payload leaves out, in words.
    pub phrase: Option<String>,
}

/// Returns a date in GEDCOM 7.
pub(super) fn gedcom(expression: &Expression) -> GedcomDate {
    let said = match expression {
        Expression::Date(date) => of_date(date),
        Expression::Moment(moment) => loosely(single(&moment.date)),
        Expression::Interval(start, end) => of_interval(start, end),
        Expression::Set(gathering, members) => of_set(*gathering, members),
    };
    match said {
        Some(Said { value, whole: true }) => GedcomDate {
            value,
            phrase: None,
        },
        other => GedcomDate {
            value: other.map_or_else(String::new, |said| said.value),
            phrase: Some(words::of_expression(expression)),
        },
    }
}

/// A payload, and whether it says everything.
struct Said {
    value: String,
    whole: bool,
}

fn exactly(value: Option<String>) -> Option<Said> {
    value.map(|value| Said { value, whole: true })
}

fn loosely(value: Option<String>) -> Option<Said> {
    value.map(|value| Said {
        value,
        whole: false,
    })
}

fn of_date(date: &Date) -> Option<Said> {
    let Some(value) = single(date) else {
        let (first, last) = bounds::of_date(date)?;
        let (first, last) = (shortest(first, true)?, shortest(last, false)?);
        if first == last {
            return loosely(Some(first));
        }
        let value = format!("BET {first} AND {last}");
        // A decade is all the years in it; anything else unspecified says more than its two ends.
        let decade = date.month.is_none() && date.marks().next().is_none() && is_run_of_years(date);
        return Some(Said {
            value,
            whole: decade,
        });
    };
    match date.whole_mark() {
        None if date.marks().next().is_none() => exactly(Some(value)),
        Some(Mark::Approximate) => exactly(Some(format!("ABT {value}"))),
        Some(Mark::Uncertain) => loosely(Some(format!("EST {value}"))),
        _ => loosely(Some(format!("ABT {value}"))),
    }
}

fn is_run_of_years(date: &Date) -> bool {
    matches!(&date.year.value, Year::Four { digits, significant: None, .. } if digits.unspecified_tail().is_some_and(|tail| tail > 0))
}

fn of_interval(start: &Endpoint, end: &Endpoint) -> Option<Said> {
    let side = |side: &Endpoint, begins: bool| match side {
        Endpoint::Date(date) => single(date).or_else(|| {
            let (first, last) = bounds::of_date(date)?;
            shortest(if begins { first } else { last }, begins)
        }),
        Endpoint::Open | Endpoint::Unknown => None,
    };
    let plain = |side: &Endpoint| match side {
        Endpoint::Date(date) => single(date).is_some() && date.marks().next().is_none(),
        Endpoint::Open => true,
        Endpoint::Unknown => false,
    };
    let value = match (side(start, true), side(end, false)) {
        (Some(first), Some(last)) => format!("FROM {first} TO {last}"),
        (Some(first), None) => format!("FROM {first}"),
        (None, Some(last)) => format!("TO {last}"),
        (None, None) => return None,
    };
    Some(Said {
        value,
        whole: plain(start) && plain(end),
    })
}

fn of_set(gathering: Gathering, members: &[Member]) -> Option<Said> {
    if gathering == Gathering::AllOf {
        return None;
    }
    if let [Member::Through(first, last)] = members {
        let plain = first.marks().next().is_none() && last.marks().next().is_none();
        let value = format!("BET {} AND {}", single(first)?, single(last)?);
        return Some(Said {
            value,
            whole: plain,
        });
    }
    // GEDCOM programs differ in whether BEF and AFT include the date itself: the neighbour is written, and the words beside it.
    let ends = bounds::of_expression(&Expression::Set(gathering, members.to_vec()));
    match (ends.earliest.day(), ends.latest.day()) {
        (Some(first), Some(last)) => loosely(Some(format!(
            "BET {} AND {}",
            shortest(first, true)?,
            shortest(last, false)?
        ))),
        (Some(first), None) => loosely(Some(format!("AFT {}", shortest(first.previous(), false)?))),
        (None, Some(last)) => loosely(Some(format!("BEF {}", shortest(last.next(), true)?))),
        (None, None) => None,
    }
}

/// Returns a date whose parts are all given, without its marks of doubt.
fn single(date: &Date) -> Option<String> {
    let (year, _) = bounds::years(&date.year.value).filter(|(first, last)| first == last)?;
    if date.season().is_some() {
        return None;
    }
    let year = year_text(year);
    let Some(month) = &date.month else {
        return Some(year);
    };
    let month = month_text(month.value.number()?)?;
    match &date.day {
        None => Some(format!("{month} {year}")),
        Some(day) => Some(format!("{} {month} {year}", day.value.number()?)),
    }
}

/// Returns a day, or only its month or year where it begins (or ends) one.
fn shortest(day: Day, begins: bool) -> Option<String> {
    let (whole_year, whole_month) = if begins {
        (day.begins_year(), day.day() == 1)
    } else {
        (day.ends_year(), day.ends_month())
    };
    let year = year_text(day.year());
    if whole_year {
        return Some(year);
    }
    let month = month_text(i64::from(day.month()))?;
    Some(if whole_month {
        format!("{month} {year}")
    } else {
        format!("{} {month} {year}", day.day())
    })
}

fn year_text(year: i64) -> String {
    if year > 0 {
        year.to_string()
    } else {
        // The year 0 of EDTF is 1 BCE. [GEDCOM 7.0 2.3 epoch BCE]
        format!("{} BCE", year.saturating_neg().saturating_add(1))
    }
}

fn month_text(number: i64) -> Option<&'static str> {
    // [GEDCOM 7.0 g7:month-JAN to g7:month-DEC]
    Some(match number {
        1 => "JAN",
        2 => "FEB",
        3 => "MAR",
        4 => "APR",
        5 => "MAY",
        6 => "JUN",
        7 => "JUL",
        8 => "AUG",
        9 => "SEP",
        10 => "OCT",
        11 => "NOV",
        12 => "DEC",
        _ => return None,
    })
}

/// Returns a date in XMP: only a plain year, month or day, or a moment. [ISO 16684-1 8.2.1.1]
pub(super) fn xmp(expression: &Expression) -> Option<String> {
    match expression {
        // XMP has no year 0000.
        Expression::Date(date) if date.is_plain() => {
            (bounds::years(&date.year.value)?.0 > 0).then(|| date.to_string())
        }
        Expression::Moment(moment) => Some(xmp_moment(moment)),
        _ => None,
    }
}

fn xmp_moment(moment: &Moment) -> String {
    match moment.zone {
        Zone::Shift { minutes: None, .. } => format!("{moment}:00"),
        _ => moment.to_string(),
    }
}
