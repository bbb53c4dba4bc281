//! Gathers everything that speaks of a portrait's dates.

use super::clue_table::ClueTable;
use super::directory::Directory;
use super::directory::Stay;
use super::interval::DateClue;
use super::interval::Weight;
use super::shared::Shared;
use crate::record::Certainty;
use crate::record::Clue;
use crate::record::ClueKind;
use crate::record::DateTarget;
use crate::record::Hardness;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::Register;
use crate::record::Scan;
use crate::record::SensitiveSubject;
use crate::record::WhoKnew;
use crate::record::WrittenIn;
use std::borrow::Cow;
use std::collections::BTreeSet;

/// What is needed to weigh the dates of every portrait.
#[derive(Debug)]
pub(super) struct Evidence<'a> {
    pub(super) register: &'a Register<'a>,
    table: ClueTable,
    directory: Directory,
    altered: BTreeSet<String>,
}

/// The clues to each date of one portrait.
#[derive(Debug, Default)]
pub(super) struct DateClues {
    pub(super) sitting: Vec<DateClue>,
    pub(super) print: Vec<DateClue>,
    pub(super) framed: Vec<DateClue>,
    pub(super) stay: Option<Shared<Stay>>,
}

impl DateClues {
    fn add(&mut self, target: DateTarget, clue: DateClue) {
        match target {
            DateTarget::Sitting => self.sitting.push(clue),
            DateTarget::Print => self.print.push(clue),
            DateTarget::Framed => self.framed.push(clue),
        }
    }
}

impl<'a> Evidence<'a> {
    pub(super) fn of(register: &'a Register<'a>) -> Self {
        let altered = register
            .collection()
            .scans
            .iter()
            .filter(|scan| scan.is_altered() && !scan.file.is_empty())
            .flat_map(|scan| [scan.file.to_lowercase(), file_name(scan).to_lowercase()])
            .collect();
        Self {
            register,
            table: ClueTable::built_in(),
            directory: Directory::of(&register.collection().listings),
            altered,
        }
    }

    /// Tells whether a clue rests on a version of a picture that was altered by hand or by a program.
    pub(super) fn rests_on_altered(&self, clue: &Clue) -> bool {
        if self.altered.is_empty() {
            return false;
        }
        let Some(source) = clue.source.text() else {
            return false;
        };
        let source = source.to_lowercase();
        let apart = |character: char| {
            character.is_whitespace()
                || matches!(character, ',' | ';' | '(' | ')' | '“' | '”' | '"')
        };
        self.altered.contains(source.trim())
            || source
                .split(apart)
                .any(|word| self.altered.contains(word.trim_end_matches('.')))
    }

    /// Returns the clues to the dates of a portrait, without those that follow from who a candidate is.
    pub(super) fn about(&self, portrait: &Portrait) -> DateClues {
        let mut clues = DateClues::default();
        for (target, clue) in self.table.of_portrait(portrait) {
            clues.add(target, clue);
        }
        for clue in self.register.clues_on(&portrait.number) {
            if self.rests_on_altered(clue) {
                continue;
            }
            for (target, found) in self.table.of_clue(clue) {
                clues.add(target, found);
            }
            if let Some(dated) = self.dated(portrait, clue) {
                clues.add(target_of(clue), dated);
            }
        }
        if let Some((stay, of_stay)) = self.directory.stay(portrait) {
            clues.stay = Some(stay.clone());
            clues.print.extend(of_stay.iter().cloned());
        }
        for (claim, person) in self.register.held_names(&portrait.number) {
            if matches!(
                claim.certainty.given(),
                Some(Certainty::Proved | Certainty::Probable)
            ) {
                // Not by name: the person may be only probable.
                clues.sitting.extend(life(portrait, person, "the sitter"));
            }
        }
        clues
    }

