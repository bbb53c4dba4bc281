//! Comparing an answered list with what would leave now.

use super::Cleared;
use super::Review;
use super::list;
use super::list::Line;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::audience::Decision;
use crate::record::audience::Decisions;
use crate::record::audience::Leaving;
use crate::record::audience::LeavingKind;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Where concerns about the list itself stand.
const LIST: &str = "the list of living people";

/// Answers by code.
type Answers = BTreeMap<String, Decision>;

/// Returns the answers of a list, whatever else is wrong with it.
pub(super) fn answers(bytes: &[u8]) -> Answers {
    let lines = list::read(bytes).unwrap_or_default();
    lines
        .into_iter()
        .filter_map(|line| Some((line.code, Decision::from_word(&line.answer)?)))
        .collect()
}

impl Review {
    /// Returns the proof that nothing waits for a decision, from the list that a person answered, or without one where nothing has
    /// to be decided; then everything that needs a yes is left out.
    ///
    /// # Errors
    /// Returns what has to be settled first: what nobody has decided, answers that are none, and every difference between the
    /// list and what would leave now.
    pub fn settle(&self, answered: Option<&[u8]>) -> Result<Cleared, ConcernList> {
        let mut concerns = ConcernList::default();
        let answers = match answered {
            None => Answers::new(),
            Some(bytes) => match list::read(bytes) {
                Some(lines) => self.compare(&lines, &mut concerns),
                None => {
                    concerns.stop(
                        "not-a-living-list",
                        Place::file(LIST),
                        "The file is not the list that kithbag wrote: its headings are others.",
                        "Take the list that kithbag wrote, fill the first column, and save it as CSV with all its columns.",
                    );
                    Answers::new()
                }
            },
        };
        let decided = self.decided(&answers);
        for (leaving, decision) in &decided {
            self.ask(leaving, *decision, &mut concerns);
        }
        if concerns.has_stop() {
            return Err(concerns);
        }
        Ok(Cleared {
            audience: self.options.audience,
            living_years: self.options.living_years,
            decisions: Decisions::of(decided),
        })
    }

    /// Words in files that mean nobody but people who were let go follow from that.
    fn decided(&self, answers: &Answers) -> Vec<(&Leaving, Option<Decision>)> {
        let answer = |one: &Leaving| answers.get(&one.code).copied();
        let let_go: BTreeSet<&String> = self
            .listed
            .iter()
            .filter(|one| one.kind == LeavingKind::Person && answer(one) == Some(Decision::Yes))
            .flat_map(|one| &one.about)
            .collect();
        let follows = |one: &Leaving| {
            matches!(one.kind, LeavingKind::Caption | LeavingKind::FileName)
                && one.about.iter().all(|whom| let_go.contains(whom))
        };
        self.listed
            .iter()
            .map(|one| {
                (
                    one,
                    answer(one).or_else(|| follows(one).then_some(Decision::Yes)),
                )
            })
            .collect()
    }

    fn ask(&self, leaving: &Leaving, decision: Option<Decision>, concerns: &mut ConcernList) {
        let what = |said: &str| {
            let whom = leaving.about.join(", ");
            format!("This would leave: {whom}, in “{}”. {said}.", leaving.place)
        };
        match decision {
            None if leaving.must_be_decided => concerns.stop(
                "private-words",
                place_of(leaving),
                what("Nothing is packed before a person has looked"),
                format!("Mend it in the catalogue, or answer in the list ({}) and pack again with --yes-living LIST.", leaving.answers()),
            ),
            Some(decision) if !leaving.takes(decision) => concerns.stop(
                "living-answer-not-possible",
                place_of(leaving),
                what(&format!("“{}” is no answer here, since it is not recorded that this person agrees", decision.word())),
                format!("Possible answers: {}. If the person agrees, write that under “Consent on file?” and “Show to” in the People sheet.", leaving.answers()),
            ),
            Some(Decision::No) if leaving.kind == LeavingKind::FileName && leaving.scan.is_none() => {
                concerns.stop(
                    "private-folder-name",
                    Place::unknown(),
                    "The package is named after the collection's folder, and that name concerns somebody.",
                    "Give the folder another name, then pack again.",
                );
            }
            _ => {}
        }
    }

    fn compare(&self, lines: &[Line], concerns: &mut ConcernList) -> Answers {
        let mut answers = Answers::new();
        let current: BTreeMap<&str, &Leaving> = self
            .listed
            .iter()
            .map(|one| (one.code.as_str(), one))
            .collect();
        for line in lines {
            let Some(leaving) = current.get(line.code.as_str()) else {
                stale(line, concerns);
                continue;
            };
            if plain(&line.words) != plain(&leaving.words)
                || plain(&line.place) != plain(&leaving.place)
            {
                edited(line, concerns);
            }
            take_answer(line, &mut answers, concerns);
        }
        let listed: BTreeSet<&str> = lines.iter().map(|line| line.code.as_str()).collect();
        for missing in self
            .listed
            .iter()
            .filter(|one| !listed.contains(one.code.as_str()))
        {
            concerns.stop(
                "living-list-lacks",
                place_of(missing),
                format!("This would leave and is not on the list ({}): it is new, or its words have changed since.", missing.place),
                "Take the new list that kithbag writes now; the answers that still hold are in it already.",
            );
        }
        answers
    }
}

fn take_answer(line: &Line, answers: &mut Answers, concerns: &mut ConcernList) {
    if line.answer.is_empty() {
        return;
    }
    let decision = Decision::from_word(&line.answer);
    let before = decision.and_then(|decision| answers.insert(line.code.clone(), decision));
    if decision.is_none() || before.is_some_and(|before| Some(before) != decision) {
        concerns.stop(
            "living-answer-unknown",
            Place::file(LIST).row(Some(line.row)),
            format!("“{}” cannot be understood here ({}).", line.answer, line.place),
            "Write yes, no, or not them (the words mean somebody or something else); one answer a line.",
        );
    }
}

fn stale(line: &Line, concerns: &mut ConcernList) {
    concerns.stop(
        "living-list-out-of-date",
        Place::file(LIST).row(Some(line.row)),
        format!("What this line tells of ({}) does not leave any more, or not in these words, or the list was made for another audience.", line.place),
        "Take the new list that kithbag writes now; the answers that still hold are in it already.",
    );
}

fn edited(line: &Line, concerns: &mut ConcernList) {
    concerns.stop(
        "living-list-changed",
        Place::file(LIST).row(Some(line.row)),
        format!(
            "The words in this line are not those that would leave ({}).",
            line.place
        ),
        "Change nothing but the first column; the catalogue is where words are mended.",
    );
}

/// Spreadsheets change blanks, quotes and line ends; letters and digits are what was read.
fn plain(text: &str) -> String {
    text.chars().filter(char::is_ascii_alphanumeric).collect()
}

fn place_of(leaving: &Leaving) -> Place {
    leaving
        .scan
        .as_ref()
        .map_or_else(Place::unknown, |scan| Place::file(scan.clone()))
}
