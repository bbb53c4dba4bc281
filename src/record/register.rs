//! Finds the rows that belong together without searching the sheets again and again.

use super::Claim;
use super::Clue;
use super::Collection;
use super::Lot;
use super::LotNumber;
use super::Person;
use super::PersonNumber;
use super::Portrait;
use super::PortraitNumber;
use super::Rights;
use super::Scan;
use super::Sitter;
use super::Transcription;
use std::collections::BTreeSet;
use std::collections::HashMap;

/// What is asked of a record, whether its sheets are searched from top to bottom for each answer, as in a [`Collection`], or
/// once for all, as in a [`Register`]. Rows come in the order of their sheet; the first row of a number counts.
pub trait Lookup {
    /// Returns the portrait of this number.
    fn portrait(&self, number: &PortraitNumber) -> Option<&Portrait>;

    /// Returns the person of this number.
    fn person(&self, number: &PersonNumber) -> Option<&Person>;

    /// Returns the lot of this number.
    fn lot(&self, number: &LotNumber) -> Option<&Lot>;

    /// Returns the scans of a portrait.
    fn scans_of<'a>(&'a self, number: &'a PortraitNumber) -> impl Iterator<Item = &'a Scan>;

    /// Returns the claims about a portrait's sitter, withdrawn ones included.
    fn claims_about<'a>(&'a self, number: &'a PortraitNumber) -> impl Iterator<Item = &'a Claim>;

    /// Returns the claims that name a person, withdrawn ones included.
    fn claims_naming<'a>(&'a self, number: &'a PersonNumber) -> impl Iterator<Item = &'a Claim>;

    /// Returns what the Rights sheet says of a portrait, a lot or "all", by the first row that names it.
    fn rights_in(&self, what: &str) -> Option<&Rights>;

    /// Returns the person whom a claim names, if it names one of the People sheet.
    fn claimed(&self, claim: &Claim) -> Option<&Person> {
        match &claim.sitter {
            Sitter::Person(number) => self.person(number),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        }
    }
}

/// The rows of a collection by number, and by the portrait or person that they speak of.
#[derive(Debug)]
pub struct Register<'a> {
    collection: &'a Collection,
    portraits: HashMap<&'a str, &'a Portrait>,
    people: HashMap<&'a str, &'a Person>,
    clues: HashMap<&'a str, &'a Clue>,
    lots: HashMap<&'a str, &'a Lot>,
    scans: HashMap<&'a str, &'a Scan>,
    scans_of: HashMap<&'a str, Vec<&'a Scan>>,
    words_on: HashMap<&'a str, Vec<&'a Transcription>>,
    claims_about: HashMap<&'a str, Vec<&'a Claim>>,
    claims_naming: HashMap<&'a str, Vec<&'a Claim>>,
    clues_on: HashMap<&'a str, Vec<&'a Clue>>,
    rights: HashMap<&'a str, Vec<usize>>,
}

impl<'a> Register<'a> {
    /// Goes through every sheet once.
    #[must_use]
    pub fn of(collection: &'a Collection) -> Self {
        Self {
            collection,
            portraits: first_of(&collection.portraits, |row| row.number.as_str()),
            people: first_of(&collection.people, |row| row.number.as_str()),
            clues: first_of(&collection.clues, |row| row.number.as_str()),
            lots: first_of(&collection.lots, |row| row.number.as_str()),
            scans: first_of(&collection.scans, |row| row.file.as_str()),
            scans_of: grouped(&collection.scans, |row| {
                row.portrait.given().map(PortraitNumber::as_str)
            }),
            words_on: grouped(&collection.words, |row| [row.portrait.as_str()]),
            claims_about: grouped(&collection.claims, |row| [row.portrait.as_str()]),
            claims_naming: grouped(&collection.claims, |row| match &row.sitter {
                Sitter::Person(number) => Some(number.as_str()),
                Sitter::NotSaid | Sitter::Unnamed(_) => None,
            }),
            clues_on: grouped(&collection.clues, |row| {
                row.portraits.iter().map(PortraitNumber::as_str)
            }),
            rights: places(&collection.rights, |row| row.applies()),
        }
    }

