//! Whether a claim has the least that its certainty asks for. Nothing here raises a certainty, and nothing changes one: what is
//! missing is said. [the ladder is kithbag's own; its words follow the genealogical proof standard's five parts]

use super::cell::cell;
use super::cell::plain_name;
use super::evidence::Evidence;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Clue;
use crate::record::ClueKind;
use crate::record::ClueNumber;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::SeenAs;
use crate::record::Sitter;
use crate::record::WhoKnew;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What a claim rests on.
struct Grounds<'a> {
    claim: &'a Claim,
    person: Option<&'a Person>,
    clues_for: Vec<&'a Clue>,
    /// Numbers of clues that speak for a rival at the same face as well.
    shared: BTreeSet<&'a str>,
    rivals_named: bool,
    words_have_writer: bool,
}

/// Checks the claims about one portrait. Returns for each of them what it lacks for the certainty that it states, in plain words;
/// empty if it lacks nothing.
pub(super) fn check(
    evidence: &Evidence<'_>,
    portrait: &Portrait,
    concerns: &mut ConcernList,
) -> Vec<Vec<String>> {
    let claims = evidence.register.claims_about(&portrait.number);
    let lacking = claims
        .iter()
        .map(|claim| check_claim(evidence, portrait, claim, concerns))
        .collect();
    two_sitters_one_face(evidence, portrait, concerns);
    lacking
}

fn check_claim(
    evidence: &Evidence<'_>,
    portrait: &Portrait,
    claim: &Claim,
    concerns: &mut ConcernList,
) -> Vec<String> {
    let place = |heading| cell(&columns::CLAIMS, claim.row, heading).of_portrait(&claim.portrait);
    if claim.is_withdrawn() && !claim.withdrawn_why.is_given() {
        concerns.note(
            "withdrawn-without-reason",
            place("Why withdrawn"),
            "An idea was given up, and nobody wrote down when and why.",
            "Write it down: wrong names come back otherwise.",
        );
    }
    let Some(certainty) = claim.certainty.given() else {
        if !claim.is_withdrawn() && claim.sitter != Sitter::NotSaid {
            concerns.warning(
                "claim-without-certainty",
                place("How sure"),
                "It does not say how sure this is.",
                "Choose a word from the list; until then nobody is named.",
            );
        }
        return Vec::new();
    };
    let grounds = Grounds::of(evidence, portrait, claim);
    let lacking = grounds.lacking(*certainty);
    if claim.is_withdrawn() {
        return lacking;
    }
    if let Some((code, what)) = grounds.single_kind(*certainty) {
        concerns.warning(
            code,
            place("How sure"),
            what,
            "Choose a lower word, or name another kind of clue; kithbag never changes the word.",
        );
    }
    if !lacking.is_empty() {
        concerns.warning(
            "certainty-not-met",
            place("How sure"),
            format!("“{certainty}” asks for more: {}.", lacking.join("; ")),
            "Add what is missing, or choose a lower word; kithbag never changes the word.",
        );
    }
    lacking
}

