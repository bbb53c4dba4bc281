//! People who must not be named to an audience, and people who may be named once a person has looked at the list.

use super::HeldBack;
use super::Terms;
use super::living;
use super::table;
use crate::record::Audience;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PersonNumber;
use crate::record::Register;
use crate::record::ShowTo;
use crate::record::Sitter;
use std::collections::BTreeMap;

/// Why a person must not be named.
const LIVING: &str = "the person may be alive, and no consent for this audience is recorded";
const MINOR: &str = "the person may be under age";
const REFUSED: &str = "the person said no to being named";
const OWN_RULE: &str = "the catalogue says that this person is not shown to this audience";
const NOT_REVIEWED: &str =
    "the person may be alive, and the list of living people was not answered with yes";

/// How an audience stands to a person who may be alive or is held back by the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Guard {
    /// Never named to this audience, with the reason.
    Never(&'static str),
    /// Agreed to it; named once a person has looked at the list.
    Asked,
}

/// Returns how people stand to an audience; who may be named without asking is not among them.
pub(super) fn guards(collection: &Collection, terms: &Terms<'_>) -> BTreeMap<PersonNumber, Guard> {
    let register = Register::of(collection);
    let guard = |person: &Person| guard(&register, person, terms);
    collection
        .people
        .iter()
        .filter_map(|person| Some((person.number.clone(), guard(person)?)))
        .collect()
}

fn guard(record: &Register<'_>, person: &Person, terms: &Terms<'_>) -> Option<Guard> {
    let year = year_of(terms.today);
    let is_narrower = person
        .show_to
        .given()
        .is_some_and(|widest| !reaches(*widest, terms.audience));
    if is_narrower {
        return Some(Guard::Never(OWN_RULE));
    }
    if living::may_be_minor(person, year) {
        return Some(Guard::Never(MINOR));
    }
    if !living::may_live(record, person, year, terms.living_years) {
        return None;
    }
    let consent = person.consent.text();
    if consent.is_some_and(is_refusal) {
        return Some(Guard::Never(REFUSED));
    }
    // Wider than the default only with both the person's wish and their consent on record.
    if person.show_to.is_given() && consent.is_some() {
        Some(Guard::Asked)
    } else {
        Some(Guard::Never(LIVING))
    }
}

/// Tells whether what stands under "consent on file?" is a no. Whoever writes there writes words, and "none" is not consent.
pub(super) fn is_refusal(consent: &str) -> bool {
    let plain = consent.trim().to_lowercase();
    let first = plain
        .split(|one: char| !one.is_alphanumeric())
        .next()
        .unwrap_or_default();
    matches!(first, "" | "no" | "none" | "not" | "never" | "nobody")
        || [
            "says no",
            "said no",
            "refus",
            "declin",
            "does not",
            "did not",
            "not yet",
            "withdrawn",
            "withdrew",
            "objects",
            "asked not",
        ]
        .iter()
        .any(|words| plain.contains(words))
}

/// Tells whether "show to" reaches an audience.
pub(super) fn reaches(widest: ShowTo, audience: Audience) -> bool {
    table::audience_rule(audience).is_some_and(|rule| widest >= rule.shown)
}

/// Returns who is taken out of the record, and why. People who agreed are among them until the list was answered.
pub(super) fn hidden(
    guards: &BTreeMap<PersonNumber, Guard>,
    terms: &Terms<'_>,
) -> BTreeMap<PersonNumber, &'static str> {
    let why = |number: &PersonNumber, guard: &Guard| match guard {
        Guard::Never(why) => Some(*why),
        Guard::Asked => (!terms.decisions.lets_go(number.as_str())).then_some(NOT_REVIEWED),
    };
    guards
        .iter()
        .filter_map(|(number, guard)| Some((number.clone(), why(number, guard)?)))
        .collect()
}

/// Returns who is taken out whatever is decided.
pub(super) fn always_hidden(
    guards: &BTreeMap<PersonNumber, Guard>,
) -> BTreeMap<PersonNumber, &'static str> {
    guards
        .iter()
        .filter_map(|(number, guard)| match guard {
            Guard::Never(why) => Some((number.clone(), *why)),
            Guard::Asked => None,
        })
        .collect()
}

/// Takes people out of the record: their rows, and their numbers in claims and clues. That somebody is claimed stays.
pub(super) fn hide(
    collection: &mut Collection,
    hidden: &BTreeMap<PersonNumber, &'static str>,
    list: &mut HeldBack,
) {
    for person in &collection.people {
        if let Some(why) = hidden.get(&person.number) {
            list.add(person.number.as_str(), "a person", why);
        }
    }
    collection
        .people
        .retain(|person| !hidden.contains_key(&person.number));
    for claim in &mut collection.claims {
        hide_in_claim(claim, hidden);
    }
    for clue in &mut collection.clues {
        clue.persons.retain(|number| !hidden.contains_key(number));
    }
}

fn hide_in_claim(claim: &mut Claim, hidden: &BTreeMap<PersonNumber, &'static str>) {
    if let Sitter::Person(number) = &claim.sitter
        && hidden.contains_key(number)
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
