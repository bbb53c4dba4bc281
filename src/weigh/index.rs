//! Finds the rows that belong together without searching the sheets again and again.

use crate::catalogue::columns::SheetPlan;
use crate::concern::Place;
use crate::record::Claim;
use crate::record::Clue;
use crate::record::Collection;
use crate::record::Lot;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Row;
use crate::record::Scan;
use crate::record::Sitter;
use crate::record::Transcription;
use std::collections::BTreeMap;

/// The rows of a collection by number, and by the portrait that they speak of. The first row of a number counts.
#[derive(Debug)]
pub(super) struct Index<'a> {
    pub(super) collection: &'a Collection,
    pub(super) portraits: BTreeMap<&'a str, &'a Portrait>,
    pub(super) people: BTreeMap<&'a str, &'a Person>,
    pub(super) clues: BTreeMap<&'a str, &'a Clue>,
    pub(super) lots: BTreeMap<&'a str, &'a Lot>,
    pub(super) scans: BTreeMap<&'a str, &'a Scan>,
    scans_of: BTreeMap<&'a str, Vec<&'a Scan>>,
    words_on: BTreeMap<&'a str, Vec<&'a Transcription>>,
    claims_about: BTreeMap<&'a str, Vec<&'a Claim>>,
    clues_on: BTreeMap<&'a str, Vec<&'a Clue>>,
}

impl<'a> Index<'a> {
    pub(super) fn of(collection: &'a Collection) -> Self {
        let scan_portrait = |scan: &'a Scan| scan.portrait.given().map(PortraitNumber::as_str);
        Self {
            collection,
            portraits: first_of(&collection.portraits, |row| row.number.as_str()),
            people: first_of(&collection.people, |row| row.number.as_str()),
            clues: first_of(&collection.clues, |row| row.number.as_str()),
            lots: first_of(&collection.lots, |row| row.number.as_str()),
            scans: first_of(&collection.scans, |row| row.file.as_str()),
            scans_of: grouped(&collection.scans, |row| scan_portrait(row).into_iter()),
            words_on: grouped(&collection.words, |row| {
                std::iter::once(row.portrait.as_str())
            }),
            claims_about: grouped(&collection.claims, |row| {
                std::iter::once(row.portrait.as_str())
            }),
            clues_on: grouped(&collection.clues, |row| {
                row.portraits.iter().map(PortraitNumber::as_str)
            }),
        }
    }

    pub(super) fn scans_of(&self, portrait: &Portrait) -> &[&'a Scan] {
        rows(&self.scans_of, portrait)
    }

    pub(super) fn words_on(&self, portrait: &Portrait) -> &[&'a Transcription] {
        rows(&self.words_on, portrait)
    }

    pub(super) fn claims_about(&self, portrait: &Portrait) -> &[&'a Claim] {
        rows(&self.claims_about, portrait)
    }

    pub(super) fn clues_on(&self, portrait: &Portrait) -> &[&'a Clue] {
        rows(&self.clues_on, portrait)
    }

    /// Returns the person whom a claim names.
    pub(super) fn claimed(&self, claim: &Claim) -> Option<&'a Person> {
        match &claim.sitter {
            Sitter::Person(number) => self.people.get(number.as_str()).copied(),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        }
    }

    /// Returns the claims about a portrait that are still held and name a person.
    pub(super) fn held_names(
        &self,
        portrait: &Portrait,
    ) -> impl Iterator<Item = (&'a Claim, &'a Person)> {
        self.claims_about(portrait)
            .iter()
            .filter(|claim| !claim.is_withdrawn())
            .filter_map(|claim| Some((*claim, self.claimed(claim)?)))
    }
}

fn rows<'i, 'a, T>(groups: &'i BTreeMap<&'a str, Vec<&'a T>>, portrait: &Portrait) -> &'i [&'a T] {
    groups
        .get(portrait.number.as_str())
        .map_or(&[], Vec::as_slice)
}

fn first_of<'a, T>(rows: &'a [T], key: impl Fn(&'a T) -> &'a str) -> BTreeMap<&'a str, &'a T> {
    let mut found = BTreeMap::new();
    for row in rows {
        found.entry(key(row)).or_insert(row);
    }
    found
}

fn grouped<'a, T, K: Iterator<Item = &'a str>>(
    rows: &'a [T],
    keys: impl Fn(&'a T) -> K,
) -> BTreeMap<&'a str, Vec<&'a T>> {
    let mut found: BTreeMap<&str, Vec<&T>> = BTreeMap::new();
    for row in rows {
        for key in keys(row) {
            found.entry(key).or_default().push(row);
        }
    }
    found
}

/// Returns the place of a cell.
pub(super) fn cell(sheet: &SheetPlan, row: Row, heading: &'static str) -> Place {
    Place::sheet(sheet.name).row(row.0).column(heading)
}

/// Returns the form in which names and addresses are compared: letters and digits in lower case, "and" for "&".
pub(super) fn plain_name(text: &str) -> String {
    let spread = text.to_lowercase().replace('&', " and ");
    spread
        .split(|character: char| !character.is_alphanumeric())
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}
