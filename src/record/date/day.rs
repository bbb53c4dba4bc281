//! Days of the calendar, and the ends of a range of days.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::fmt;

/// A day of the Gregorian calendar, carried back before its introduction. The year 0 is 1 BC. [ISO8601-1 4.2.1]
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Day {
    year: i64,
    month: u8,
    day: u8,
}

impl Day {
    /// Returns the day, if the calendar has it.
    #[must_use]
    pub const fn new(year: i64, month: u8, day: u8) -> Option<Self> {
        if day == 0 || day > length_of_month(year, month) {
            return None;
        }
        Some(Self { year, month, day })
    }

    /// Reads "1893-05-03".
    #[must_use]
    pub fn from_iso(text: &str) -> Option<Self> {
        let mut parts = text.split('-');
        let year = plain(parts.next()?, 4)?;
        let month = u8::try_from(plain(parts.next()?, 2)?).ok()?;
        let day = u8::try_from(plain(parts.next()?, 2)?).ok()?;
        if parts.next().is_some() {
            return None;
        }
        Self::new(year, month, day)
    }

    /// Returns 1 January of a year.
    #[must_use]
    pub const fn first_of_year(year: i64) -> Self {
        Self {
            year,
            month: 1,
            day: 1,
        }
    }

    /// Returns 31 December of a year.
    #[must_use]
    pub const fn last_of_year(year: i64) -> Self {
        Self {
            year,
            month: 12,
            day: 31,
        }
    }

    /// Returns the first day of this day's month.
    #[must_use]
    pub const fn first_of_month(self) -> Self {
        Self { day: 1, ..self }
    }

    /// Returns the last day of this day's month.
    #[must_use]
    pub const fn last_of_month(self) -> Self {
        Self {
            day: length_of_month(self.year, self.month),
            ..self
        }
    }

    /// Returns the year.
    #[must_use]
    pub const fn year(self) -> i64 {
        self.year
    }

    /// Returns the month, 1 to 12.
    #[must_use]
    pub const fn month(self) -> u8 {
        self.month
    }

    /// Returns the day of the month, 1 to 31.
    #[must_use]
    pub const fn day(self) -> u8 {
        self.day
    }

    /// Returns the day after.
    #[must_use]
    pub fn next(self) -> Self {
        if self.day < length_of_month(self.year, self.month) {
            Self {
                day: self.day.saturating_add(1),
                ..self
            }
        } else {
            self.first_of_month().plus_months(1)
        }
    }

    /// Returns the day before.
    #[must_use]
    pub fn previous(self) -> Self {
        if self.day > 1 {
            Self {
                day: self.day.saturating_sub(1),
                ..self
            }
        } else {
            self.plus_months(-1).last_of_month()
        }
    }

    /// Returns the day so many days later, or earlier if negative. Meant for short distances.
    #[must_use]
    pub fn plus_days(self, days: i32) -> Self {
        (0..days.unsigned_abs()).fold(
            self,
            |day, _| {
                if days < 0 { day.previous() } else { day.next() }
            },
        )
    }

    /// Returns the same day so many months later, or earlier if negative; the month's last day if it is shorter.
    #[must_use]
    pub fn plus_months(self, months: i64) -> Self {
        let total = self
            .year
            .saturating_mul(12)
            .saturating_add(i64::from(self.month))
            .saturating_sub(1)
            .saturating_add(months);
        let year = total.div_euclid(12);
        // The remainder of a division by 12 is below 12.
        let month = u8::try_from(total.rem_euclid(12))
            .map_or(12, |zero_based| zero_based.saturating_add(1));
        Self {
            year,
            month,
            day: at_most(self.day, length_of_month(year, month)),
        }
    }

    /// Returns the same day so many years later, or earlier if negative; 28 February for a 29 February that is not there.
    #[must_use]
    pub const fn plus_years(self, years: i64) -> Self {
        let year = self.year.saturating_add(years);
        Self {
            year,
            month: self.month,
            day: at_most(self.day, length_of_month(year, self.month)),
        }
    }

    /// Returns the age in completed years, on this day, of somebody born on `birth`; negative before the birth.
    #[must_use]
    pub fn age_of(self, birth: Self) -> i64 {
        let years = self.year.saturating_sub(birth.year);
        if (self.month, self.day) < (birth.month, birth.day) {
            years.saturating_sub(1)
        } else {
            years
        }
    }

