//! The guards of all portraits of a record at once: every name is searched for in one go, however many there are.

use super::guard::is_short;
use super::guard::is_sure_enough;
use super::guard::names_of;
use super::guard::plain;
use crate::record::PortraitNumber;
use crate::record::Register;
use aho_corasick::AhoCorasick;
use aho_corasick::Match;
use std::collections::BTreeSet;
use std::collections::HashSet;

/// Knows the names of everybody in a record.
#[derive(Debug)]
pub struct Guards<'a> {
    record: &'a Register<'a>,
    names: Vec<String>,
    /// Missing when there are too many names for it, which takes some hundred million letters: then every text is guarded.
    finder: Option<AhoCorasick>,
}

/// Does for one portrait of a record what [`super::Guard::of`] does: the two find the same.
#[derive(Debug)]
pub struct PortraitGuard<'a> {
    guards: &'a Guards<'a>,
    nameable: HashSet<String>,
}

impl<'a> Guards<'a> {
    /// Goes through the People sheet once.
    #[must_use]
    pub fn of(record: &'a Register<'a>) -> Self {
        let people = record.collection().people.iter();
        let names: BTreeSet<String> = people.flat_map(names_of).collect();
        let names: Vec<String> = names.into_iter().collect();
        Self {
            record,
            finder: AhoCorasick::new(&names).ok(),
            names,
        }
    }

    /// Returns the guard of a portrait.
    #[must_use]
    pub fn guard(&'a self, portrait: &PortraitNumber) -> PortraitGuard<'a> {
        let named = self.record.held_names(portrait);
        let nameable = named.filter(|(claim, _)| is_sure_enough(claim));
        PortraitGuard {
            guards: self,
            nameable: nameable.flat_map(|(_, person)| names_of(person)).collect(),
        }
    }
}

impl PortraitGuard<'_> {
    /// Tells whether no guarded person's whole name stands in a text.
    #[must_use]
    pub fn names_nobody(&self, text: &str) -> bool {
        let Some(finder) = &self.guards.finder else {
            return false;
        };
        let plain = plain(text);
        let bytes = plain.as_bytes();
        let is_blank = |byte: Option<&u8>| byte.is_none_or(|byte| *byte == b' ');
        let is_guarded = |found: Match| {
            let name = self.guards.names.get(found.pattern().as_usize())?;
            let before = found.start().checked_sub(1).and_then(|at| bytes.get(at));
            let is_whole = is_blank(before) && is_blank(bytes.get(found.end()));
            Some(!self.nameable.contains(name) && (is_whole || !is_short(name)))
        };
        let mut found = finder.find_overlapping_iter(&plain);
        !found.any(|one| is_guarded(one) == Some(true))
    }

    /// Returns the text if no guarded person's whole name stands in it.
    #[must_use]
    pub fn pass<'t>(&self, text: &'t str) -> Option<&'t str> {
        self.names_nobody(text).then_some(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::xmp::Guard;
    use crate::record::Answer;
    use crate::record::Certainty;
    use crate::record::Claim;
    use crate::record::Collection;
    use crate::record::Person;
    use crate::record::Sitter;
    use crate::record::Standing;

    fn collection() -> Collection {
        let person = |number: &str, name: &str, other: &[&str]| Person {
            number: number.into(),
            name: Answer::Given(name.to_owned()),
            other_names: other.iter().map(|one| (*one).to_owned()).collect(),
            ..Person::default()
        };
        let claim = |portrait: &str, number: &str, certainty| Claim {
            portrait: portrait.into(),
            sitter: Sitter::Person(number.into()),
            certainty: Answer::Given(certainty),
            ..Claim::default()
        };
        let mut withdrawn = claim("A-3", "P-2", Certainty::Proved);
        withdrawn.standing = Answer::Given(Standing::Withdrawn);
        Collection {
            people: vec![
                person("P-1", "Rose", &["Rose Ann"]),
                person("P-2", "Ann Rose", &["Rose"]),
                person("P-3", "佐藤花子", &["Zoë  Kitto"]),
                person("P-4", "Kitto", &[""]),
            ],
            claims: vec![
                claim("A-1", "P-1", Certainty::Proved),
                claim("A-1", "P-3", Certainty::Possible),
                claim("A-2", "P-2", Certainty::Probable),
                claim("A-2", "P-4", Certainty::RuledOut),
                withdrawn,
                claim("A-3", "P-3", Certainty::Proved),
            ],
            ..Collection::default()
        }
    }

    #[test]
    fn they_find_what_a_guard_of_one_portrait_finds() {
        let collection = collection();
        let record = Register::of(&collection);
        let guards = Guards::of(&record);
        let words = [
            "Rose",
            "ann",
            "ROSEWOOD",
            "Zoë",
            "Kitto",
            "Kittow",
            "佐藤花子は",
            "1884",
        ];
        let mut found = [0, 0];
        for portrait in ["A-1", "A-2", "A-3", "A-4"] {
            let portrait = portrait.into();
            let alone = Guard::of(&collection, &portrait);
            let one = guards.guard(&portrait);
            for (first, second, third) in words
                .iter()
                .flat_map(|first| words.iter().map(move |second| (first, second)))
                .flat_map(|(first, second)| words.iter().map(move |third| (first, second, third)))
            {
                let text = format!("{first}-{second}, {third}");
                let passes = one.names_nobody(&text);
                assert_eq!(passes, alone.names_nobody(&text), "{portrait} {text}");
                found[usize::from(passes)] += 1;
            }
        }
        assert!(found.iter().all(|count| *count > 100), "{found:?}");
    }
}
