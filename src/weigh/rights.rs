//! A worksheet of copyright terms in the United States: facts and both branches, never an answer.
//!
//! Terms run to the end of the year. [17 USC 302(a), 302(c), 303, 304; 305] Whether handing prints to the sitter was publication
//! is unsettled: the branch is never chosen here.

use super::dates::Dates;
use crate::record::DateEntry;
use crate::record::Day;
use crate::record::Portrait;
use crate::record::Rights;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;
use std::fmt;

/// What stands in the sheet while nobody has judged.
pub const NOT_EVALUATED: &str = "copyright not evaluated";

/// The two branches for one portrait. Information only.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RightsHint {
    /// The statement that a person gave, or [`NOT_EVALUATED`].
    pub statement: Cow<'static, str>,
    /// If it was never published.
    pub if_unpublished: String,
    /// If it was published in the United States soon after it was made.
    pub if_published: String,
    /// What a person wrote of whether it was published, word for word.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub said_of_publication: Option<String>,
    /// What to bear in mind.
    pub note: Cow<'static, str>,
}

/// Years after the maker's death, if never published. [17 USC 302(a), 303]
const AFTER_DEATH: i64 = 70;
/// Years after the making, if never published and the maker or the maker's death is not known. [17 USC 302(c), 303]
const AFTER_MAKING: i64 = 120;
/// Years after publication. [17 USC 304]
const AFTER_PUBLICATION: i64 = 95;

/// Returns both branches for a portrait.
#[must_use]
pub(super) fn hint(
    portrait: &Portrait,
    rights: Option<&Rights>,
    dates: &Dates,
    as_of: Day,
) -> RightsHint {
    let made = portrait
        .dates
        .print
        .given()
        .map_or_else(|| LastYear::weighed(dates), LastYear::stated);
    let died = rights
        .and_then(|rights| rights.maker_died.given())
        .and_then(LastYear::stated);
    let now = as_of.year();
    let until = |base: Option<LastYear>, years: i64, from: &str| {
        base.map(|base| {
            term(
                base.year.saturating_add(years),
                now,
                &format!("{from} {base} and {years} years"),
            )
        })
    };
    let if_unpublished = until(died, AFTER_DEATH, "the maker’s death,")
        .or_else(|| until(made, AFTER_MAKING, "made by"))
        .unwrap_or_else(|| {
            "cannot be said: neither the maker’s death nor the year of making is known".to_owned()
        });
    let if_published = until(made, AFTER_PUBLICATION, "published by")
        .unwrap_or_else(|| "cannot be said: the year is not known".to_owned());
    RightsHint {
        statement: rights
            .and_then(|rights| rights.statement.text())
            .map_or(Cow::Borrowed(NOT_EVALUATED), |stated| {
                Cow::Owned(stated.to_owned())
            }),
        if_unpublished,
        if_published,
        said_of_publication: rights
            .and_then(|rights| rights.published.text())
            .map(str::to_owned),
        note: Cow::Borrowed(
            "United States only, information and not advice; whether it was ever published is for a person to find out, and pictures first published from 1978 to 2002 last at least to the end of 2047.",
        ),
    }
}

/// The last year of a date as it was written. What "about" allows beyond it is not added: the word stands beside the year instead.
#[derive(Debug, Clone, Copy)]
struct LastYear {
    year: i64,
    about: bool,
}

impl LastYear {
    fn stated(date: &DateEntry) -> Option<Self> {
        let year = date.edtf.bounds().1.day()?.year();
        let (_, about) = date.edtf.about_ends();
        Some(Self { year, about })
    }

    fn weighed(dates: &Dates) -> Option<Self> {
        let range = dates.print.as_deref()?.estimate_range;
        Some(Self {
            year: range.stated_latest()?.year(),
            about: range.about_latest.is_some(),
        })
    }
}

impl fmt::Display for LastYear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", if self.about { "about " } else { "" }, self.year)
    }
}

fn term(last_year: i64, now: i64, why: &str) -> String {
    if last_year < now {
        format!("possibly ended with {last_year} ({why})")
    } else {
        format!("possibly to the end of {last_year} ({why})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;

    fn of(made: &str, died: Option<&str>, as_of: i64) -> RightsHint {
        let mut portrait = Portrait::default();
        portrait.dates.print = Answer::Given(DateEntry::read(made).unwrap());
        let rights = Rights {
            maker_died: died.map(|died| DateEntry::read(died).unwrap()).into(),
            ..Rights::default()
        };
        hint(
            &portrait,
            Some(&rights),
            &Dates::default(),
            Day::first_of_year(as_of),
        )
    }

    #[test]
    fn both_branches_stand_side_by_side_and_nothing_is_decided() {
        // Invented demo C, as of 2026. C-03: snapshot of about 1912, never published: 120 years.
        let snapshot = of("c. 1912", None, 2026);
        assert!(snapshot.if_unpublished.contains("made by about 1912"));
        assert!(
            snapshot
                .if_unpublished
                .starts_with("possibly to the end of 2032")
        );
        assert!(
            snapshot
                .if_published
                .starts_with("possibly ended with 2007")
        );
        assert_eq!(snapshot.statement, NOT_EVALUATED);
        // C-04: studio portrait of 1948, photographer died in 1990.
        assert!(
            of("1948", Some("1990"), 2026)
                .if_unpublished
                .starts_with("possibly to the end of 2060")
        );
        // C-02: printed 1907.
        assert!(
            of("1907", None, 2026)
                .if_published
                .starts_with("possibly ended with 2002")
        );
    }

    #[test]
    fn the_cut_offs_of_2026_and_2027_come_out() {
        // Cornell chart rolled forward: in 2026 published before 1931, died before 1956, made before 1906; in 2027 one year on.
        for (year, published, died, made) in [(2026, 1930, 1955, 1905), (2027, 1931, 1956, 1906)] {
            let ended = "possibly ended";
            let runs = "possibly to the end";
            assert!(
                of(&published.to_string(), None, year)
                    .if_published
                    .starts_with(ended)
            );
            assert!(
                of(&(published + 1).to_string(), None, year)
                    .if_published
                    .starts_with(runs)
            );
            assert!(
                of("1900", Some(&died.to_string()), year)
                    .if_unpublished
                    .starts_with(ended)
            );
            assert!(
                of("1900", Some(&(died + 1).to_string()), year)
                    .if_unpublished
                    .starts_with(runs)
            );
            assert!(
                of(&made.to_string(), None, year)
                    .if_unpublished
                    .starts_with(ended)
            );
            assert!(
                of(&(made + 1).to_string(), None, year)
                    .if_unpublished
                    .starts_with(runs)
            );
        }
    }
}