    /// Tells whether this is the first day of a year.
    #[must_use]
    pub const fn begins_year(self) -> bool {
        self.month == 1 && self.day == 1
    }

    /// Tells whether this is the last day of a year.
    #[must_use]
    pub const fn ends_year(self) -> bool {
        self.month == 12 && self.day == 31
    }

    /// Tells whether this is the last day of a month.
    #[must_use]
    pub const fn ends_month(self) -> bool {
        self.day == length_of_month(self.year, self.month)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.year < 0 { "-" } else { "" };
        write!(
            formatter,
            "{sign}{:04}-{:02}-{:02}",
            self.year.unsigned_abs(),
            self.month,
            self.day
        )
    }
}

impl TryFrom<String> for Day {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        Self::from_iso(&text).ok_or_else(|| format!("“{text}” is not a day such as 1893-05-03"))
    }
}

impl From<Day> for String {
    fn from(day: Day) -> Self {
        day.to_string()
    }
}

/// One end of a range of days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Bound {
    /// This day.
    #[serde(rename = "day")]
    Day(Day),
    /// There is no end on this side.
    #[serde(rename = "open")]
    Open,
    /// There is an end on this side, and nobody knows it.
    #[serde(rename = "unknown")]
    Unknown,
}

impl Bound {
    /// Returns the day, if there is one.
    #[must_use]
    pub const fn day(self) -> Option<Day> {
        match self {
            Self::Day(day) => Some(day),
            Self::Open | Self::Unknown => None,
        }
    }

    /// Changes the day, if there is one.
    #[must_use]
    pub fn map(self, change: impl FnOnce(Day) -> Day) -> Self {
        match self {
            Self::Day(day) => Self::Day(change(day)),
            other => other,
        }
    }
}

/// Returns the number of days of a month, 0 if there is no such month.
pub(super) const fn length_of_month(year: i64, month: u8) -> u8 {
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if is_leap(year) => 29,
        2 => 28,
        _ => 0,
    }
}

const fn is_leap(year: i64) -> bool {
    year.rem_euclid(4) == 0 && (year.rem_euclid(100) != 0 || year.rem_euclid(400) == 0)
}

fn plain(text: &str, digits: usize) -> Option<i64> {
    (text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit()))
        .then(|| text.parse().ok())
        .flatten()
}

const fn at_most(value: u8, limit: u8) -> u8 {
    if value < limit { value } else { limit }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::from_iso(text).unwrap()
    }

    #[test]
    fn the_calendar_has_leap_days_by_the_rule_of_centuries() {
        assert!(Day::new(1900, 2, 29).is_none());
        assert!(Day::new(2000, 2, 29).is_some());
        assert!(Day::new(1904, 2, 29).is_some());
        assert!(Day::new(0, 2, 29).is_some());
        assert!(Day::new(1901, 13, 1).is_none());
        assert!(Day::new(1901, 1, 0).is_none());
    }

    #[test]
    fn days_and_months_roll_over() {
        assert_eq!(day("1899-12-31").next(), day("1900-01-01"));
        assert_eq!(day("1900-03-01").previous(), day("1900-02-28"));
        assert_eq!(day("1900-03-01").plus_days(-2), day("1900-02-27"));
        assert_eq!(day("1900-01-31").plus_months(1), day("1900-02-28"));
        assert_eq!(day("1900-01-31").plus_months(-2), day("1899-11-30"));
        assert_eq!(day("1904-02-29").plus_years(1), day("1905-02-28"));
    }

    #[test]
    fn age_counts_completed_years() {
        assert_eq!(day("1893-05-04").age_of(day("1822-03-04")), 71);
        assert_eq!(day("1893-03-03").age_of(day("1822-03-04")), 70);
        assert_eq!(day("1820-01-01").age_of(day("1822-03-04")), -3);
    }

    #[test]
    fn only_the_plain_form_is_read() {
        for bad in [
            "",
            "1893",
            "1893-5-03",
            "1893-05-32",
            "1893-05-03-01",
            "18930503",
            "+893-05-03",
        ] {
            assert!(Day::from_iso(bad).is_none(), "{bad}");
        }
        assert_eq!(day("0044-03-15").to_string(), "0044-03-15");
    }
}