impl<'a> Grounds<'a> {
    fn of(evidence: &Evidence<'a>, portrait: &Portrait, claim: &'a Claim) -> Self {
        let register = evidence.register;
        let found = |numbers: &[ClueNumber]| -> Vec<&'a Clue> {
            let unique: BTreeSet<&str> = numbers.iter().map(ClueNumber::as_str).collect();
            unique
                .into_iter()
                .filter_map(|number| register.clue(number))
                .filter(|clue| !evidence.rests_on_altered(clue))
                .collect()
        };
        let other_names = register
            .claims_about(&portrait.number)
            .iter()
            .any(|other| other.face == claim.face && other.sitter != claim.sitter);
        Self {
            claim,
            person: register.claimed(claim),
            clues_for: found(&claim.clues_for),
            shared: shared(register.claims_about(&portrait.number), claim),
            rivals_named: !claim.rivals.is_empty() || other_names,
            words_have_writer: register
                .words_on(&portrait.number)
                .iter()
                .any(|words| super::words::writer_is_known(words)),
        }
    }

    /// Returns the least that is missing for a certainty.
    fn lacking(&self, certainty: Certainty) -> Vec<String> {
        let mut lacking = Vec::new();
        let mut ask = |met: bool, what: &str| {
            if !met {
                lacking.push(what.to_owned());
            }
        };
        let claim = self.claim;
        let against = !claim.clues_against.is_empty();
        let answered = !against || !claim.reasons_for.is_empty();
        match certainty {
            Certainty::Proved => {
                ask(self.independent() >= 2, self.two_clues());
                ask(
                    self.clues_for.iter().any(|clue| is_first_hand(clue)),
                    "one of them the thing itself, from somebody who was there",
                );
                ask(
                    self.person
                        .is_some_and(|person| person.where_we_looked.is_given()),
                    "what was searched, in “Where we looked” of the sheet “People”",
                );
                ask(answered, "an answer to every clue against");
                ask(!claim.reasons_for.is_empty(), "the reasoning in words");
            }
            Certainty::Probable => {
                ask(self.independent() >= 2, self.two_clues());
                ask(answered, "an answer to every clue against");
                ask(
                    self.rivals_named,
                    "who else it could be (or “nobody known”)",
                );
            }
            Certainty::Possible => {
                let in_words = self.clues_for.is_empty() && !claim.reasons_for.is_empty();
                ask(
                    in_words || self.clues_for.iter().any(|clue| !is_likeness(clue)),
                    "one clue that is not likeness",
                );
            }
            Certainty::Suggested => ask(claim.said_by.is_given(), "who suggested it"),
            Certainty::Doubtful => ask(
                against || !claim.reasons_against.is_empty(),
                "one clue or reason against",
            ),
            Certainty::RuledOut => ask(
                against || !claim.reasons_against.is_empty(),
                "the clue or reason that excludes",
            ),
        }
        lacking
    }

    /// Returns how many clues come from different sources. Clues without a source count as one source; a clue that speaks for a
    /// rival as well says nothing between the two.
    fn independent(&self) -> usize {
        self.clues_for
            .iter()
            .filter(|clue| !self.shared.contains(clue.number.as_str()))
            .map(|clue| clue.source.text().map_or_else(String::new, plain_name))
            .collect::<BTreeSet<String>>()
            .len()
    }

    fn two_clues(&self) -> &'static str {
        let is_shared = |clue: &&Clue| self.shared.contains(clue.number.as_str());
        if self.clues_for.iter().any(is_shared) {
            "two clues from different sources that do not speak for a rival as well"
        } else {
            "two clues from different sources"
        }
    }

    /// Tells of a claim that rests on one kind of clue alone and states more than that kind can carry.
    fn single_kind(&self, certainty: Certainty) -> Option<(&'static str, String)> {
        if self.clues_for.is_empty() || certainty > Certainty::Suggested {
            return None;
        }
        let all = |kind: ClueKind| {
            self.clues_for
                .iter()
                .all(|clue| clue.kind.given() == Some(&kind))
        };
        if all(ClueKind::Maker) && self.person.is_some() {
            return Some((
                "maker-number-alone",
                "A maker’s number, address or imprint alone says nothing of who somebody is."
                    .to_owned(),
            ));
        }
        if all(ClueKind::Likeness) && certainty < Certainty::Suggested {
            return Some((
                "likeness-alone",
                format!(
                    "Likeness alone never carries more than “suggested”, and this says “{certainty}”."
                ),
            ));
        }
        let hand_known = self.words_have_writer
            || self.clues_for.iter().any(|clue| {
                matches!(
                    clue.who_knew.given(),
                    Some(WhoKnew::FirstHand | WhoKnew::SecondHand)
                )
            });
        if all(ClueKind::Words) && !hand_known && certainty < Certainty::Possible {
            return Some((
                "unknown-hand-alone",
                format!(
                    "A name in an unknown hand alone never carries more than “possible”, and this says “{certainty}”."
                ),
            ));
        }
        None
    }
}

/// Returns the numbers of clues that stand behind another claim at the same face that is still held and not leaned against.
fn shared<'a>(claims: &[&'a Claim], claim: &Claim) -> BTreeSet<&'a str> {
    claims
        .iter()
        .filter(|other| other.face == claim.face && other.sitter != claim.sitter)
        .filter(|other| !other.is_withdrawn() && matches!(other.sitter, Sitter::Person(_)))
        .filter(|other| {
            !matches!(
                other.certainty.given(),
                Some(Certainty::Doubtful | Certainty::RuledOut)
            )
        })
        .flat_map(|other| other.clues_for.iter().map(ClueNumber::as_str))
        .collect()
}

fn is_first_hand(clue: &Clue) -> bool {
    clue.seen_as.given() == Some(&SeenAs::Original)
        && clue.who_knew.given() == Some(&WhoKnew::FirstHand)
}

fn is_likeness(clue: &Clue) -> bool {
    clue.kind.given() == Some(&ClueKind::Likeness)
}

/// Two people cannot both be proved or probable for one face.
fn two_sitters_one_face(evidence: &Evidence<'_>, portrait: &Portrait, concerns: &mut ConcernList) {
    let mut by_face: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for (claim, person) in evidence.register.held_names(&portrait.number) {
        if matches!(
            claim.certainty.given(),
            Some(Certainty::Proved | Certainty::Probable)
        ) {
            let face = claim.face.text().unwrap_or_default().to_lowercase();
            by_face
                .entry(face)
                .or_default()
                .insert(person.number.as_str());
        }
    }
    for (face, people) in by_face {
        if people.len() > 1 {
            let which = if face.is_empty() {
                "one face".to_owned()
            } else {
                format!("the face “{face}”")
            };
            let row = evidence
                .register
                .claims_about(&portrait.number)
                .first()
                .map(|claim| claim.row)
                .unwrap_or_default();
            concerns.warning(
                "two-sitters-one-face",
                cell(&columns::CLAIMS, row, "Which face").of_portrait(&portrait.number),
                format!(
                    "{which} is proved or probable for several people: {}.",
                    people.into_iter().collect::<Vec<_>>().join(", ")
                ),
                "Say in “Which face” whom each row means, or lower the certainty of all but one.",
            );
        }
    }
}
