//! Weighing, on published date vectors, on the invented demonstrations, and on what must always hold.

#![allow(
    clippy::arithmetic_side_effects,
    clippy::too_many_lines,
    reason = "a test may fail loudly, and a table of cases may be long"
)]

mod clues;
mod directories;
mod laws;
mod order;
mod pair;
mod rows;
mod tillyard;
mod vectors;

use super::DateResult;
use super::PortraitWeighing;
use super::WeighOptions;
use super::Weighing;
use super::weigh;
use crate::concern::Concern;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Clue;
use crate::record::ClueKind;
use crate::record::Collection;
use crate::record::DateEntry;
use crate::record::DateTarget;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Hardness;
use crate::record::Listing;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Sitter;
use crate::record::Transcription;
use crate::record::WrittenIn;
use crate::record::YesNo;

fn given(text: &str) -> Answer<String> {
    Answer::Given(text.to_owned())
}

fn date(text: &str) -> Answer<DateEntry> {
    if text.is_empty() {
        return Answer::Blank;
    }
    Answer::Given(DateEntry::read(text).unwrap_or_else(|fault| panic!("{text}: {fault}")))
}

fn portrait(number: &str, kind: PortraitKind) -> Portrait {
    Portrait {
        number: number.into(),
        kind: Answer::Given(kind),
        ..Portrait::default()
    }
}

fn person(number: &str, name: &str, born: &str, died: &str) -> Person {
    Person {
        number: number.into(),
        name: given(name),
        born: date(born),
        died: date(died),
        ..Person::default()
    }
}

fn claim(portrait: &str, person: &str, certainty: Certainty) -> Claim {
    Claim {
        portrait: portrait.into(),
        sitter: Sitter::Person(person.into()),
        certainty: Answer::Given(certainty),
        said_by: given("the cataloguer"),
        said_on: date("2026"),
        ..Claim::default()
    }
}

fn clue(number: &str, portrait: &str, kind: ClueKind, says: &str, gives: &str) -> Clue {
    Clue {
        number: number.into(),
        portraits: vec![portrait.into()],
        kind: Answer::Given(kind),
        says: given(says),
        source: given(&format!("source of {number}")),
        date: date(gives),
        ..Clue::default()
    }
}

fn hard(clue: Clue, target: DateTarget) -> Clue {
    Clue {
        hardness: Answer::Given(Hardness::Hard),
        date_target: Answer::Given(target),
        ..clue
    }
}

fn words(portrait: &str, text: &str, written_in: WrittenIn) -> Transcription {
    Transcription {
        portrait: portrait.into(),
        text: given(text),
        written_in: Answer::Given(written_in),
        ..Transcription::default()
    }
}

fn listings(maker: &str, address: &str, years: &[(i64, bool)]) -> Vec<Listing> {
    years
        .iter()
        .map(|(year, listed)| Listing {
            maker: given(maker),
            address: given(address),
            year: given(&year.to_string()),
            listed: Answer::Given(if *listed { YesNo::Yes } else { YesNo::No }),
            source: given(&format!("directory of {year}")),
            ..Listing::default()
        })
        .collect()
}

/// A portrait of which nothing is known, with these clues on it.
fn with(clues: Vec<Clue>) -> Collection {
    Collection {
        portraits: vec![portrait("1", PortraitKind::Other)],
        clues,
        ..Collection::default()
    }
}

fn weighed(collection: &Collection) -> Weighing {
    weigh(
        collection,
        &WeighOptions::as_of(Day::from_iso("2026-11-25").unwrap()),
    )
}

fn only(weighing: &Weighing) -> &PortraitWeighing {
    &weighing.portraits[0]
}

fn of<'a>(weighing: &'a Weighing, number: &str) -> &'a PortraitWeighing {
    weighing.portrait(&number.into()).unwrap()
}

fn text(date: Option<&Edtf>) -> &str {
    date.map_or("", Edtf::as_str)
}

fn estimate(result: Option<&DateResult>) -> &str {
    text(result.and_then(|result| result.estimate.as_ref()))
}

fn limits(result: Option<&DateResult>) -> &str {
    text(result.and_then(|result| result.limits.as_ref()))
}

fn concerns<'a>(weighing: &'a Weighing, code: &str) -> Vec<&'a Concern> {
    weighing
        .concerns
        .iter()
        .filter(|concern| concern.code == code)
        .collect()
}

fn of_portrait<'a>(weighing: &'a Weighing, code: &str, number: &str) -> Option<&'a Concern> {
    concerns(weighing, code)
        .into_iter()
        .find(|concern| concern.place.portrait.as_deref() == Some(number))
}
