//! What changed from one edition of a package to the next, one plain sentence each.

use super::Answer;
use super::Certainty;
use super::Claim;
use super::Collection;
use super::Portrait;
use super::PortraitNumber;
use super::Sitter;
use super::Transcription;
use super::View;
use super::wording;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing that is otherwise than in the edition before.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Change {
    /// The portrait concerned.
    pub portrait: PortraitNumber,
    /// What kind of change.
    pub kind: ChangeKind,
    /// What changed, a sentence.
    pub what: String,
}

/// The kinds of change.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum ChangeKind {
    /// A portrait that was not there before.
    PortraitAdded,
    /// A portrait that is no longer there.
    PortraitRemoved,
    /// A claim that was not there before.
    ClaimAdded,
    /// A claim held more surely.
    ClaimRaised,
    /// A claim held less surely.
    ClaimLowered,
    /// A claim given up.
    ClaimWithdrawn,
    /// A claim taken up again.
    ClaimRestored,
    /// A claim that is no longer there at all.
    ClaimRemoved,
    /// A scan that was not there before.
    ScanAdded,
    /// A scan with another picture or other bytes.
    ScanReplaced,
    /// A scan that is no longer there.
    ScanRemoved,
    /// Words read otherwise, or found or given up.
    WordsCorrected,
    /// Another date.
    DateChanged,
}

/// Returns what changed from `earlier` to `later`, by portrait and kind.
#[must_use]
pub fn changes(earlier: &Collection, later: &Collection) -> Vec<Change> {
    let mut found = Vec::new();
    portraits(earlier, later, &mut found);
    claims(earlier, later, &mut found);
    scans(earlier, later, &mut found);
    words(earlier, later, &mut found);
    found.sort();
    found
}

fn add(found: &mut Vec<Change>, portrait: &PortraitNumber, kind: ChangeKind, what: String) {
    found.push(Change {
        portrait: portrait.clone(),
        kind,
        what,
    });
}

fn portraits(earlier: &Collection, later: &Collection, found: &mut Vec<Change>) {
    let by_number = |collection: &Collection| -> BTreeMap<PortraitNumber, Portrait> {
        collection
            .portraits
            .iter()
            .map(|one| (one.number.clone(), one.clone()))
            .collect()
    };
    let (before, after) = (by_number(earlier), by_number(later));
    for (number, portrait) in &after {
        match before.get(number) {
            None => add(
                found,
                number,
                ChangeKind::PortraitAdded,
                format!("Portrait {number} was added."),
            ),
            Some(old) => dates(old, portrait, found),
        }
    }
    for number in before.keys().filter(|number| !after.contains_key(*number)) {
        add(
            found,
            number,
            ChangeKind::PortraitRemoved,
            format!("Portrait {number} is no longer in the package."),
        );
    }
}

fn dates(old: &Portrait, new: &Portrait, found: &mut Vec<Change>) {
    let pairs = [
        (
            "The date of the sitting",
            &old.dates.sitting,
            &new.dates.sitting,
        ),
        ("The date of this print", &old.dates.print, &new.dates.print),
        (
            "The date of framing or writing",
            &old.dates.framed,
            &new.dates.framed,
        ),
    ];
    for (what, before, after) in pairs {
        let text = |date: &Answer<super::DateEntry>| {
            date.given()
                .map_or_else(|| "not given".to_owned(), |date| date.edtf.in_words())
        };
        let (before, after) = (text(before), text(after));
        if before != after {
            add(
                found,
                &new.number,
                ChangeKind::DateChanged,
                format!("{what} was {before}, now {after}."),
            );
        }
    }
}

/// Claims are the same when they speak of the same face of the same portrait and name the same sitter.
type ClaimKey = (PortraitNumber, String, Sitter);

