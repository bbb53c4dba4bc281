//! The cell that says who a claim names: a person's number, or words for somebody who cannot be named.

use super::cell::CellFault;
use super::cell::CellValue;
use super::cell::Holds;
use crate::record::PersonNumber;
use crate::record::Sitter;

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
