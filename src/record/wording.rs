//! How kithbag speaks of sitters and dates, so that a belief never reads as a fact.
//!
//! One rule, used by every place that shows a person: a bare name stands only for a proved sitter; a probable one always
//! carries the word "probably"; anything less is "unidentified".

use super::Answer;
use super::Certainty;
use super::Claim;
use super::Lookup;
use super::Portrait;
use super::PortraitKind;
use super::Sitter;

/// What may be said of a portrait's sitters in titles, captions and person fields.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Naming {
    /// Sitters who are proved, in the order of the sheet.
    Proved(Vec<String>),
    /// Sitters of whom at least one is only probable; the words already carry "probably" where it belongs.
    Probable(Vec<String>),
    /// Nobody who may be named. The text says what can be seen: "man", "woman", "child", or "person".
    Unidentified(String),
}

impl Naming {
    /// Returns the words for a title or caption, for example "Probably Cora Marrack" or "Unidentified man".
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Proved(names) => names.join(" and "),
            Self::Probable(names) => capitalised(&names.join(" and ")),
            Self::Unidentified(seen) => format!("Unidentified {seen}"),
        }
    }
}

/// Returns what may be said of a portrait's sitters.
#[must_use]
pub fn naming(record: &impl Lookup, portrait: &Portrait) -> Naming {
    let claims = record.claims_about(&portrait.number);
    let held: Vec<&Claim> = claims.filter(|claim| !claim.is_withdrawn()).collect();
    let mut names = Vec::new();
    let mut all_proved = true;
    for claim in &held {
        let Some(name) = record.claimed(claim).and_then(|person| person.name.text()) else {
            continue;
        };
        match claim.certainty.given() {
            Some(Certainty::Proved) => names.push(name.to_owned()),
            Some(Certainty::Probable) => {
                all_proved = false;
                names.push(format!("probably {name}"));
            }
            _ => {}
        }
    }
    match (names.is_empty(), all_proved) {
        (true, _) => Naming::Unidentified(seen(&held, portrait)),
        (false, true) => Naming::Proved(names),
        (false, false) => Naming::Probable(names),
    }
}

/// Returns the title: as printed by the maker, or devised in square brackets. [Graphic Materials (Betz 1982) 1C, 0J]
#[must_use]
pub fn title(record: &impl Lookup, portrait: &Portrait) -> String {
    match portrait.title_as_printed.text() {
        Some(printed) => printed.to_owned(),
        None => format!("[{}]", devised_title(record, portrait)),
    }
}

fn devised_title(record: &impl Lookup, portrait: &Portrait) -> String {
    let who = match naming(record, portrait) {
        Naming::Proved(names) => names.join(" and "),
        Naming::Probable(names) => names.join(" and "),
        Naming::Unidentified(seen) if is_plural(&seen) => format!("unidentified {seen}"),
        Naming::Unidentified(seen) => format!("an unidentified {seen}"),
    };
    if portrait.kind.given() == Some(&PortraitKind::Paper) {
        return "Paper that came with the portraits".to_owned();
    }
    format!("Portrait of {who}")
}

/// Returns one plain sentence for captions: who, by the rule of this module, and when.
#[must_use]
pub fn caption(record: &impl Lookup, portrait: &Portrait) -> String {
    let who = naming(record, portrait).words();
    match shown_date(portrait) {
        Some(date) => format!("{who}, {date}"),
        None => who,
    }
}

/// Returns the date that a caption shows: of this print, or else of the sitting, in words.
#[must_use]
pub fn shown_date(portrait: &Portrait) -> Option<String> {
    let print = portrait
        .dates
        .print
        .given()
        .map(|date| date.edtf.in_words());
    print.or_else(|| {
        portrait
            .dates
            .sitting
            .given()
            .map(|date| format!("sitting {}", date.edtf.in_words()))
    })
}

/// Returns the word for a certainty, or "not said".
#[must_use]
pub fn certainty_word(certainty: &Answer<Certainty>) -> &'static str {
    certainty.given().map_or("not said", |one| one.word())
}

/// What can be seen of an unnamed sitter: from the column "What it shows" or words such as "unknown man", never from a
/// candidate's name.
fn seen(claims: &[&Claim], portrait: &Portrait) -> String {
    let unnamed = claims.iter().find_map(|claim| match &claim.sitter {
        Sitter::Unnamed(text) => seen_word(text),
        _ => None,
    });
    let word = portrait.shows.text().and_then(seen_word).or(unnamed);
    word.unwrap_or(if portrait.kind.given() == Some(&PortraitKind::Paper) {
        "paper"
    } else {
        "sitter"
    })
    .to_owned()
}

fn seen_word(text: &str) -> Option<&'static str> {
    const WORDS: [&str; 14] = [
        "man", "woman", "boy", "girl", "child", "baby", "couple", "family", "group", "men",
        "women", "boys", "girls", "children",
    ];
    let lower = text.to_lowercase();
    lower
        .split(|c: char| !c.is_alphabetic())
        .find_map(|part| WORDS.iter().find(|word| part == **word).copied())
}

fn is_plural(word: &str) -> bool {
    matches!(word, "men" | "women" | "boys" | "girls" | "children")
}

fn capitalised(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(characters).collect()
    })
}
