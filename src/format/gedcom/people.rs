//! Turns the individuals and families of a tree into people of the record.

use super::dates;
use super::lines::Structure;
use super::read::of_kind;
use crate::record::Answer;
use crate::record::DateEntry;
use crate::record::Extra;
use crate::record::Living;
use crate::record::Person;
use std::collections::BTreeMap;

/// Returns everybody in the order of the file.
pub(super) fn all(records: &[Structure]) -> Vec<Person> {
    let tree = Tree {
        individuals: of_kind(records, "INDI").collect(),
        families: of_kind(records, "FAM").collect(),
    };
    of_kind(records, "INDI")
        .map(|(number, individual)| tree.person(number, individual))
        .collect()
}

struct Tree<'a> {
    individuals: BTreeMap<&'a str, &'a Structure>,
    families: BTreeMap<&'a str, &'a Structure>,
}

impl Tree<'_> {
    fn person(&self, number: &str, individual: &Structure) -> Person {
        let mut extra = Extra::new();
        let birth = individual.child("BIRT");
        let death = individual.child("DEAT");
        let mut names = individual.all("NAME").filter_map(name);
        let born = date(birth, "Birth date in the family tree", &mut extra);
        let died = date(death, "Death date in the family tree", &mut extra);
        Person {
            number: number.into(),
            name: names.next().into(),
            other_names: names.collect(),
            born,
            born_at: place(birth),
            died,
            died_at: place(death),
            living: if death.is_some_and(has_happened) {
                Answer::Given(Living::No)
            } else {
                Answer::Blank
            },
            married: joined(
                self.families_of(individual, "FAMS")
                    .filter_map(|family| self.spouse(family, number)),
            ),
            parents: joined(
                self.families_of(individual, "FAMC")
                    .filter_map(|family| self.couple(family)),
            ),
            extra,
            ..Person::default()
        }
    }

    fn families_of<'a>(
        &'a self,
        individual: &'a Structure,
        tag: &'a str,
    ) -> impl Iterator<Item = &'a Structure> {
        individual
            .all(tag)
            .filter_map(|link| self.families.get(pointed(&link.payload)?).copied())
    }

    fn couple(&self, family: &Structure) -> Option<String> {
        let names: Vec<String> = ["HUSB", "WIFE"]
            .into_iter()
            .filter_map(|tag| self.name_of(family.says(tag)?))
            .collect();
        (!names.is_empty()).then(|| names.join(" and "))
    }

    fn spouse(&self, family: &Structure, number: &str) -> Option<String> {
        let name = ["HUSB", "WIFE"]
            .into_iter()
            .filter_map(|tag| family.says(tag))
            .find(|link| pointed(link) != Some(number))
            .and_then(|link| self.name_of(link))?;
        let married = family
            .child("MARR")
            .and_then(|marriage| marriage.says("DATE"))
            .map(|date| {
                dates::read(date).map_or_else(|| date.to_owned(), |date| date.edtf.in_words())
            });
        Some(match married {
            Some(date) => format!("{name}, {date}"),
            None => name,
        })
    }

    fn name_of(&self, link: &str) -> Option<String> {
        let individual = self.individuals.get(pointed(link)?)?;
        individual.all("NAME").find_map(name)
    }
}

/// Returns the identifier in a pointer; `@VOID@` points nowhere. [GEDCOM 7.0 1.2]
fn pointed(link: &str) -> Option<&str> {
    let inner = link.trim().strip_prefix('@')?.strip_suffix('@')?;
    (inner != "VOID").then_some(inner)
}

/// Slashes only mark the surname. A name without payload may still have parts. [GEDCOM 7.0 2.8]
fn name(structure: &Structure) -> Option<String> {
    let mut words: Vec<&str> = structure
        .payload
        .split(|one: char| one.is_whitespace() || one == '/')
        .filter(|word| !word.is_empty())
        .collect();
    if words.is_empty() {
        let parts = ["NPFX", "GIVN", "SPFX", "SURN", "NSFX"];
        words = parts
            .into_iter()
            .filter_map(|part| structure.says(part))
            .collect();
    }
    (!words.is_empty()).then(|| words.join(" "))
}

/// A date that EDTF cannot say surely is kept as it stands, in a column of its own.
fn date(event: Option<&Structure>, heading: &str, extra: &mut Extra) -> Answer<DateEntry> {
    let Some(said) = event.and_then(|event| event.child("DATE")) else {
        return Answer::Blank;
    };
    if let Some(entry) = dates::read(&said.payload) {
        return Answer::Given(entry);
    }
    let words = [said.payload.trim(), said.says("PHRASE").unwrap_or_default()];
    let words: Vec<&str> = words.into_iter().filter(|text| !text.is_empty()).collect();
    if !words.is_empty() {
        extra.insert(heading.to_owned(), words.join(" "));
    }
    Answer::Blank
}

fn place(event: Option<&Structure>) -> Answer<String> {
    event
        .and_then(|event| event.says("PLAC"))
        .map(str::to_owned)
        .into()
}

/// An event that is only named, without date, place or `Y`, says nothing. [GEDCOM 7.0 3.3.2]
fn has_happened(event: &Structure) -> bool {
    event.payload.trim() == "Y" || event.says("DATE").is_some() || event.says("PLAC").is_some()
}

fn joined(texts: impl Iterator<Item = String>) -> Answer<String> {
    let texts: Vec<String> = texts.collect();
    if texts.is_empty() {
        Answer::Blank
    } else {
        Answer::Given(texts.join("; "))
    }
}
