//! Dates as people know them, in the Extended Date/Time Format (EDTF). [LoC EDTF, 4 February 2019; ISO 8601-2:2019 4]
//!
//! # Conformance
//!
//! Level 1 is supported, and in addition the following features of level 2 are supported: exponential year, significant
//! digits, sub-year groupings, set representation, qualification, unspecified digit, interval. That is all of levels 0, 1
//! and 2.
//!
//! Where the specification is silent:
//! - `../..`, `/`, `../` and `/..` say nothing and are refused.
//! - `-20XX` (unspecified digits in a negative year) is read, as level 2; `-000X` begins at the year -0009 and ends at -0001.
//! - `?-2004` is read: the mark stands before the sign.
//! - Digits of a month may be unspecified only so that a month 01 to 12 remains; seasons are always given in full.
//! - Seconds end at 59; a shift from Universal Time ends at 23:59.
//! - `S` counts the significant digits from the left, as in the examples `1950S2` and `Y3388E2S3`; the range printed beside the
//!   example `Y171010000S3` does not follow that rule, and the rule is kept.
//! - A year after `Y` has more than four digits once its exponent is counted in, and no leading zero.
//!
//! # What the marks mean in days
//!
//! [`Edtf::bounds`] takes a date as it stands: `~` and `?` change nothing. When dates are weighed against each other,
//! [`Edtf::generous_bounds`] widens each end that is marked approximate by [`ABOUT`] of the unit in which it is given. The
//! specification gives `~` no width: this is kithbag's own policy.

mod bounds;
mod day;
mod export;
mod level;
mod parse;
mod plain;
mod range;
mod reader;
mod syntax;
#[cfg(test)]
mod tests;
mod words;

pub use day::Bound;
pub use day::Day;
pub use export::GedcomDate;
pub use range::Estimated;

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::cmp::Ordering;
use std::fmt;
use std::hash::Hash;
use std::hash::Hasher;
use std::sync::Arc;
use syntax::Endpoint;
use syntax::Expression;
use syntax::Member;

/// How far "about" reaches on each side, in the unit in which the date is given: "about 1895" is 1890 to 1900, "about May
/// 1895" is December 1894 to October 1895. A policy of kithbag's own (cataloguers' advice for "circa" is five years).
pub const ABOUT: i32 = 5;

/// A date in EDTF: the text is kept exactly, and is known to be valid.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Edtf(Arc<Written>);

/// A date as it was written and read. It is long, and the same one stands in many rows and results: so it is held once for all
/// copies of it.
#[derive(Debug)]
struct Written {
    text: String,
    expression: Expression,
    ends: bounds::Ends,
}

/// Why a text is not a date.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{why} (at character {position})")]
pub struct DateFault {
    /// What is wrong.
    pub why: String,
    /// The character at which reading stopped, counted from 1.
    pub position: usize,
}

/// Whether a date, or a part of one, is doubted. [EDTF level 1 qualification of a date]
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
pub struct Qualification {
    /// The source of the date is doubted ("?").
    pub uncertain: bool,
    /// The date is an estimate ("~").
    pub approximate: bool,
}

impl Qualification {
    fn with(self, mark: Option<syntax::Mark>) -> Self {
        Self {
            uncertain: self.uncertain || mark.is_some_and(syntax::Mark::uncertain),
            approximate: self.approximate || mark.is_some_and(syntax::Mark::approximate),
        }
    }
}

/// How finely a date is given.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
pub enum Precision {
    /// More than one year.
    #[serde(rename = "years")]
    Years,
    /// A year.
    #[serde(rename = "year")]
    Year,
    /// A season, quarter or other part of a year.
    #[serde(rename = "part of a year")]
    PartOfYear,
    /// A month.
    #[serde(rename = "month")]
    Month,
    /// A day or a moment of it.
    #[serde(rename = "day")]
    Day,
}

impl Edtf {
    /// Reads an EDTF text.
    ///
    /// # Errors
    /// Says what is wrong and at which character.
    pub fn parse(text: &str) -> Result<Self, DateFault> {
        let expression = parse::expression(text)?;
        Ok(Self(Arc::new(Written {
            ends: bounds::of_expression(&expression),
            expression,
            text: text.to_owned(),
        })))
    }

