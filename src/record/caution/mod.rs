//! Cautions: short general warnings about handling, law and people, each shown when the facts of a portrait or of the whole
//! collection call for it. The texts are kithbag's own; `source` says where the matter was published.

mod table;

use super::Answer;
use super::Audience;
use super::Certainty;
use super::Claim;
use super::Collection;
use super::DateEntry;
use super::Frame;
use super::Glass;
use super::GlassContact;
use super::Living;
use super::Lookup;
use super::Lot;
use super::Mould;
use super::Person;
use super::Portrait;
use super::PortraitKind;
use super::Scan;
use super::SensitiveSubject;
use super::YesNo;
use table::TABLE;

/// What ends every list of cautions: what they are, and whom to ask.
pub const GENERAL: &str = "This is general caution, not treatment, medical or legal advice. Ask a photograph conservator about treatment, and a lawyer or the archive about rights.";

/// One caution.
#[derive(Debug, Clone, Copy)]
pub struct Caution {
    /// Its stable number: C for things, L for law and people.
    pub id: &'static str,
    /// What it is about, in two or three words.
    pub about: &'static str,
    /// The text.
    pub text: &'static str,
    /// Where the matter was published, or that it is common practice.
    pub source: &'static str,
    trigger: Trigger,
}

impl PartialEq for Caution {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Eq for Caution {}

/// What a caution looks at.
#[derive(Debug, Clone, Copy)]
enum Trigger {
    Portrait(fn(&Portrait) -> bool),
    Around(fn(&Around<'_>) -> bool),
    /// A portrait that shows a person, whose age depends on today.
    Sitter(fn(&Person, &Circumstances) -> bool),
    Collection(fn(&Collection, &Circumstances) -> bool),
    Act(Act),
}

/// What is known beside the record when cautions are chosen.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Circumstances {
    /// Who the package is for.
    pub audience: Option<Audience>,
    /// The year that counts as this year. Without it nobody counts as dead by age alone.
    pub year: Option<i32>,
}

/// A portrait, and what the record says of it elsewhere.
#[derive(Debug)]
pub struct Around<'a> {
    /// The portrait.
    pub portrait: &'a Portrait,
    /// Its scans.
    pub scans: Vec<&'a Scan>,
    /// The claims about it that are held, each with the person whom it names.
    pub claims: Vec<(&'a Claim, Option<&'a Person>)>,
    /// The lot that it came in.
    pub lot: Option<&'a Lot>,
}

impl<'a> Around<'a> {
    /// Looks everything up.
    #[must_use]
    pub fn of(record: &'a impl Lookup, portrait: &'a Portrait) -> Self {
        let claims = record.claims_about(&portrait.number);
        let held = claims.filter(|claim| !claim.is_withdrawn());
        let lot = portrait.lot.given();
        Self {
            portrait,
            scans: record.scans_of(&portrait.number).collect(),
            claims: held.map(|claim| (claim, record.claimed(claim))).collect(),
            lot: lot.and_then(|number| record.lot(number)),
        }
    }
}

/// Something that a person is about to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Writing or sticking labels.
    Label,
    /// Asking what a gift is worth.
    AskValue,
    /// Writing to a descendant.
    WriteToHeir,
}

/// The number of years after a birth from which a person counts as dead although no death is recorded.
pub const OLDEST_AGE: i32 = 110;

/// The age below which a person is a minor.
const FULL_AGE: i32 = 18;

/// The last year in which paint on frames may commonly hold lead. [US ban on lead in household paint, 1978]
const LAST_LEAD_YEAR: i32 = 1978;

/// Returns the cautions that a portrait calls for, in the order of the table.
#[must_use]
pub fn cautions_for(record: &impl Lookup, portrait: &Portrait) -> Vec<&'static Caution> {
    cautions_in(record, portrait, &Circumstances::default())
}

/// Returns the cautions that a portrait calls for, in the order of the table, knowing what year it is.
#[must_use]
pub fn cautions_in(
    record: &impl Lookup,
    portrait: &Portrait,
    circumstances: &Circumstances,
) -> Vec<&'static Caution> {
    let around = &Around::of(record, portrait);
    let people = || around.claims.iter().filter_map(|(_, person)| *person);
    let calls = |caution: &&Caution| match caution.trigger {
        Trigger::Portrait(asks) => asks(around.portrait),
        Trigger::Around(asks) => asks(around),
        Trigger::Sitter(asks) => people().any(|person| asks(person, circumstances)),
        Trigger::Collection(_) | Trigger::Act(_) => false,
    };
    TABLE.iter().filter(calls).collect()
}

