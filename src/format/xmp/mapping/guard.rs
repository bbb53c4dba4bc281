//! Keeps the names of people who are not proved or probable out of fields that viewers show.

use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PortraitNumber;
use crate::record::Sitter;

/// Knows the names that may not stand in the open for one portrait.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Guard {
    /// Whole names, in lower case with single blanks.
    names: Vec<String>,
    /// The words of those names that belong to no nameable person.
    words: Vec<String>,
}

/// Names shorter than this are only met as whole words: "Rose" is not in "rosewood".
const SHORT_NAME: usize = 6;

impl Guard {
    /// Returns the guard of a portrait: everybody of the record who is neither its proved nor its probable sitter.
    #[must_use]
    pub fn of(collection: &Collection, portrait: &PortraitNumber) -> Self {
        let nameable: Vec<String> = collection
            .people
            .iter()
            .filter(|person| is_nameable(collection, portrait, person))
            .flat_map(names_of)
            .collect();
        let open_words: Vec<&str> = nameable.iter().flat_map(|name| name.split(' ')).collect();
        let names: Vec<String> = collection
            .people
            .iter()
            .filter(|person| !is_nameable(collection, portrait, person))
            .flat_map(names_of)
            .filter(|name| !nameable.contains(name))
            .collect();
        let words = names
            .iter()
            .flat_map(|name| name.split(' '))
            .filter(|word| word.chars().count() > 2 && !open_words.contains(word))
            .map(str::to_owned)
            .collect();
        Self { names, words }
    }

    /// Tells whether no guarded person's whole name stands in a text.
    #[must_use]
    pub fn names_nobody(&self, text: &str) -> bool {
        let plain = plain(text);
        let words: Vec<&str> = plain.split(' ').collect();
        !self.names.iter().any(|name| {
            if is_short(name) {
                let parts: Vec<&str> = name.split(' ').collect();
                words.windows(parts.len()).any(|window| window == parts)
            } else {
                plain.contains(name.as_str())
            }
        })
    }

    /// Tells whether not even a part of a guarded person's name stands in a text, such as a surname on a back.
    #[must_use]
    pub fn hints_at_nobody(&self, text: &str) -> bool {
        self.names_nobody(text)
            && !plain(text)
                .split(' ')
                .any(|word| self.words.iter().any(|guarded| guarded == word))
    }

    /// Returns the text if no guarded person's whole name stands in it.
    #[must_use]
    pub fn pass<'a>(&self, text: &'a str) -> Option<&'a str> {
        self.names_nobody(text).then_some(text)
    }
}

fn is_nameable(collection: &Collection, portrait: &PortraitNumber, person: &Person) -> bool {
    collection
        .claims_about(portrait)
        .any(|claim| claim.sitter == Sitter::Person(person.number.clone()) && is_sure_enough(claim))
}

pub(super) fn is_sure_enough(claim: &Claim) -> bool {
    !claim.is_withdrawn()
        && matches!(
            claim.certainty.given(),
            Some(Certainty::Proved | Certainty::Probable)
        )
}

pub(super) fn names_of(person: &Person) -> Vec<String> {
    person
        .name
        .text()
        .into_iter()
        .chain(person.other_names.iter().map(String::as_str))
        .map(plain)
        .filter(|name| !name.is_empty())
        .collect()
}

/// Tells whether a name is only met as whole words.
pub(super) fn is_short(name: &str) -> bool {
    name.chars().count() < SHORT_NAME && name.is_ascii()
}

/// Lower case, everything but letters and digits turned into single blanks.
pub(super) fn plain(text: &str) -> String {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|one: char| !one.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;

    fn guard() -> Guard {
        let person = |number: &str, name: &str| Person {
            number: number.into(),
            name: Answer::Given(name.to_owned()),
            ..Person::default()
        };
        let claim = |number: &str, certainty| Claim {
            portrait: "A-001".into(),
            sitter: Sitter::Person(number.into()),
            certainty: Answer::Given(certainty),
            ..Claim::default()
        };
        let collection = Collection {
            people: vec![
                person("P-1", "Cora Marrack"),
                person("P-2", "Anna  Zzcandidate"),
                person("P-3", "佐藤花子"),
                person("P-4", "Silas Marrack"),
            ],
            claims: vec![
                claim("P-1", Certainty::Probable),
                claim("P-2", Certainty::Possible),
                claim("P-4", Certainty::RuledOut),
            ],
            ..Collection::default()
        };
        Guard::of(&collection, &"A-001".into())
    }

    #[test]
    fn whole_names_are_met_however_they_are_written() {
        let guard = guard();
        assert!(!guard.names_nobody("To ANNA\nZZCANDIDATE, with love"));
        assert!(!guard.names_nobody("これは佐藤花子です"));
        assert!(!guard.names_nobody("Silas Marrack"));
        assert!(guard.names_nobody("Cora Marrack"));
        assert!(guard.names_nobody("Anna of St Ives"));
    }

    #[test]
    fn parts_of_names_are_hints_unless_they_belong_to_somebody_nameable() {
        let guard = guard();
        assert!(!guard.hints_at_nobody("Zzcandidate 1884"));
        assert!(!guard.hints_at_nobody("for Silas"));
        assert!(guard.hints_at_nobody("Marrack"));
        assert!(guard.hints_at_nobody("No. 4417"));
    }
}
