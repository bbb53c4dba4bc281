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
use crate::record::caution::Around;
use std::collections::HashMap;

/// The rows of a collection by number, and by the portrait that they speak of. The first row of a number counts.
#[derive(Debug)]
pub(super) struct Index<'a> {
    pub(super) collection: &'a Collection,
    pub(super) portraits: HashMap<&'a str, &'a Portrait>,
    pub(super) people: HashMap<&'a str, &'a Person>,
    pub(super) clues: HashMap<&'a str, &'a Clue>,
    pub(super) lots: HashMap<&'a str, &'a Lot>,
    pub(super) scans: HashMap<&'a str, &'a Scan>,
    scans_of: HashMap<&'a str, Vec<&'a Scan>>,
    words_on: HashMap<&'a str, Vec<&'a Transcription>>,
    claims_about: HashMap<&'a str, Vec<&'a Claim>>,
    clues_on: HashMap<&'a str, Vec<&'a Clue>>,
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

    /// Returns what cautions are called for by.
    pub(super) fn around(&self, portrait: &'a Portrait) -> Around<'a> {
        let claims = self.claims_about(portrait).iter().copied();
        let held = claims.filter(|claim| !claim.is_withdrawn());
        let lot = portrait.lot.given();
        Around {
            portrait,
            scans: self.scans_of(portrait).to_vec(),
            claims: held.map(|claim| (claim, self.claimed(claim))).collect(),
            lot: lot.and_then(|number| self.lots.get(number.as_str()).copied()),
        }
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

fn rows<'i, 'a, T>(groups: &'i HashMap<&'a str, Vec<&'a T>>, portrait: &Portrait) -> &'i [&'a T] {
    groups
        .get(portrait.number.as_str())
        .map_or(&[], Vec::as_slice)
}

fn first_of<'a, T>(rows: &'a [T], key: impl Fn(&'a T) -> &'a str) -> HashMap<&'a str, &'a T> {
    let mut found = HashMap::with_capacity(rows.len());
    for row in rows {
        found.entry(key(row)).or_insert(row);
    }
    found
}

fn grouped<'a, T, K: Iterator<Item = &'a str>>(
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

/// Returns the place of a cell.
pub(super) fn cell(sheet: &SheetPlan, row: Row, heading: &'static str) -> Place {
    Place::sheet(sheet.name).row(row.0).column(heading)
}

/// Returns the form in which names and addresses are compared: letters and digits in lower case, "and" for "&".
pub(super) fn plain_name(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut is_apart = false;
    for character in text.to_lowercase().chars() {
        let part = if character == '&' { "and" } else { "" };
        if !character.is_alphanumeric() && part.is_empty() {
            is_apart = true;
            continue;
        }
        if (is_apart || !part.is_empty()) && !plain.is_empty() {
            plain.push(' ');
        }
        is_apart = !part.is_empty();
        if is_apart {
            plain.push_str(part);
        } else {
            plain.push(character);
        }
    }
    plain
}
