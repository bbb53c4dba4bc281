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
    /// The age on the first day, born as late as possible; 0 if that is before the birth.
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

/// How old a candidate would have been if one of the portrait's ranges is right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AgesWhen {
    /// The range, in words, and what was made or done then.
    pub when: String,
    /// The ages in words, for example "55/56–66".
    pub aged: String,
    /// Whether the person was dead by the beginning of the range, so that the ages can only be thought.
    pub only_thought: bool,
}

impl AgesWhen {
    /// Returns a sentence without its beginning: "aged 55/56–66 if this print was made between 1878 and 1888".
    #[must_use]
    pub fn words(&self) -> String {
        if self.only_thought {
            format!(
                "dead by then; would have been {} if {}",
                self.aged, self.when
            )
        } else {
            format!("aged {} if {}", self.aged, self.when)
        }
    }
}

/// What the dates say of one candidate.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct LifeCheck {
    pub(super) ages: Vec<AgesWhen>,
    pub(super) sitting: Option<Edtf>,
    pub(super) remarks: Vec<String>,
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

/// Words for the very young and the age, in completed years, that nobody so called has passed. Our own reckoning: no source.
const GREATEST_AGES: [(&str, i64); 3] = [("baby", 3), ("babe", 3), ("infant", 3)];

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
    let print = dates.print.as_deref();
    let sitting = dates.sitting.as_deref();
    let latest_print = print.map(|one| one.limit_range).unwrap_or_default();
    let limits = sitting
        .map(|one| one.limit_range)
        .unwrap_or_default()
        .until(latest_print.latest, latest_print.about_latest);
    let estimated = sitting.map(|one| one.estimate_range).unwrap_or_default();
    let name = person.name.text().unwrap_or("this person").to_owned();
    let fit = Fit {
        name: &name,
        alive,
        limits,
        estimated: estimated.until(
            print.and_then(|one| one.estimate_range.latest),
            print.and_then(|one| one.estimate_range.about_latest),
        ),
        earliest_print: print.and_then(|print| print.estimate_range.stated_earliest()),
    };
    let mut check = LifeCheck {
        ages: ages_when(person, alive, dates),
        contradictions: fit.contradictions(),
        ..LifeCheck::default()
    };
    if life.is_empty() {
        return check;
    }
    // What is hard, and what speaks of the sitting itself: an estimate of the print bounds nothing here, for it may be later.
    let mut mine = within(estimated.until(limits.latest, limits.about_latest), alive)
        .filter(|_| !fit.misses_what_is_seen())
        .or_else(|| within(limits, alive));
    if let Some((word, greatest)) = said_of(words, &GREATEST_AGES) {
        young(
            Young {
                name: &name,
                word,
                greatest,
                person,
            },
            &fit,
            &mut mine,
            &mut check,
        );
    }
    check.sitting = mine.filter(|range| !range.is_open()).and_then(Range::edtf);
    let oldest = ages(person, picture_range(dates)).map(|ages| ages.oldest);
    check.contradictions.extend(too_young(&name, oldest, words));
    check
}

fn within(range: Range, alive: Range) -> Option<Range> {
    let both = range
        .from(alive.earliest, alive.about_earliest)
        .until(alive.latest, alive.about_latest);
    (!both.is_empty()).then_some(both)
}

/// Returns the ages for each of the portrait's ranges that has two ends: the limits of sitting and print, and then the estimates.
fn ages_when(person: &Person, alive: Range, dates: &Dates) -> Vec<AgesWhen> {
    let results = [
        ("the sitting was", dates.sitting.as_deref()),
        ("this print was made", dates.print.as_deref()),
    ];
    let mut found: Vec<AgesWhen> = Vec::new();
    for (what, result) in results {
        let Some(result) = result else {
            continue;
        };
        for range in [result.limit_range, result.estimate_range] {
            let Some(ages) = ages(person, range) else {
                continue;
            };
            let words = range.in_words().unwrap_or_default();
            let when = AgesWhen {
                when: format!("{what} {words}"),
                aged: ages.words(),
                only_thought: years_if_before(alive.latest, range.stated_earliest()).is_some(),
            };
            if !found.contains(&when) {
                found.push(when);
            }
        }
    }
    found
}