    /// Returns the date that a person's own clue gives.
    fn dated(&self, portrait: &Portrait, clue: &Clue) -> Option<DateClue> {
        let date = &clue.date.given()?.edtf;
        let says = clue
            .says
            .text()
            .map_or_else(String::new, |says| format!(": {}", shortened(says)));
        Some(DateClue::dated(
            format!("clue {}{says}", clue.number),
            clue.source
                .text()
                .map_or(Cow::Borrowed("no source is given"), |source| {
                    Cow::Owned(source.to_owned())
                }),
            date,
            clue.hardness.given() == Some(&Hardness::Hard),
            self.weight_of(portrait, clue),
        ))
    }

    fn weight_of(&self, portrait: &Portrait, clue: &Clue) -> Weight {
        match clue.kind.given() {
            Some(ClueKind::Record) => Weight::Document,
            Some(ClueKind::Object | ClueKind::Maker) => Weight::Object,
            Some(ClueKind::Words) if self.is_later_hand(portrait, clue) => Weight::Talk,
            Some(ClueKind::Words) => Weight::Words,
            Some(ClueKind::Dress) => Weight::Dress,
            Some(
                ClueKind::Likeness
                | ClueKind::FamilyTalk
                | ClueKind::FoundTogether
                | ClueKind::Other,
            )
            | None => Weight::Talk,
        }
    }

    /// Words in ballpoint, or known only from hearsay, are later information.
    fn is_later_hand(&self, portrait: &Portrait, clue: &Clue) -> bool {
        if clue.who_knew.given() == Some(&WhoKnew::SecondHand) {
            return true;
        }
        let says = clue.says.text().unwrap_or_default();
        self.register
            .words_on(&portrait.number)
            .iter()
            .any(|words| {
                words.written_in.given() == Some(&WrittenIn::Ballpoint)
                    && words
                        .text
                        .text()
                        .is_some_and(|text| !text.trim().is_empty() && says.contains(text.trim()))
            })
    }
}

/// Returns the two clues that a person's life gives to the sitting: not before the birth, and not after the death unless the
/// portrait was made after it.
pub(super) fn life(portrait: &Portrait, person: &Person, name: &str) -> Vec<DateClue> {
    let after_death = portrait.sensitive.contains(&SensitiveSubject::PostMortem);
    let source: Cow<'static, str> = Cow::Owned(format!("sheet “People”, {}", person.number));
    let mut clues = Vec::new();
    if let Some(born) = person.born.given() {
        let clue = DateClue::dated(
            format!("birth of {name}"),
            source.clone(),
            &born.edtf,
            true,
            Weight::Document,
        );
        clues.push(DateClue {
            latest: None,
            about_latest: None,
            ..clue
        });
    }
    if let Some(died) = person.died.given().filter(|_| !after_death) {
        let clue = DateClue::dated(
            format!("death of {name}"),
            source,
            &died.edtf,
            true,
            Weight::Document,
        );
        clues.push(DateClue {
            earliest: None,
            about_earliest: None,
            ..clue
        });
    }
    clues.retain(|clue| clue.earliest.is_some() || clue.latest.is_some());
    clues
}

/// Which date a clue speaks of, if nobody said: clothes and faces speak of the sitting, everything else of the print.
fn target_of(clue: &Clue) -> DateTarget {
    clue.date_target
        .given()
        .copied()
        .unwrap_or(match clue.kind.given() {
            Some(ClueKind::Dress | ClueKind::Likeness | ClueKind::FamilyTalk) => {
                DateTarget::Sitting
            }
            _ => DateTarget::Print,
        })
}

/// The last part of a scan's path.
pub(super) fn file_name(scan: &Scan) -> &str {
    scan.file.rsplit('/').next().unwrap_or(&scan.file)
}

/// A text of at most eighty characters.
pub(super) fn shortened(text: &str) -> String {
    const MOST: usize = 80;
    let is_flat = text.len() <= MOST
        && text.trim().len() == text.len()
        && !text.contains("  ")
        && !text.contains(|one: char| one != ' ' && one.is_whitespace());
    if is_flat {
        return text.to_owned();
    }
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if flat.chars().count() <= MOST {
        return flat;
    }
    let cut: String = flat.chars().take(MOST).collect();
    format!("{}…", cut.trim_end())
}