fn claims(earlier: &Collection, later: &Collection, found: &mut Vec<Change>) {
    let by_key = |collection: &Collection| -> BTreeMap<ClaimKey, Claim> {
        let key = |claim: &Claim| {
            (
                claim.portrait.clone(),
                claim.face.text().unwrap_or_default().to_owned(),
                claim.sitter.clone(),
            )
        };
        collection
            .claims
            .iter()
            .map(|claim| (key(claim), claim.clone()))
            .collect()
    };
    let (before, after) = (by_key(earlier), by_key(later));
    for (key, claim) in &after {
        let who = named(later, claim);
        match before.get(key) {
            None => add(
                found,
                &key.0,
                ChangeKind::ClaimAdded,
                format!(
                    "{who}: put forward as {}.",
                    wording::certainty_word(&claim.certainty)
                ),
            ),
            Some(old) => compare_claims(old, claim, &who, found),
        }
    }
    for (key, claim) in before.iter().filter(|(key, _)| !after.contains_key(*key)) {
        add(
            found,
            &key.0,
            ChangeKind::ClaimRemoved,
            format!("{}: no longer mentioned.", named(earlier, claim)),
        );
    }
}

fn compare_claims(old: &Claim, new: &Claim, who: &str, found: &mut Vec<Change>) {
    match (old.is_withdrawn(), new.is_withdrawn()) {
        (false, true) => {
            let why = new
                .withdrawn_why
                .text()
                .map(|why| format!(" ({why})"))
                .unwrap_or_default();
            return add(
                found,
                &new.portrait,
                ChangeKind::ClaimWithdrawn,
                format!("{who}: withdrawn{why}."),
            );
        }
        (true, false) => {
            return add(
                found,
                &new.portrait,
                ChangeKind::ClaimRestored,
                format!("{who}: held again."),
            );
        }
        _ => {}
    }
    let (before, after) = (surety(&old.certainty), surety(&new.certainty));
    let words = || {
        format!(
            "{who}: was {}, now {}.",
            wording::certainty_word(&old.certainty),
            wording::certainty_word(&new.certainty)
        )
    };
    match after.cmp(&before) {
        std::cmp::Ordering::Greater => add(found, &new.portrait, ChangeKind::ClaimRaised, words()),
        std::cmp::Ordering::Less => add(found, &new.portrait, ChangeKind::ClaimLowered, words()),
        std::cmp::Ordering::Equal => {}
    }
}

/// Higher is surer; nothing said is least.
fn surety(certainty: &Answer<Certainty>) -> u8 {
    match certainty.given() {
        Some(Certainty::Proved) => 6,
        Some(Certainty::Probable) => 5,
        Some(Certainty::Possible) => 4,
        Some(Certainty::Suggested) => 3,
        Some(Certainty::Doubtful) => 2,
        Some(Certainty::RuledOut) => 1,
        None => 0,
    }
}

fn named(collection: &Collection, claim: &Claim) -> String {
    match (
        wording::claimed_person(collection, claim).and_then(|person| person.name.text()),
        &claim.sitter,
    ) {
        (Some(name), _) => name.to_owned(),
        (None, Sitter::Unnamed(words)) => words.clone(),
        (None, Sitter::Person(number)) => format!("Person {number}"),
        (None, Sitter::NotSaid) => "A sitter who is not named".to_owned(),
    }
}

fn scans(earlier: &Collection, later: &Collection, found: &mut Vec<Change>) {
    let by_file = |collection: &Collection| -> BTreeMap<String, (PortraitNumber, Option<View>, Option<String>)> {
        let row = |scan: &super::Scan| {
            let portrait = scan.portrait.given().cloned().unwrap_or_default();
            (scan.file.clone(), (portrait, scan.view.given().copied(), scan.facts.sha256.clone()))
        };
        collection.scans.iter().map(row).collect()
    };
    let (before, after) = (by_file(earlier), by_file(later));
    for (file, (portrait, view, digest)) in &after {
        let what = view.map_or_else(
            || "a scan".to_owned(),
            |view| format!("the scan of the {view}"),
        );
        match before.get(file) {
            None => add(
                found,
                portrait,
                ChangeKind::ScanAdded,
                format!("Added: {what} ({file})."),
            ),
            Some((_, _, old)) if old.is_some() && digest.is_some() && old != digest => {
                add(
                    found,
                    portrait,
                    ChangeKind::ScanReplaced,
                    format!("Replaced: {what} ({file})."),
                );
            }
            Some(_) => {}
        }
    }
    for (file, (portrait, _, _)) in before.iter().filter(|(file, _)| !after.contains_key(*file)) {
        add(
            found,
            portrait,
            ChangeKind::ScanRemoved,
            format!("No longer there: {file}."),
        );
    }
}

