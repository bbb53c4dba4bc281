//! People who must not be named to an audience.

use super::HeldBack;
use super::living;
use crate::record::Audience;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PersonNumber;
use crate::record::ShowTo;
use crate::record::Sitter;
use std::collections::BTreeMap;

/// Why a person must not be named.
const LIVING: &str = "the person may be alive, and no consent for this audience is recorded";
const MINOR: &str = "the person may be under age";
const OWN_RULE: &str = "the catalogue says that this person is not shown to this audience";

/// Returns who must not be named to an audience, and why.
pub(super) fn guarded(
    collection: &Collection,
    audience: Audience,
    today: &str,
) -> BTreeMap<PersonNumber, &'static str> {
    let year = year_of(today);
    let why = |person: &Person| reason(collection, person, audience, year);
    collection
        .people
        .iter()
        .filter_map(|person| Some((person.number.clone(), why(person)?)))
        .collect()
}

fn reason(
    collection: &Collection,
    person: &Person,
    audience: Audience,
    year: i64,
) -> Option<&'static str> {
    if person
        .show_to
        .given()
        .is_some_and(|widest| !reaches(*widest, audience))
    {
        return Some(OWN_RULE);
    }
    if living::may_be_minor(person, year) {
        return Some(MINOR);
    }
    // Wider than the default only with both the person's wish and their consent on record.
    let agreed = person.show_to.is_given() && person.consent.is_given();
    (living::is_presumed_living(collection, person, year) && !agreed).then_some(LIVING)
}

/// Tells whether "show to" reaches an audience.
pub(super) fn reaches(widest: ShowTo, audience: Audience) -> bool {
    match audience {
        Audience::Keeping => true,
        Audience::Family => widest >= ShowTo::Family,
        Audience::Archive => widest >= ShowTo::Archive,
        Audience::Public => widest >= ShowTo::Public,
    }
}

/// Takes guarded people out of the record: their rows, and their numbers in claims and clues. That somebody is claimed stays.
pub(super) fn hide(
    collection: &mut Collection,
    guarded: &BTreeMap<PersonNumber, &'static str>,
    list: &mut HeldBack,
) {
    for person in &collection.people {
        if let Some(why) = guarded.get(&person.number) {
            list.add(person.number.as_str(), "a person", why);
        }
    }
    collection
        .people
        .retain(|person| !guarded.contains_key(&person.number));
    for claim in &mut collection.claims {
        hide_in_claim(claim, guarded);
    }
    for clue in &mut collection.clues {
        clue.persons.retain(|number| !guarded.contains_key(number));
    }
}

fn hide_in_claim(claim: &mut Claim, guarded: &BTreeMap<PersonNumber, &'static str>) {
    if let Sitter::Person(number) = &claim.sitter
        && guarded.contains_key(number)
    {
        claim.sitter = Sitter::Unnamed("a person whose name is held back".to_owned());
    }
}

/// Returns the year of a day written year-month-day.
pub(super) fn year_of(today: &str) -> i64 {
    today
        .get(..4)
        .and_then(|year| year.parse().ok())
        .unwrap_or(9999)
}
