//! Fills the People sheet from a family tree file. What stands in the sheet is never changed: blank cells are filled, new people
//! get rows of their own, and where sheet and tree differ that is told.

use super::SurveyError;
use super::seen::Survey;
use super::seen::TreePeople;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::gedcom;
use crate::format::gedcom::FamilyTree;
use crate::record::Answer;
use crate::record::DateEntry;
use crate::record::Person;
use crate::store;
use std::fmt::Display;
use std::path::Path;

/// Longest family tree file that is read: some hundred thousand people.
const LONGEST: u64 = 512 << 20;

/// Reads a family tree file.
pub(super) fn read(file: &Path) -> Result<FamilyTree, SurveyError> {
    let bytes = store::read_limited(file, LONGEST)?;
    gedcom::read(&bytes).map_err(|fault| SurveyError::FamilyTree {
        file: file.display().to_string(),
        fault,
    })
}

/// Puts the people of a family tree into the record.
pub(super) fn add(survey: &mut Survey, tree: FamilyTree, file: &str) {
    tell_faults(&tree, file, &mut survey.concerns);
    let mut taken = TreePeople {
        version: tree.version.clone(),
        people: tree.people.len(),
        ..TreePeople::default()
    };
    for mut person in tree.people {
        tell_unread_dates(&mut person, file, &mut survey.concerns);
        match row_of(&survey.collection.people, &person) {
            Some(position) => {
                if let Some(row) = survey.collection.people.get_mut(position) {
                    lay(row, &person, &mut taken, &mut survey.concerns);
                }
            }
            None => {
                survey.collection.people.push(person);
                taken.new = taken.new.saturating_add(1);
            }
        }
    }
    survey.people = Some(taken);
}

/// Returns the row that is about a person of the tree: it has the same number, or else, as the only one, the same name and the same
/// birth.
fn row_of(people: &[Person], person: &Person) -> Option<usize> {
    let numbered = people.iter().position(|row| row.number == person.number);
    if numbered.is_some() {
        return numbered;
    }
    let is_same = |row: &Person| {
        let name = |one: &Person| one.name.text().map(plain);
        let born = |one: &Person| one.born.given().map(|date| date.edtf.to_string());
        name(row).is_some()
            && name(row) == name(person)
            && born(row).is_some()
            && born(row) == born(person)
    };
    let mut same = people.iter().enumerate().filter(|(_, row)| is_same(row));
    let (first, second) = (same.next(), same.next());
    match (first, second) {
        (Some((position, _)), None) => Some(position),
        _ => None,
    }
}

fn plain(name: &str) -> String {
    let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

/// Lays what the tree says upon a row: blank cells are filled, differences are told. Under another name nothing is taken: numbers
/// of trees are given anew by some programs.
fn lay(row: &mut Person, person: &Person, taken: &mut TreePeople, concerns: &mut ConcernList) {
    let mut laying = Laying {
        filled: 0,
        differing: Vec::new(),
    };
    let text = |text: &String| plain(text);
    let date = |date: &DateEntry| date.edtf.to_string();
    laying.answer("Name as best known", &mut row.name, &person.name, text);
    if laying.differing.is_empty() {
        laying.answer("Born", &mut row.born, &person.born, date);
        laying.answer("Born at", &mut row.born_at, &person.born_at, text);
        laying.answer("Died", &mut row.died, &person.died, date);
        laying.answer("Died at", &mut row.died_at, &person.died_at, text);
        laying.answer(
            "Living?",
            &mut row.living,
            &person.living,
            ToString::to_string,
        );
        laying.answer("Married", &mut row.married, &person.married, text);
        laying.answer("Parents", &mut row.parents, &person.parents, text);
        laying.other_names(row, person);
    }
    if laying.filled == 0 {
        taken.unchanged = taken.unchanged.saturating_add(1);
    } else {
        taken.completed = taken.completed.saturating_add(1);
    }
    tell_differences(row, laying.differing, concerns);
}

fn tell_differences(
    row: &Person,
    differing: Vec<(&'static str, String, String)>,
    concerns: &mut ConcernList,
) {
    for (heading, sheet, tree) in differing {
        concerns.question(
            "tree-differs",
            Place::sheet(columns::PEOPLE.name)
                .row(row.row.0)
                .column(heading),
            format!(
                "The sheet says “{sheet}” of {}, the family tree says “{tree}”.",
                row.number
            ),
            "The sheet was left as it is. Change it there if the tree is right.",
        );
    }
}

struct Laying {
    filled: usize,
    differing: Vec<(&'static str, String, String)>,
}

impl Laying {
    /// Fills a blank cell, or remembers what differs. `meaning` is what two cells are compared by.
    fn answer<T: Clone + Display>(
        &mut self,
        heading: &'static str,
        row: &mut Answer<T>,
        tree: &Answer<T>,
        meaning: impl Fn(&T) -> String,
    ) {
        match (&*row, tree) {
            (Answer::Blank, Answer::Given(_)) => {
                row.clone_from(tree);
                self.filled = self.filled.saturating_add(1);
            }
            (Answer::Given(sheet), Answer::Given(tree)) if meaning(sheet) != meaning(tree) => {
                self.differing
                    .push((heading, sheet.to_string(), tree.to_string()));
            }
            _ => {}
        }
    }

    fn other_names(&mut self, row: &mut Person, person: &Person) {
        if row.other_names.is_empty() && !person.other_names.is_empty() {
            row.other_names.clone_from(&person.other_names);
            self.filled = self.filled.saturating_add(1);
        }
    }
}

/// A date that EDTF cannot say surely is told and not guessed; it would need a column that the sheet does not have.
fn tell_unread_dates(person: &mut Person, file: &str, concerns: &mut ConcernList) {
    for (heading, said) in std::mem::take(&mut person.extra) {
        concerns.question(
            "tree-date-not-read",
            Place::file(file),
            format!("{heading} of {}: “{said}” was not understood surely.", person.number),
            "Write the date into the People sheet yourself, in plain words, for example “about 1862”.",
        );
    }
}

fn tell_faults(tree: &FamilyTree, file: &str, concerns: &mut ConcernList) {
    if !matches!(tree.version.split('.').next(), Some("7")) && tree.version != "5.5.1" {
        let found = if tree.version.is_empty() {
            "no version".to_owned()
        } else {
            format!("version {}", tree.version)
        };
        concerns.warning(
            "tree-version",
            Place::file(file),
            format!("The family tree names {found} of its form; kithbag knows 5.5.1 and 7.0 and read it as well as it could."),
            "Look over what came into the People sheet.",
        );
    }
    for fault in &tree.faults {
        concerns.warning(
            "tree-line-not-read",
            Place::file(file),
            format!(
                "Line {} of the family tree was not read: {}.",
                fault.line, fault.what
            ),
            "Look over what came into the People sheet; the line was left out.",
        );
    }
}
