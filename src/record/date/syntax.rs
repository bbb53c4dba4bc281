//! The parts of an EDTF expression, and how they are written.

use super::Qualification;
use std::fmt;

/// A whole expression.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Expression {
    /// A year, month, day, season or other part of a year.
    Date(Date),
    /// A moment of a day.
    Moment(Moment),
    /// From one date to another.
    Interval(Endpoint, Endpoint),
    /// One or all of several dates.
    Set(Gathering, Vec<Member>),
}

/// One side of an interval. [EDTF level 0 time interval; level 1 extended interval]
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Endpoint {
    Date(Date),
    Open,
    Unknown,
}

/// How the members of a set are meant. [EDTF level 2 set representation]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Gathering {
    OneOf,
    AllOf,
}

/// A member of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Member {
    One(Date),
    Through(Date, Date),
    UpTo(Date),
    From(Date),
}

/// A date with its marks of doubt. [EDTF level 2 qualification]
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Date {
    pub(super) year: Component<Year>,
    pub(super) month: Option<Component<Pattern>>,
    pub(super) day: Option<Component<Pattern>>,
}

/// A part of a date with the mark on its left (this part only) and on its right (this part and all to its left).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Component<T> {
    pub(super) before: Option<Mark>,
    pub(super) value: T,
    pub(super) after: Option<Mark>,
}

/// A mark of doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    Uncertain,
    Approximate,
    Both,
}

/// A year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Year {
    /// Four digits, of which some may be unspecified.
    Four {
        negative: bool,
        digits: Pattern,
        significant: Option<u32>,
    },
    /// More than four digits, after the letter Y.
    Long {
        negative: bool,
        digits: String,
        exponent: Option<u32>,
        significant: Option<u32>,
    },
}

/// Digits, `None` where a digit is unspecified ("X").
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pattern(pub(super) Vec<Option<u8>>);

/// A day with a time of day. [EDTF level 0 date and time]
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Moment {
    pub(super) date: Date,
    /// Hour, minute, second.
    pub(super) time: (u8, u8, u8),
    pub(super) zone: Zone,
}

/// The shift of a time of day from Coordinated Universal Time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Zone {
    Local,
    Universal,
    Shift {
        behind: bool,
        hours: u8,
        minutes: Option<u8>,
    },
}

impl Mark {
    pub(super) const fn uncertain(self) -> bool {
        matches!(self, Self::Uncertain | Self::Both)
    }

    pub(super) const fn approximate(self) -> bool {
        matches!(self, Self::Approximate | Self::Both)
    }
}

impl Pattern {
    /// Returns the number, if every digit is given.
    pub(super) fn number(&self) -> Option<i64> {
        self.0.iter().try_fold(0_i64, |sum, digit| {
            sum.checked_mul(10)?.checked_add(i64::from((*digit)?))
        })
    }

    /// Returns the least number that fits.
    pub(super) fn least(&self) -> i64 {
        self.filled(0)
    }

    /// Returns the greatest number that fits.
    pub(super) fn greatest(&self) -> i64 {
        self.filled(9)
    }

    fn filled(&self, unspecified: u8) -> i64 {
        self.0.iter().fold(0_i64, |sum, digit| {
            sum.saturating_mul(10)
                .saturating_add(i64::from(digit.unwrap_or(unspecified)))
        })
    }

    /// Tells whether a number fits.
    pub(super) fn fits(&self, number: i64) -> bool {
        let mut rest = number;
        for digit in self.0.iter().rev() {
            let last = rest.rem_euclid(10);
            if digit.is_some_and(|given| i64::from(given) != last) {
                return false;
            }
            rest = rest.div_euclid(10);
        }
        rest == 0
    }

    /// Tells whether no digit is given.
    pub(super) fn is_unspecified(&self) -> bool {
        self.0.iter().all(Option::is_none)
    }

    /// Returns how many digits at the end are unspecified, if all before them are given.
    pub(super) fn unspecified_tail(&self) -> Option<usize> {
        let tail = self
            .0
            .iter()
            .rev()
            .take_while(|digit| digit.is_none())
            .count();
        let given = self.0.iter().filter(|digit| digit.is_some()).count();
        (tail.saturating_add(given) == self.0.len()).then_some(tail)
    }
}

impl Date {
    /// Returns the mark that stands for the whole date: one after its last part, with no other mark anywhere.
    pub(super) fn whole_mark(&self) -> Option<Mark> {
        let last = match (&self.month, &self.day) {
            (_, Some(day)) => day.after,
            (Some(month), None) => month.after,
            (None, None) => self.year.after,
        };
        (self.marks().count() == 1).then_some(last).flatten()
    }