/// The range at whose ends ages are told: the shorter of the limits of sitting and print that have two ends, otherwise of the
/// estimates.
fn picture_range(dates: &Dates) -> Range {
    let results = [dates.sitting.as_deref(), dates.print.as_deref()];
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

/// Returns the ages at both ends, or nothing if an end is open or the range is over before the birth.
fn ages(person: &Person, range: Range) -> Option<Ages> {
    let (first, last) = person.born.given()?.edtf.generous_bounds();
    let (first, last) = (first.day()?, last.day()?);
    let (begin, end) = (range.earliest?, range.latest?);
    let year_end = Day::last_of_year(begin.year()).min(end);
    let ages = Ages {
        youngest: begin.age_of(last).max(0),
        youngest_by_year_end: year_end.age_of(first).max(0),
        oldest: end.age_of(first),
    };
    (ages.oldest >= 0).then_some(ages)
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

    /// Tells whether somebody was dead before, or born after, the years that the picture shows.
    fn misses_what_is_seen(&self) -> bool {
        years_if_before(self.alive.latest, self.estimated.stated_earliest()).is_some()
            || years_if_before(self.estimated.stated_latest(), self.alive.earliest).is_some()
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
        let (latest, born) = excluded
            .or_else(|| years_if_before(self.estimated.stated_latest(), self.alive.earliest))?;
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
        let (died, earliest) =
            years_if_before(self.alive.latest, self.estimated.stated_earliest())?;
        let about = if self.estimated.about_earliest.is_some() {
            "about "
        } else {
            ""
        };
        Some(Contradiction {
            code: "dead-before-sitting",
            what: format!(
                "{} died by {died}, but what is seen points to {about}{earliest} or later: is this a copy of an older picture, perhaps with the clothes brought up to date?",
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

/// Returns the first word of a table that stands on the portrait, with its age.
fn said_of(words: &[&Transcription], table: &[(&'static str, i64)]) -> Option<(&'static str, i64)> {
    words.iter().find_map(|transcription| {
        let text = transcription.text.text().unwrap_or_default().to_lowercase();
        table
            .iter()
            .find(|(word, _)| super::words::has_word(&text, word))
            .copied()
    })
}

/// A word for the very young on a portrait, and the person thought of.
struct Young<'a> {
    name: &'a str,
    word: &'static str,
    greatest: i64,
    person: &'a Person,
}

/// Narrows the sitting to the years in which somebody was as young as a word says, or asks about the word.
fn young(of: Young<'_>, fit: &Fit<'_>, mine: &mut Option<Range>, check: &mut LifeCheck) {
    let born = of.person.born.given().map(|born| &born.edtf);
    let Some(born) = born.and_then(|born| born.generous_bounds().1.day()) else {
        return;
    };
    let last = Day::last_of_year(born.year().saturating_add(of.greatest));
    let Young {
        name,
        word,
        greatest,
        ..
    } = of;
    if let Some((last, made)) = years_if_before(Some(last), fit.limits.earliest) {
        check.contradictions.push(Contradiction {
            code: "too-old-for-word",
            what: format!(
                "{name} was past the age for “{word}” (at most {greatest}) after {last}, and the sitting was in {made} or later; does the word mean somebody else?"
            ),
            only_asks: true,
        });
        return;
    }
    let narrowed = mine.map(|range| range.until(Some(last), None));
    if let Some(narrowed) = narrowed.filter(|range| !range.is_empty()) {
        *mine = Some(narrowed);
        check.remarks.push(format!(
            "“{word}” is taken for at most {greatest} years old, so the sitting was not after {} if it is {name}; clothes say nothing of whether it is a boy or a girl",
            last.year()
        ));
    }
}

/// Asks about words such as "Grandfather" on a picture of somebody too young for them. They may have been written long after.
fn too_young(name: &str, oldest: Option<i64>, words: &[&Transcription]) -> Option<Contradiction> {
    let (word, least) = said_of(words, &LEAST_AGES)?;
    let oldest = oldest.filter(|oldest| *oldest < least)?;
    Some(Contradiction {
        code: "too-young-for-kin-word",
        what: format!(
            "{name} was at most {oldest} years old, young for somebody called “{word}” (at least {least}); were the words written later?"
        ),
        only_asks: true,
    })
}
