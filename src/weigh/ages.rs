//! Candidate sitters against the dates: how old they would have been, and what speaks against them. Nothing here decides who
//! somebody is.

use super::dates::DateResult;
use super::dates::Dates;
use super::evidence::life;
use super::interval::Range;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::Transcription;
use schemars::JsonSchema;
use serde::Serialize;

/// How old somebody would have been at both ends of a range, in completed years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Ages {
    /// The age on the first day, born as late as possible.
    pub youngest: i64,
    /// The age at the end of the first year, born as early as possible.
    pub youngest_by_year_end: i64,
    /// The age on the last day, born as early as possible.
    pub oldest: i64,
}

impl Ages {
    /// Returns the ages as words, for example "55/56–66".
    #[must_use]
    pub fn words(self) -> String {
        let low = if self.youngest == self.youngest_by_year_end {
            self.youngest.to_string()
        } else {
            format!("{}/{}", self.youngest, self.youngest_by_year_end)
        };
        if self.oldest <= self.youngest_by_year_end {
            low
        } else {
            format!("{low}–{}", self.oldest)
        }
    }
}

/// What the dates say of one candidate.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct LifeCheck {
    pub(super) ages: Option<Ages>,
    pub(super) sitting: Option<Edtf>,
    pub(super) contradictions: Vec<Contradiction>,
}

/// What speaks against a candidate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Contradiction {
    /// Stable name, the same as the concern's.
    pub code: &'static str,
    /// What it is, a sentence.
    pub what: String,
    /// Whether it asks a question rather than excludes.
    pub only_asks: bool,
}

/// The first year of photography. [announced 1839; the earliest photograph that survives is of 1826]
const PHOTOGRAPHY_BEGAN: i64 = 1826;

/// Words for relatives and the age below which nobody is one, as a matter of nature.
const LEAST_AGES: [(&str, i64); 18] = [
    ("great-grandmother", 45),
    ("great-grandfather", 45),
    ("great grandmother", 45),
    ("great grandfather", 45),
    ("grandmother", 30),
    ("grandfather", 30),
    ("grandma", 30),
    ("grandpa", 30),
    ("granny", 30),
    ("granddad", 30),
    ("mother", 15),
    ("father", 15),
    ("mama", 15),
    ("papa", 15),
    ("mum", 15),
    ("mom", 15),
    ("dad", 15),
    ("ma", 15),
];

/// Weighs a candidate's life against the dates of a portrait.
pub(super) fn check(
    portrait: &Portrait,
    person: &Person,
    dates: &Dates,
    words: &[&Transcription],
) -> LifeCheck {
    let life = life(portrait, person, "this person");
    let alive = life
        .iter()
        .fold(Range::default(), |range, clue| range.narrowed(clue));
    let print = dates.print.as_ref();
    let sitting = dates.sitting.as_ref();
    let latest_print = print.map(|one| one.limit_range).unwrap_or_default();
    let limits = sitting
        .map(|one| one.limit_range)
        .unwrap_or_default()
        .until(latest_print.latest, latest_print.about_latest);
    let estimated = sitting
        .map(|one| one.estimate_range)
        .unwrap_or_default()
        .until(
            print.and_then(|one| one.estimate_range.latest),
            print.and_then(|one| one.estimate_range.about_latest),
        );
    let mut check = LifeCheck {
        ages: ages(person, picture_range(dates)),
        ..LifeCheck::default()
    };
    let name = person.name.text().unwrap_or("this person").to_owned();
    check.contradictions = Fit {
        name: &name,
        alive,
        limits,
        estimated,
        earliest_print: print.and_then(|print| print.estimate_range.earliest),
    }
    .contradictions();
    if life.is_empty() {
        return check;
    }
    let mine = within(estimated, alive)
        .or_else(|| within(limits, alive))
        .filter(|range| !range.is_open());
    check.sitting = mine.and_then(Range::edtf);
    check
        .contradictions
        .extend(too_young(&name, check.ages, words));
    check
}

fn within(range: Range, alive: Range) -> Option<Range> {
    let both = range
        .from(alive.earliest, alive.about_earliest)
        .until(alive.latest, alive.about_latest);
    (!both.is_empty()).then_some(both)
}