    /// Returns every mark, left to right.
    pub(super) fn marks(&self) -> impl Iterator<Item = Mark> + '_ {
        let year = [self.year.before, self.year.after];
        let month = self
            .month
            .as_ref()
            .map_or([None, None], |part| [part.before, part.after]);
        let day = self
            .day
            .as_ref()
            .map_or([None, None], |part| [part.before, part.after]);
        year.into_iter().chain(month).chain(day).flatten()
    }

    /// Returns the doubt about each part: year, month, day.
    pub(super) fn doubts(&self) -> [Qualification; 3] {
        let parts = [
            (self.year.before, self.year.after),
            self.month
                .as_ref()
                .map_or((None, None), |part| (part.before, part.after)),
            self.day
                .as_ref()
                .map_or((None, None), |part| (part.before, part.after)),
        ];
        let mut doubts = [Qualification::default(); 3];
        let mut from_right = Qualification::default();
        for (doubt, (before, after)) in doubts.iter_mut().zip(parts).rev() {
            from_right = from_right.with(after);
            *doubt = from_right.with(before);
        }
        doubts
    }

    /// Returns the month or season number, if its digits are given.
    pub(super) fn month_number(&self) -> Option<i64> {
        self.month.as_ref().and_then(|month| month.value.number())
    }

    /// Returns the number of a season, quarter or other part of a year (21 to 41).
    pub(super) fn season(&self) -> Option<i64> {
        self.month_number().filter(|number| *number > 12)
    }

    /// Tells whether this is a plain year, month or day: four digits, nothing unspecified, no mark of doubt.
    pub(super) fn is_plain(&self) -> bool {
        let given = |part: &Option<Component<Pattern>>| {
            part.as_ref()
                .is_none_or(|part| part.value.number().is_some())
        };
        matches!(&self.year.value, Year::Four { negative: false, digits, significant: None } if digits.number().is_some())
            && given(&self.month)
            && given(&self.day)
            && self.season().is_none()
            && self.marks().next().is_none()
    }
}

impl fmt::Display for Expression {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Date(date) => date.fmt(out),
            Self::Moment(moment) => moment.fmt(out),
            Self::Interval(start, end) => write!(out, "{start}/{end}"),
            Self::Set(gathering, members) => {
                let (open, close) = match gathering {
                    Gathering::OneOf => ("[", "]"),
                    Gathering::AllOf => ("{", "}"),
                };
                out.write_str(open)?;
                for (index, member) in members.iter().enumerate() {
                    if index > 0 {
                        out.write_str(",")?;
                    }
                    member.fmt(out)?;
                }
                out.write_str(close)
            }
        }
    }
}

impl fmt::Display for Endpoint {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Date(date) => date.fmt(out),
            Self::Open => out.write_str(".."),
            Self::Unknown => Ok(()),
        }
    }
}

impl fmt::Display for Member {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::One(date) => date.fmt(out),
            Self::Through(first, last) => write!(out, "{first}..{last}"),
            Self::UpTo(last) => write!(out, "..{last}"),
            Self::From(first) => write!(out, "{first}.."),
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.year.fmt(out)?;
        for part in [&self.month, &self.day].into_iter().flatten() {
            write!(out, "-{part}")?;
        }
        Ok(())
    }
}

impl<T: fmt::Display> fmt::Display for Component<T> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(mark) = self.before {
            mark.fmt(out)?;
        }
        self.value.fmt(out)?;
        match self.after {
            Some(mark) => mark.fmt(out),
            None => Ok(()),
        }
    }
}

impl fmt::Display for Mark {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Uncertain => "?",
            Self::Approximate => "~",
            Self::Both => "%",
        })
    }
}

impl fmt::Display for Year {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = |negative: &bool| if *negative { "-" } else { "" };
        let significant = match self {
            Self::Four {
                negative,
                digits,
                significant,
            } => {
                write!(out, "{}{digits}", sign(negative))?;
                significant
            }
            Self::Long {
                negative,
                digits,
                exponent,
                significant,
            } => {
                write!(out, "Y{}{digits}", sign(negative))?;
                if let Some(exponent) = exponent {
                    write!(out, "E{exponent}")?;
                }
                significant
            }
        };
        match significant {
            Some(count) => write!(out, "S{count}"),
            None => Ok(()),
        }
    }
}

impl fmt::Display for Pattern {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for digit in &self.0 {
            match digit {
                Some(digit) => digit.fmt(out)?,
                None => out.write_str("X")?,
            }
        }
        Ok(())
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hour, minute, second) = self.time;
        write!(out, "{}T{hour:02}:{minute:02}:{second:02}", self.date)?;
        match self.zone {
            Zone::Local => Ok(()),
            Zone::Universal => out.write_str("Z"),
            Zone::Shift {
                behind,
                hours,
                minutes,
            } => {
                write!(out, "{}{hours:02}", if behind { '-' } else { '+' })?;
                match minutes {
                    Some(minutes) => write!(out, ":{minutes:02}"),
                    None => Ok(()),
                }
            }
        }
    }
}
