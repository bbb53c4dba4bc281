//! The part of the record that concerns one portrait, found without reading every sheet from top to bottom for each scan.

use super::Claim;
use super::Clue;
use super::Collection;
use super::Portrait;
use super::PortraitNumber;
use super::Rights;
use super::Scan;
use super::Sitter;
use super::register::places;
use std::collections::BTreeSet;
use std::collections::HashMap;

/// Where the rows stand that speak of something, by its number or name.
type Rows<'a> = HashMap<&'a str, Vec<usize>>;

/// The rows of a record by what they speak of.
#[derive(Debug)]
pub struct Excerpts<'a> {
    whole: &'a Collection,
    portraits: Rows<'a>,
    people: Rows<'a>,
    claims: Rows<'a>,
    words: Rows<'a>,
    clues: Rows<'a>,
    clues_by_number: Rows<'a>,
    lots: Rows<'a>,
    listings: Rows<'a>,
    rights: Rows<'a>,
}

impl<'a> Excerpts<'a> {
    /// Notes where everything stands.
    #[must_use]
    pub fn of(whole: &'a Collection) -> Self {
        Self {
            whole,
            portraits: places(&whole.portraits, |one| [one.number.as_str()]),
            people: places(&whole.people, |one| [one.number.as_str()]),
            claims: places(&whole.claims, |one| [one.portrait.as_str()]),
            words: places(&whole.words, |one| [one.portrait.as_str()]),
            clues: places(&whole.clues, |one| {
                one.portraits.iter().map(PortraitNumber::as_str)
            }),
            clues_by_number: places(&whole.clues, |one| [one.number.as_str()]),
            lots: places(&whole.lots, |one| [one.number.as_str()]),
            listings: places(&whole.listings, |one| one.maker.text()),
            rights: places(&whole.rights, |one| one.applies()),
        }
    }

    /// Returns the part of the record that concerns one portrait: what is written into each of its scans, and enough to
    /// rebuild the sheets' rows from a stray scan. Scans other than `scan` are left out.
    #[must_use]
    pub fn excerpt(&self, portrait: &PortraitNumber, scan: Option<&Scan>) -> Collection {
        let whole = self.whole;
        let number = portrait.as_str();
        let claims = taken(&whole.claims, at(&self.claims, number));
        let clues = taken(&whole.clues, self.clues_about(number, &claims));
        let first = at(&self.portraits, number).take(1);
        let portraits: Vec<Portrait> = taken(&whole.portraits, first);
        let lot = portraits.iter().filter_map(|one| one.lot.given());
        let lot = lot.flat_map(|lot| at(&self.lots, lot.as_str()).take(1));
        let lots = taken(&whole.lots, lot);
        let applies = [Rights::ALL, number].into_iter();
        let applies = applies.chain(lots.iter().map(|lot| lot.number.as_str()));
        let makers = portraits
            .iter()
            .filter_map(|one| one.maker.as_printed.text());
        Collection {
            record_version: whole.record_version,
            about: whole.about.clone(),
            scans: scan.cloned().into_iter().collect(),
            words: taken(&whole.words, at(&self.words, number)),
            people: taken(&whole.people, self.people_named(&claims, &clues)),
            rights: taken(&whole.rights, applies.flat_map(|to| at(&self.rights, to))),
            listings: taken(
                &whole.listings,
                makers.flat_map(|maker| at(&self.listings, maker)),
            ),
            portraits,
            claims,
            clues,
            lots,
            receivers: Vec::new(),
            editions: Vec::new(),
        }
    }

    /// Clues that speak of the portrait, and those on which a claim about it rests.
    fn clues_about<'r>(
        &'r self,
        number: &'r str,
        claims: &'r [Claim],
    ) -> impl Iterator<Item = usize> + 'r {
        let of_claims = claims.iter().flat_map(|claim| {
            let numbers = claim.clues_for.iter().chain(&claim.clues_against);
            numbers.flat_map(|clue| at(&self.clues_by_number, clue.as_str()))
        });
        at(&self.clues, number).chain(of_claims)
    }

    fn people_named<'r>(
        &'r self,
        claims: &'r [Claim],
        clues: &'r [Clue],
    ) -> impl Iterator<Item = usize> + 'r {
        let sitters = claims.iter().filter_map(|claim| match &claim.sitter {
            Sitter::Person(number) => Some(number),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        });
        let spoken_of = clues.iter().flat_map(|clue| &clue.persons);
        sitters
            .chain(spoken_of)
            .flat_map(|number| at(&self.people, number.as_str()))
    }
}

fn at<'r>(rows: &'r Rows<'_>, key: &str) -> impl Iterator<Item = usize> + 'r + use<'r> {
    rows.get(key).into_iter().flatten().copied()
}

/// Returns each of these rows once, in the order of the sheet.
fn taken<T: Clone>(sheet: &[T], rows: impl Iterator<Item = usize>) -> Vec<T> {
    let rows: BTreeSet<usize> = rows.collect();
    let found = rows.into_iter().filter_map(|at| sheet.get(at));
    found.cloned().collect()
}