/// The range at whose ends ages are told: the shorter of the limits of sitting and print that have two ends, otherwise of the
/// estimates.
fn picture_range(dates: &Dates) -> Range {
    let results = [dates.sitting.as_ref(), dates.print.as_ref()];
    let shortest = |range_of: fn(&DateResult) -> Range| {
        results
            .into_iter()
            .flatten()
            .map(range_of)
            .filter_map(|range| {
                let years = range.latest?.year().saturating_sub(range.earliest?.year());
                Some((years, range))
            })
            .min_by_key(|(years, _)| *years)
            .map(|(_, range)| range)
    };
    shortest(|result| result.limit_range)
        .or_else(|| shortest(|result| result.estimate_range))
        .unwrap_or_default()
}

fn ages(person: &Person, range: Range) -> Option<Ages> {
    let (first, last) = person.born.given()?.edtf.generous_bounds();
    let (first, last) = (first.day()?, last.day()?);
    let (begin, end) = (range.earliest?, range.latest?);
    let year_end = Day::last_of_year(begin.year()).min(end);
    Some(Ages {
        youngest: begin.age_of(last),
        youngest_by_year_end: year_end.age_of(first),
        oldest: end.age_of(first),
    })
}

/// The life of a candidate and the ranges that it has to fit.
struct Fit<'a> {
    name: &'a str,
    alive: Range,
    limits: Range,
    estimated: Range,
    earliest_print: Option<Day>,
}

impl Fit<'_> {
    fn contradictions(&self) -> Vec<Contradiction> {
        [
            self.before_photography(),
            self.born_after(),
            self.dead_before_sitting(),
            self.dead_before_print(),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn before_photography(&self) -> Option<Contradiction> {
        let began = Day::first_of_year(PHOTOGRAPHY_BEGAN);
        let (died, _) = years_if_before(self.alive.latest, Some(began))?;
        Some(Contradiction {
            code: "dead-before-photography",
            what: format!(
                "{} died by {died}, before there were photographs; this could only be a copy of a painting or drawing",
                self.name
            ),
            only_asks: false,
        })
    }

    fn born_after(&self) -> Option<Contradiction> {
        let excluded = years_if_before(self.limits.latest, self.alive.earliest);
        let only_asks = excluded.is_none();
        let (latest, born) =
            excluded.or_else(|| years_if_before(self.estimated.latest, self.alive.earliest))?;
        let sense = if only_asks {
            "and the clues point to"
        } else {
            "and this picture can only be of"
        };
        Some(Contradiction {
            code: "born-after-picture",
            what: format!(
                "{} was born in {born} or later, {sense} {latest} or earlier",
                self.name
            ),
            only_asks,
        })
    }

    fn dead_before_sitting(&self) -> Option<Contradiction> {
        if let Some((died, earliest)) = years_if_before(self.alive.latest, self.limits.earliest) {
            return Some(Contradiction {
                code: "dead-before-sitting",
                what: format!(
                    "{} died by {died}, before the earliest year of the sitting, {earliest}",
                    self.name
                ),
                only_asks: false,
            });
        }
        let (died, earliest) = years_if_before(self.alive.latest, self.estimated.earliest)?;
        Some(Contradiction {
            code: "dead-before-sitting",
            what: format!(
                "{} died by {died}, but what is seen points to {earliest} or later: is this a copy of an older picture, perhaps with the clothes brought up to date?",
                self.name
            ),
            only_asks: true,
        })
    }

    fn dead_before_print(&self) -> Option<Contradiction> {
        let (died, made) = years_if_before(self.alive.latest, self.earliest_print)?;
        Some(Contradiction {
            code: "dead-before-print",
            what: format!(
                "{} died by {died}, and this print was made in {made} or later: if it shows {}, it is a copy of an older picture",
                self.name, self.name
            ),
            only_asks: true,
        })
    }
}

/// Returns the years of two days if the first is before the second.
fn years_if_before(one: Option<Day>, other: Option<Day>) -> Option<(i64, i64)> {
    let (one, other) = one.zip(other)?;
    (one < other).then(|| (one.year(), other.year()))
}

/// Asks about words such as "Grandfather" on a picture of somebody too young for them. They may have been written long after.
fn too_young(name: &str, ages: Option<Ages>, words: &[&Transcription]) -> Option<Contradiction> {
    let oldest = ages?.oldest;
    for transcription in words {
        let text = transcription.text.text().unwrap_or_default().to_lowercase();
        let least = LEAST_AGES
            .iter()
            .find(|(word, _)| super::words::has_word(&text, word));
        if let Some((word, least)) = least.filter(|(_, least)| oldest < *least) {
            return Some(Contradiction {
                code: "too-young-for-kin-word",
                what: format!(
                    "{name} was at most {oldest} years old, young for somebody called “{word}” (at least {least}); were the words written later?"
                ),
                only_asks: true,
            });
        }
    }
    None
}
