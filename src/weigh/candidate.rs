//! Somebody whom a claim names, weighed against the dates.

use super::ages;
use super::ages::AgesWhen;
use super::ages::Contradiction;
use super::cell::cell;
use super::dates::Dates;
use super::evidence::shortened;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::ClueNumber;
use crate::record::Edtf;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Register;
use crate::record::Sitter;
use crate::record::wording;
use schemars::JsonSchema;
use serde::Serialize;

/// Somebody whom a claim names.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Candidate {
    /// The person's number, or the words of the claim.
    pub who: String,
    /// The name, if the person is in the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Which face.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub face: Option<String>,
    /// How sure, or "not said".
    pub certainty: String,
    /// Whether the claim was withdrawn.
    pub withdrawn: bool,
    /// How old the person would have been, for each range of the portrait that has two ends.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ages: Vec<AgesWhen>,
    /// When the sitting was if it is this person.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sitting: Option<Edtf>,
    /// What that rests on beside the life and the dates.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub remarks: Vec<String>,
    /// What speaks against it, by the dates.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub contradictions: Vec<Contradiction>,
    /// What the certainty lacks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lacking: Vec<String>,
    /// Reasons and clues for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reasons_for: Vec<String>,
    /// Reasons and clues against.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reasons_against: Vec<String>,
    /// What would settle it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub would_settle: Option<String>,
}

/// Weighs one claim, of which it was found already what its certainty lacks.
pub(super) fn weigh(
    register: &Register<'_>,
    portrait: &Portrait,
    (claim, lacking): (&Claim, Vec<String>),
    dates: &Dates,
    concerns: &mut ConcernList,
) -> Candidate {
    let person = register.claimed(claim);
    let life = person
        .map(|person| ages::check(portrait, person, dates, register.words_on(&portrait.number)))
        .unwrap_or_default();
    let excluded = matches!(
        claim.certainty.given(),
        Some(Certainty::Doubtful | Certainty::RuledOut)
    );
    if !claim.is_withdrawn() && !excluded {
        for contradiction in &life.contradictions {
            say_contradiction(portrait, claim, contradiction, concerns);
        }
    }
    let reasons = |texts: &[String], numbers: &[ClueNumber]| {
        let clues = numbers.iter().map(|number| {
            let clue = register.clue(number.as_str());
            let says = clue
                .and_then(|clue| clue.says.text())
                .unwrap_or("not in the sheet “Clues”");
            format!("clue {number}: {}", shortened(says))
        });
        texts.iter().cloned().chain(clues).collect::<Vec<String>>()
    };
    Candidate {
        who: who(claim, person),
        name: person
            .and_then(|person| person.name.text())
            .map(str::to_owned),
        face: claim.face.text().map(str::to_owned),
        certainty: wording::certainty_word(&claim.certainty).to_owned(),
        withdrawn: claim.is_withdrawn(),
        ages: life.ages,
        sitting: life.sitting,
        remarks: life.remarks,
        contradictions: life.contradictions,
        lacking,
        reasons_for: reasons(&claim.reasons_for, &claim.clues_for),
        reasons_against: reasons(&claim.reasons_against, &claim.clues_against),
        would_settle: claim.would_settle.text().map(str::to_owned),
    }
}

fn who(claim: &Claim, person: Option<&Person>) -> String {
    match (&claim.sitter, person) {
        (_, Some(person)) => person.number.to_string(),
        (Sitter::Person(number), None) => number.to_string(),
        (Sitter::Unnamed(words), None) => words.clone(),
        (Sitter::NotSaid, None) => "not said".to_owned(),
    }
}

fn say_contradiction(
    portrait: &Portrait,
    claim: &Claim,
    contradiction: &Contradiction,
    concerns: &mut ConcernList,
) {
    let place = cell(&columns::CLAIMS, claim.row, "Person no. or unknown man")
        .of_portrait(&portrait.number);
    let ends = if contradiction.what.ends_with('?') {
        ""
    } else {
        "."
    };
    let what = format!("{}{ends}", contradiction.what);
    // An enlargement of an older picture is the usual case, not a surprise.
    let usual = contradiction.code == "dead-before-print"
        && portrait.kind.given() == Some(&PortraitKind::LargeCrayon);
    if usual || portrait.copy_of.is_given() && contradiction.only_asks {
        concerns.note(
            contradiction.code,
            place,
            what,
            "Nothing to do: enlargements and copies were often made after a death. Note the older picture if you know of it.",
        );
    } else if contradiction.only_asks {
        concerns.question(
            contradiction.code,
            place,
            what,
            "Look at the picture again, and write what you find into “Reasons for” or “Reasons against”.",
        );
    } else {
        concerns.warning(
            contradiction.code,
            place,
            what,
            "Correct the dates, or mark the idea as ruled out and say why.",
        );
    }
}
