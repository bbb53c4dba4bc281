//! Who counts as alive.

use crate::record::Certainty;
use crate::record::Claim;
use crate::record::DateEntry;
use crate::record::Living;
use crate::record::Lookup;
use crate::record::Person;

/// Years after a birth until which a person whose death is not known counts as alive. A published rule of one large public
/// service; others use 100.
pub const LIVING_YEARS: i64 = 110;

/// The last age, in years, at which somebody may still be a minor, since only the year of birth may be known.
const MINOR_AGE: i64 = 18;

/// Tells whether a person counts as alive in a year: no death is recorded, nobody states that they are dead, and neither their
/// birth nor a portrait that they are said to have sat for is more than [`LIVING_YEARS`] years past.
#[must_use]
pub fn is_presumed_living(record: &impl Lookup, person: &Person, year: i64) -> bool {
    may_live(record, person, year, LIVING_YEARS)
}

/// The same with another number of years.
#[must_use]
pub(super) fn may_live(record: &impl Lookup, person: &Person, year: i64, years: i64) -> bool {
    match person.living.given() {
        Some(Living::Yes | Living::Presumed) => return true,
        Some(Living::No) => return false,
        None => {}
    }
    if person.died.is_given() {
        return false;
    }
    let long_past = |date: &DateEntry| is_long_past(date, year, years);
    let born_long_ago = person.born.given().is_some_and(long_past);
    !born_long_ago && !sat_long_ago(record, person, long_past)
}

/// Tells whether a date is more than so many years past.
pub(super) fn is_long_past(date: &DateEntry, year: i64, years: i64) -> bool {
    latest_year(date).is_some_and(|latest| latest.saturating_add(years) < year)
}

/// Only claims that are held and that something speaks for: a wrong guess must not make somebody dead.
fn sat_long_ago(
    record: &impl Lookup,
    person: &Person,
    long_past: impl Fn(&DateEntry) -> bool,
) -> bool {
    let portraits = record
        .claims_naming(&person.number)
        .filter(|claim| is_believed(claim))
        .filter_map(|claim| record.portrait(&claim.portrait));
    portraits
        .flat_map(|portrait| [portrait.dates.sitting.given(), portrait.dates.print.given()])
        .flatten()
        .any(long_past)
}

fn is_believed(claim: &Claim) -> bool {
    !claim.is_withdrawn()
        && !matches!(
            claim.certainty.given(),
            Some(Certainty::Doubtful | Certainty::RuledOut)
        )
}

/// Tells whether a person is, or may be, under age in a year.
#[must_use]
pub(super) fn may_be_minor(person: &Person, year: i64) -> bool {
    person
        .born
        .given()
        .and_then(latest_year)
        .is_some_and(|latest| year.saturating_sub(latest) <= MINOR_AGE)
        && !person.died.is_given()
        && person.living.given() != Some(&Living::No)
}

/// Returns the latest year that a date can mean, when it has an end.
pub(super) fn latest_year(date: &DateEntry) -> Option<i64> {
    date.edtf.bounds().1.day().map(|day| day.year())
}