    /// Returns the record itself.
    #[must_use]
    pub const fn collection(&self) -> &'a Collection {
        self.collection
    }

    /// Returns the portrait of this number.
    #[must_use]
    pub fn portrait(&self, number: &str) -> Option<&'a Portrait> {
        self.portraits.get(number).copied()
    }

    /// Returns the person of this number.
    #[must_use]
    pub fn person(&self, number: &str) -> Option<&'a Person> {
        self.people.get(number).copied()
    }

    /// Returns the clue of this number.
    #[must_use]
    pub fn clue(&self, number: &str) -> Option<&'a Clue> {
        self.clues.get(number).copied()
    }

    /// Returns the lot of this number.
    #[must_use]
    pub fn lot(&self, number: &str) -> Option<&'a Lot> {
        self.lots.get(number).copied()
    }

    /// Returns the scan that is this file.
    #[must_use]
    pub fn scan(&self, file: &str) -> Option<&'a Scan> {
        self.scans.get(file).copied()
    }

    /// Returns the scans of a portrait.
    #[must_use]
    pub fn scans_of(&self, number: &PortraitNumber) -> &[&'a Scan] {
        rows(&self.scans_of, number.as_str())
    }

    /// Returns the words found on a portrait.
    #[must_use]
    pub fn words_on(&self, number: &PortraitNumber) -> &[&'a Transcription] {
        rows(&self.words_on, number.as_str())
    }

    /// Returns the claims about a portrait's sitter, withdrawn ones included.
    #[must_use]
    pub fn claims_about(&self, number: &PortraitNumber) -> &[&'a Claim] {
        rows(&self.claims_about, number.as_str())
    }

    /// Returns the claims that name a person, withdrawn ones included.
    #[must_use]
    pub fn claims_naming(&self, number: &PersonNumber) -> &[&'a Claim] {
        rows(&self.claims_naming, number.as_str())
    }

    /// Returns the clues that speak of a portrait.
    #[must_use]
    pub fn clues_on(&self, number: &PortraitNumber) -> &[&'a Clue] {
        rows(&self.clues_on, number.as_str())
    }

    /// Returns every row of the Rights sheet that applies to a portrait: its own, its lot's and those for all.
    #[must_use]
    pub fn rights_on(&self, portrait: &Portrait) -> Vec<&'a Rights> {
        let lot = portrait.lot.given().map(LotNumber::as_str);
        let what = [Some(portrait.number.as_str()), lot, Some(Rights::ALL)];
        let rows = what.into_iter().flatten();
        let rows: BTreeSet<usize> = rows
            .filter_map(|what| self.rights.get(what))
            .flatten()
            .copied()
            .collect();
        let rights = &self.collection.rights;
        rows.into_iter().filter_map(|at| rights.get(at)).collect()
    }

    /// Returns the person whom a claim names, if it names one of the People sheet.
    #[must_use]
    pub fn claimed(&self, claim: &Claim) -> Option<&'a Person> {
        match &claim.sitter {
            Sitter::Person(number) => self.person(number.as_str()),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        }
    }

    /// Returns the claims about a portrait that are still held and name a person.
    pub fn held_names(
        &self,
        number: &PortraitNumber,
    ) -> impl Iterator<Item = (&'a Claim, &'a Person)> {
        self.claims_about(number)
            .iter()
            .filter(|claim| !claim.is_withdrawn())
            .filter_map(|claim| Some((*claim, self.claimed(claim)?)))
    }
}

impl Lookup for Register<'_> {
    fn portrait(&self, number: &PortraitNumber) -> Option<&Portrait> {
        self.portrait(number.as_str())
    }

    fn person(&self, number: &PersonNumber) -> Option<&Person> {
        self.person(number.as_str())
    }

    fn lot(&self, number: &LotNumber) -> Option<&Lot> {
        self.lot(number.as_str())
    }

    fn scans_of<'s>(&'s self, number: &'s PortraitNumber) -> impl Iterator<Item = &'s Scan> {
        self.scans_of(number).iter().copied()
    }

    fn claims_about<'s>(&'s self, number: &'s PortraitNumber) -> impl Iterator<Item = &'s Claim> {
        self.claims_about(number).iter().copied()
    }

    fn claims_naming<'s>(&'s self, number: &'s PersonNumber) -> impl Iterator<Item = &'s Claim> {
        self.claims_naming(number).iter().copied()
    }

    fn rights_in(&self, what: &str) -> Option<&Rights> {
        let first = self.rights.get(what)?.first()?;
        self.collection.rights.get(*first)
    }
}

impl Lookup for Collection {
    fn portrait(&self, number: &PortraitNumber) -> Option<&Portrait> {
        self.portrait(number)
    }

    fn person(&self, number: &PersonNumber) -> Option<&Person> {
        self.person(number)
    }

    fn lot(&self, number: &LotNumber) -> Option<&Lot> {
        self.lot(number)
    }

    fn scans_of<'s>(&'s self, number: &'s PortraitNumber) -> impl Iterator<Item = &'s Scan> {
        self.scans_of(number)
    }

    fn claims_about<'s>(&'s self, number: &'s PortraitNumber) -> impl Iterator<Item = &'s Claim> {
        self.claims_about(number)
    }

    fn claims_naming<'s>(&'s self, number: &'s PersonNumber) -> impl Iterator<Item = &'s Claim> {
        let names =
            move |claim: &&Claim| matches!(&claim.sitter, Sitter::Person(one) if one == number);
        self.claims.iter().filter(names)
    }

    fn rights_in(&self, what: &str) -> Option<&Rights> {
        self.rights.iter().find(|row| row.applies() == Some(what))
    }
}

fn rows<'i, 'a, T>(groups: &'i HashMap<&'a str, Vec<&'a T>>, key: &str) -> &'i [&'a T] {
    groups.get(key).map_or(&[], Vec::as_slice)
}

fn first_of<'a, T>(rows: &'a [T], key: impl Fn(&'a T) -> &'a str) -> HashMap<&'a str, &'a T> {
    let mut found = HashMap::with_capacity(rows.len());
    for row in rows {
        found.entry(key(row)).or_insert(row);
    }
    found
}

fn grouped<'a, T, K: IntoIterator<Item = &'a str>>(
    rows: &'a [T],
    keys: impl Fn(&'a T) -> K,
) -> HashMap<&'a str, Vec<&'a T>> {
    let mut found: HashMap<&str, Vec<&T>> = HashMap::new();
    for row in rows {
        for key in keys(row) {
            found.entry(key).or_default().push(row);
        }
    }
    found
}

/// Returns where in the sheet the rows stand that speak of something.
pub(super) fn places<'a, T, K: IntoIterator<Item = &'a str>>(
    rows: &'a [T],
    keys: impl Fn(&'a T) -> K,
) -> HashMap<&'a str, Vec<usize>> {
    let mut found: HashMap<&str, Vec<usize>> = HashMap::new();
    for (place, row) in rows.iter().enumerate() {
        for key in keys(row) {
            found.entry(key).or_default().push(place);
        }
    }
    found
}

#[cfg(test)]
mod tests;
