//! The cell that says who a claim names: a person's number, or words for somebody who cannot be named.

use super::cell::CellFault;
use super::cell::CellValue;
use super::cell::Holds;
use super::columns::CLAIMS;
use super::damage::quoted;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PersonNumber;
use crate::record::Sitter;

/// The heading of the column.
const HEADING: &str = "Person no. or unknown man";

/// With which words a person speaks of somebody who cannot be named.
const UNNAMED: &str = "unknown unidentified unnamed not nobody none no neither somebody someone another other a an one two three \
     several the man woman boy girl child baby couple family group men women boys girls children nk";

impl CellValue for Sitter {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::Reference;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        let plain = text.trim();
        let lower = plain.to_lowercase();
        let first = lower.split(|c: char| !c.is_alphanumeric()).next();
        *self = if plain.is_empty() {
            Self::NotSaid
        } else if !is_number(plain) && first.is_some_and(speaks_of_nobody) {
            Self::Unnamed(text.to_owned())
        } else if is_number(plain) {
            Self::Person(PersonNumber::new(plain))
        } else {
            return Err(CellFault::NameForNumber);
        };
        Ok(())
    }

    fn write_cell(&self) -> String {
        match self {
            Self::NotSaid => String::new(),
            Self::Person(number) => number.to_string(),
            Self::Unnamed(text) => text.clone(),
        }
    }
}

fn speaks_of_nobody(word: &str) -> bool {
    UNNAMED.split_whitespace().any(|known| known == word)
}

/// Tells whether a text looks like a number that identifies a person: a digit in it, and no blank.
fn is_number(text: &str) -> bool {
    text.chars().any(|c| c.is_ascii_digit()) && !text.chars().any(char::is_whitespace)
}

/// Settles what the column said where it held neither words for nobody nor a number with a digit: the number or the name of a person
/// of the sheet "People", or something else, which is kept and told.
pub(super) fn settle(collection: &mut Collection, concerns: &mut ConcernList) {
    let people = &collection.people;
    for claim in &mut collection.claims {
        let Some(text) = claim.extra.get(HEADING) else {
            continue;
        };
        let plain = text.trim();
        let place = || {
            Place::sheet(CLAIMS.name)
                .row(claim.row.0)
                .column(HEADING)
                .of_portrait(&claim.portrait)
        };
        if let Some(person) = people.iter().find(|one| one.number.as_str() == plain) {
            claim.sitter = Sitter::Person(person.number.clone());
            claim.extra.remove(HEADING);
            continue;
        }
        let named: Vec<&Person> = people.iter().filter(|one| is_called(one, plain)).collect();
        if let [person] = named.as_slice() {
            concerns.note(
                "name-for-number",
                place(),
                format!(
                    "{} was taken for {} of the sheet “People”.",
                    quoted(plain),
                    person.number
                ),
                format!(
                    "Write {} here, so that it stays clear when names change.",
                    person.number
                ),
            );
            claim.sitter = Sitter::Person(person.number.clone());
            claim.extra.remove(HEADING);
        } else {
            let what = if named.is_empty() {
                format!("{} is nobody of the sheet “People”.", quoted(plain))
            } else {
                format!(
                    "Several people of the sheet “People” are called {}.",
                    quoted(plain)
                )
            };
            concerns.warning(
                "sitter-not-a-person",
                place(),
                what,
                "Give the person a row in “People” and write that number here, or write words such as unknown man. What you wrote is kept.",
            );
        }
    }
}

fn is_called(person: &Person, name: &str) -> bool {
    person
        .name
        .text()
        .is_some_and(|known| known.trim().to_lowercase() == name.to_lowercase())
}