    /// Returns the EDTF text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0.text
    }

    /// Returns the date in plain English, for example "about 1895".
    #[must_use]
    pub fn in_words(&self) -> String {
        words::of_expression(&self.0.expression)
    }

    /// Returns the earliest and the latest day that the date can mean, taking marks of doubt for nothing.
    #[must_use]
    pub fn bounds(&self) -> (Bound, Bound) {
        let ends = self.0.ends;
        (ends.earliest, ends.latest)
    }

    /// Returns the earliest and the latest day, each widened by [`ABOUT`] where the date that gives it is marked approximate.
    #[must_use]
    pub fn generous_bounds(&self) -> (Bound, Bound) {
        let ends = self.0.ends;
        (
            range::widened(ends.earliest, ends.earliest_about, true),
            range::widened(ends.latest, ends.latest_about, false),
        )
    }

    /// Tells which of both ends are marked approximate: the earliest, the latest.
    #[must_use]
    pub fn about_ends(&self) -> (bool, bool) {
        let ends = self.0.ends;
        (ends.earliest_about.is_some(), ends.latest_about.is_some())
    }

    /// Returns the doubts about the date, whichever part of it they stand at.
    #[must_use]
    pub fn qualification(&self) -> Qualification {
        self.dates()
            .into_iter()
            .flat_map(|date| date.marks().collect::<Vec<_>>())
            .fold(Qualification::default(), |sum, mark| sum.with(Some(mark)))
    }

    /// Tells whether this is a plain year, month or day, with or without time of day: nothing doubted, nothing left open.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        match &self.0.expression {
            Expression::Date(date) => date.is_plain(),
            Expression::Moment(_) => true,
            Expression::Interval(..) | Expression::Set(..) => false,
        }
    }

    /// Tells whether a date of this kind asks for its reasons: it is doubted, estimated, left open or one of several.
    /// [DCRM(G), note on dates: "Indicate the basis for the conjecture in a note"]
    #[must_use]
    pub fn asks_for_basis(&self) -> bool {
        match &self.0.expression {
            Expression::Interval(Endpoint::Date(start), Endpoint::Date(end)) => {
                !start.is_plain() || !end.is_plain()
            }
            _ => !self.is_exact(),
        }
    }

    /// Returns how finely the date is given.
    #[must_use]
    pub fn precision(&self) -> Precision {
        match &self.0.expression {
            Expression::Date(date) => level::precision_of(date),
            Expression::Moment(_) => Precision::Day,
            Expression::Interval(..) | Expression::Set(..) => Precision::Years,
        }
    }

    /// Returns the lowest level of EDTF that has this expression: 0, 1 or 2.
    #[must_use]
    pub fn level(&self) -> u8 {
        match &self.0.expression {
            Expression::Moment(_) => 0,
            Expression::Set(..) => 2,
            Expression::Date(date) => level::level_of(date),
            Expression::Interval(start, end) => [start, end]
                .into_iter()
                .map(|side| match side {
                    Endpoint::Date(date) => level::level_of(date),
                    Endpoint::Open | Endpoint::Unknown => 1,
                })
                .max()
                .unwrap_or(0),
        }
    }

    /// Returns the date as GEDCOM 7 says it. [GEDCOM 7.0 2.3]
    #[must_use]
    pub fn to_gedcom(&self) -> GedcomDate {
        export::gedcom(&self.0.expression)
    }

    /// Returns the date as XMP says it, or nothing when XMP cannot say it. [ISO 16684-1 8.2.1.1]
    #[must_use]
    pub fn to_xmp(&self) -> Option<String> {
        export::xmp(&self.0.expression)
    }

    /// Returns the shortest date that says "at one moment between these days, both included": a year, month or day, a decade
    /// such as `189X`, or a set such as `[1868..1870]`. Nothing if the days are in the wrong order, or neither is known.
    #[must_use]
    pub fn between(earliest: Bound, latest: Bound) -> Option<Self> {
        range::between(earliest, latest, Estimated::default())
    }

    /// Returns the same as [`Edtf::between`] with the ends marked approximate that `about` names. Nothing if the range is not of
    /// whole years: there "about" would reach less far.
    #[must_use]
    pub fn between_about(earliest: Bound, latest: Bound, about: Estimated) -> Option<Self> {
        range::between(earliest, latest, about)
    }

    fn dates(&self) -> Vec<&syntax::Date> {
        match &self.0.expression {
            Expression::Date(date) => vec![date],
            Expression::Moment(moment) => vec![&moment.date],
            Expression::Interval(start, end) => [start, end]
                .into_iter()
                .filter_map(|side| match side {
                    Endpoint::Date(date) => Some(date),
                    Endpoint::Open | Endpoint::Unknown => None,
                })
                .collect(),
            Expression::Set(_, members) => members
                .iter()
                .flat_map(|member| match member {
                    Member::One(date) | Member::UpTo(date) | Member::From(date) => vec![date],
                    Member::Through(first, last) => vec![first, last],
                })
                .collect(),
        }
    }
}

impl PartialEq for Edtf {
    fn eq(&self, other: &Self) -> bool {
        self.0.text == other.0.text
    }
}

impl Eq for Edtf {}

impl PartialOrd for Edtf {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Edtf {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.text.cmp(&other.0.text)
    }
}

impl Hash for Edtf {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.text.hash(state);
    }
}

impl TryFrom<String> for Edtf {
    type Error = DateFault;
    fn try_from(text: String) -> Result<Self, DateFault> {
        Self::parse(&text)
    }
}

impl From<Edtf> for String {
    fn from(date: Edtf) -> Self {
        date.0.text.clone()
    }
}

impl fmt::Display for Edtf {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0.text)
    }
}

/// A date as a person wrote it, and what kithbag reads it as.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct DateEntry {
    /// The date in EDTF.
    pub edtf: Edtf,
    /// The words in the cell, exactly.
    pub typed: String,
}

impl DateEntry {
    /// Reads EDTF or plain words ("c. 1895", "before 1901"); outer blanks do not count.
    ///
    /// # Errors
    /// Says what is wrong and at which character of `typed`.
    pub fn read(typed: &str) -> Result<Self, DateFault> {
        let trimmed = typed.trim();
        let skipped = typed
            .chars()
            .take_while(|character| character.is_whitespace())
            .count();
        let edtf = plain::read(trimmed).map_err(|fault| DateFault {
            position: fault.position.saturating_add(skipped),
            ..fault
        })?;
        Ok(Self {
            edtf,
            typed: typed.to_owned(),
        })
    }
}

impl fmt::Display for DateEntry {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.typed)
    }
}