/// Returns the cautions that the whole collection calls for, in the order of the table.
#[must_use]
pub fn collection_cautions(
    collection: &Collection,
    circumstances: &Circumstances,
) -> Vec<&'static Caution> {
    let calls = |caution: &&Caution| match caution.trigger {
        Trigger::Collection(asks) => asks(collection, circumstances),
        _ => false,
    };
    TABLE.iter().filter(calls).collect()
}

/// Returns the cautions that an act calls for.
#[must_use]
pub fn cautions_before(act: Act) -> Vec<&'static Caution> {
    let calls = |caution: &&Caution| matches!(caution.trigger, Trigger::Act(one) if one == act);
    TABLE.iter().filter(calls).collect()
}

/// Returns every caution, in the order of the table.
#[must_use]
pub const fn all() -> &'static [Caution] {
    TABLE
}

/// Tells whether a person may be alive: nothing records a death, and the birth is not [`OLDEST_AGE`] years ago.
#[must_use]
pub fn may_be_living(person: &Person, circumstances: &Circumstances) -> bool {
    match person.living.given() {
        Some(Living::No) => return false,
        Some(Living::Yes) => return true,
        Some(Living::Presumed) | None => {}
    }
    if person.died.is_given() {
        return false;
    }
    let born = person.born.given().and_then(last_year);
    match (born, circumstances.year) {
        (Some(born), Some(now)) => now.saturating_sub(born) < OLDEST_AGE,
        _ => true,
    }
}

fn is_minor(person: &Person, circumstances: &Circumstances) -> bool {
    let born = person.born.given().and_then(last_year);
    may_be_living(person, circumstances)
        && matches!((born, circumstances.year), (Some(born), Some(now)) if now.saturating_sub(born) <= FULL_AGE)
}

/// Returns the last year that a date names in digits: the latest that it could be, for a single year or a closed range.
fn last_year(date: &DateEntry) -> Option<i32> {
    years(date).last()
}

fn first_year(date: &DateEntry) -> Option<i32> {
    years(date).next()
}

fn years(date: &DateEntry) -> impl Iterator<Item = i32> {
    date.edtf
        .as_str()
        .split(|c: char| !c.is_ascii_digit())
        .filter(|run| run.len() == 4)
        .filter_map(|run| run.parse().ok())
}

fn says<T: PartialEq>(answer: &Answer<T>, value: &T) -> bool {
    answer.given() == Some(value)
}

fn has_mould(portrait: &Portrait) -> bool {
    portrait
        .mould
        .given()
        .is_some_and(|mould| *mould != Mould::Absent)
}

fn is_loose(portrait: &Portrait) -> bool {
    says(&portrait.loose_surface, &YesNo::Yes)
        || says(&portrait.kind, &PortraitKind::LargeCrayon)
        || portrait
            .media
            .given()
            .is_some_and(|media| media.iter().any(|medium| medium.is_loose()))
}

fn is_not_flat(portrait: &Portrait) -> bool {
    let backing = portrait.backing.text().unwrap_or_default().to_lowercase();
    says(&portrait.bowed, &YesNo::Yes)
        || ["convex", "warped", "bowed"]
            .iter()
            .any(|word| backing.contains(word))
}

fn is_framed(portrait: &Portrait) -> bool {
    let framed = portrait
        .frame
        .given()
        .is_some_and(|frame| *frame != Frame::Absent);
    let glazed = portrait
        .glass
        .given()
        .is_some_and(|glass| *glass != Glass::Absent);
    framed || glazed
}

fn has_old_surface(portrait: &Portrait) -> bool {
    let surfaced = matches!(portrait.frame.given(), Some(Frame::Painted | Frame::Gilded));
    let dates = &portrait.dates;
    let date = dates.framed.given().or(dates.print.given());
    surfaced
        && date
            .and_then(first_year)
            .is_none_or(|year| year <= LAST_LEAD_YEAR)
}

fn is_sensitive(portrait: &Portrait) -> bool {
    portrait
        .sensitive
        .iter()
        .any(|subject| *subject != SensitiveSubject::Dispute)
}

fn has_place(around: &Around<'_>) -> bool {
    let mut found = around
        .scans
        .iter()
        .flat_map(|scan| &scan.facts.private_found);
    found.any(|found| found.contains("GPS"))
}

fn has_unproved_name(around: &Around<'_>) -> bool {
    around.claims.iter().any(|(claim, person)| {
        person.is_some()
            && !matches!(
                claim.certainty.given(),
                Some(Certainty::Proved | Certainty::RuledOut)
            )
    })
}

fn may_be_disputed(around: &Around<'_>) -> bool {
    let gap = around.lot.is_some_and(|lot| lot.from == Answer::NotKnown);
    gap || around
        .portrait
        .sensitive
        .contains(&SensitiveSubject::Dispute)
}

#[cfg(test)]
mod tests;