fn words(earlier: &Collection, later: &Collection, found: &mut Vec<Change>) {
    let by_place = |collection: &Collection| -> BTreeMap<(PortraitNumber, String), Vec<String>> {
        let mut places: BTreeMap<(PortraitNumber, String), Vec<String>> = BTreeMap::new();
        for one in &collection.words {
            places
                .entry((one.portrait.clone(), place_of(one)))
                .or_default()
                .push(one.text.to_cell());
        }
        places
    };
    let (before, after) = (by_place(earlier), by_place(later));
    let nothing = Vec::new();
    let places: std::collections::BTreeSet<_> = before.keys().chain(after.keys()).collect();
    for place in places {
        let (old, new) = (
            before.get(place).unwrap_or(&nothing),
            after.get(place).unwrap_or(&nothing),
        );
        if old != new && earlier.portrait(&place.0).is_some() && later.portrait(&place.0).is_some()
        {
            let quoted = |texts: &[String]| {
                if texts.is_empty() {
                    "nothing".to_owned()
                } else {
                    format!("“{}”", texts.join("”, “"))
                }
            };
            add(
                found,
                &place.0,
                ChangeKind::WordsCorrected,
                format!(
                    "Words on the {}: were {}, now {}.",
                    place.1,
                    quoted(old),
                    quoted(new)
                ),
            );
        }
    }
}

fn place_of(words: &Transcription) -> String {
    words
        .side
        .given()
        .map_or_else(|| "object".to_owned(), |side| side.word().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Person;
    use crate::record::Standing;

    fn claim(person: &str, certainty: Certainty) -> Claim {
        Claim {
            portrait: "A-001".into(),
            sitter: Sitter::Person(person.into()),
            certainty: Answer::Given(certainty),
            ..Claim::default()
        }
    }

    fn collection(claims: Vec<Claim>) -> Collection {
        let person = |number: &str, name: &str| Person {
            number: number.into(),
            name: Answer::Given(name.to_owned()),
            ..Person::default()
        };
        Collection {
            portraits: vec![Portrait {
                number: "A-001".into(),
                ..Portrait::default()
            }],
            people: vec![person("P1", "Edwin Marrack"), person("P2", "Enoch Marrack")],
            claims,
            ..Collection::default()
        }
    }

    #[test]
    fn exactly_what_changed_is_told() {
        let earlier = collection(vec![
            claim("P1", Certainty::Possible),
            claim("P2", Certainty::Possible),
        ]);
        let mut withdrawn = claim("P2", Certainty::Possible);
        withdrawn.standing = Answer::Given(Standing::Withdrawn);
        withdrawn.withdrawn_why = Answer::Given("a dated letter names another man".to_owned());
        let later = collection(vec![claim("P1", Certainty::Probable), withdrawn]);
        let kinds: Vec<ChangeKind> = changes(&earlier, &later)
            .iter()
            .map(|change| change.kind)
            .collect();
        assert_eq!(kinds, [ChangeKind::ClaimRaised, ChangeKind::ClaimWithdrawn]);
        assert!(changes(&later, &later).is_empty());
    }

    #[test]
    fn going_back_lowers_and_restores() {
        let earlier = collection(vec![claim("P1", Certainty::Proved)]);
        let later = collection(vec![claim("P1", Certainty::Doubtful)]);
        assert_eq!(changes(&earlier, &later)[0].kind, ChangeKind::ClaimLowered);
        assert_eq!(
            changes(&earlier, &later)[0].what,
            "Edwin Marrack: was proved, now doubtful."
        );
    }
}
