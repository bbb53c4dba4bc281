//! What changed from one edition to the next, one plain sentence each.

use super::Change;
use super::ChangeKind;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::DateEntry;
use crate::record::Lookup;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Scan;
use crate::record::ScanFacts;
use crate::record::Sitter;
use crate::record::Transcription;
use crate::record::View;
use crate::record::wording;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Returns what changed from `earlier` to `later`, by portrait and kind. Of a portrait that came or went, that alone is told.
#[must_use]
pub fn changes(earlier: &Collection, later: &Collection) -> Vec<Change> {
    let mut found = Vec::new();
    portraits(earlier, later, &mut found);
    let both = Both { earlier, later };
    claims(both, &mut found);
    scans(both, &mut found);
    words(both, &mut found);
    sort(&mut found);
    found
}

/// Puts changes into order: by portrait, by kind, by words.
pub fn sort(changes: &mut [Change]) {
    changes.sort_by(|one, other| {
        (&one.portrait, one.kind, &one.what).cmp(&(&other.portrait, other.kind, &other.what))
    });
}

/// Two editions.
#[derive(Clone, Copy)]
struct Both<'a> {
    earlier: &'a Collection,
    later: &'a Collection,
}

impl Both<'_> {
    fn have(self, number: &PortraitNumber) -> bool {
        self.earlier.portrait(number).is_some() && self.later.portrait(number).is_some()
    }
}

fn add(found: &mut Vec<Change>, portrait: &PortraitNumber, kind: ChangeKind, what: String) {
    found.push(Change {
        portrait: portrait.clone(),
        kind: Some(kind),
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
        let text = |date: &Answer<DateEntry>| {
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

fn claims(both: Both<'_>, found: &mut Vec<Change>) {
    let Both { earlier, later } = both;
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
            .filter(|claim| both.have(&claim.portrait))
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
        collection
            .claimed(claim)
            .and_then(|person| person.name.text()),
        &claim.sitter,
    ) {
        (Some(name), _) => name.to_owned(),
        (None, Sitter::Unnamed(words)) => words.clone(),
        (None, Sitter::Person(number)) => format!("Person {number}"),
        (None, Sitter::NotSaid) => "A sitter who is not named".to_owned(),
    }
}

/// A scan of an edition: its portrait, its view, and what was found in it.
type ScanRow<'a> = (PortraitNumber, Option<View>, &'a ScanFacts);

fn scans_by_file<'a>(collection: &'a Collection, both: Both<'_>) -> BTreeMap<String, ScanRow<'a>> {
    let row = |scan: &'a Scan| {
        let portrait = scan.portrait.given()?.clone();
        let view = scan.view.given().copied();
        let row = (portrait, view, &scan.facts);
        both.have(&row.0).then(|| (scan.file.clone(), row))
    };
    collection.scans.iter().filter_map(row).collect()
}

fn scans(both: Both<'_>, found: &mut Vec<Change>) {
    let before = scans_by_file(both.earlier, both);
    let after = scans_by_file(both.later, both);
    for (file, (portrait, view, facts)) in &after {
        let what = view.map_or_else(
            || "a scan".to_owned(),
            |view| format!("the scan of the {view}"),
        );
        let (kind, word) = match before.get(file) {
            None => (ChangeKind::ScanAdded, "Added"),
            Some((_, _, old)) if is_other_picture(old, facts) => {
                (ChangeKind::ScanReplaced, "Replaced")
            }
            Some(_) => continue,
        };
        add(found, portrait, kind, format!("{word}: {what} ({file})."));
    }
    for (file, (portrait, _, _)) in before.iter().filter(|(file, _)| !after.contains_key(*file)) {
        let what = format!("No longer there: {file}.");
        add(found, portrait, ChangeKind::ScanRemoved, what);
    }
}

/// The picture decides where both editions know its digest: a title typed into the file makes no other scan.
fn is_other_picture(old: &ScanFacts, new: &ScanFacts) -> bool {
    let differ = |old: &Option<String>, new: &Option<String>| {
        old.as_ref().zip(new.as_ref()).map(|(old, new)| old != new)
    };
    differ(&old.picture_digest, &new.picture_digest)
        .or_else(|| differ(&old.sha256, &new.sha256))
        .unwrap_or(false)
}

fn words(both: Both<'_>, found: &mut Vec<Change>) {
    let Both { earlier, later } = both;
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
    let places: BTreeSet<_> = before.keys().chain(after.keys()).collect();
    for place in places {
        let (old, new) = (
            before.get(place).unwrap_or(&nothing),
            after.get(place).unwrap_or(&nothing),
        );
        if old != new && both.have(&place.0) {
            let quoted = |texts: &[String]| {
                if texts.is_empty() {
                    "nothing".to_owned()
                } else {
                    let lines = texts.join("”, “").replace("\r\n", "\n");
                    format!("“{}”", lines.replace('\n', " / "))
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
            .filter_map(|change| change.kind)
            .collect();
        assert_eq!(kinds, [ChangeKind::ClaimRaised, ChangeKind::ClaimWithdrawn]);
        assert!(changes(&later, &later).is_empty());
    }

    #[test]
    fn going_back_lowers_and_restores() {
        let earlier = collection(vec![claim("P1", Certainty::Proved)]);
        let later = collection(vec![claim("P1", Certainty::Doubtful)]);
        assert_eq!(
            changes(&earlier, &later)[0].kind,
            Some(ChangeKind::ClaimLowered)
        );
        assert_eq!(
            changes(&earlier, &later)[0].what,
            "Edwin Marrack: was proved, now doubtful."
        );
    }

    #[test]
    fn of_a_portrait_that_came_or_went_that_alone_is_told() {
        let with = collection(vec![claim("P1", Certainty::Possible)]);
        let without = Collection {
            portraits: Vec::new(),
            ..with.clone()
        };
        let told = |earlier, later| -> Vec<String> {
            changes(earlier, later)
                .into_iter()
                .map(|change| change.what)
                .collect()
        };
        assert_eq!(told(&without, &with), ["Portrait A-001 was added."]);
        assert_eq!(
            told(&with, &without),
            ["Portrait A-001 is no longer in the package."]
        );
    }

    #[test]
    fn the_picture_decides_whether_a_scan_was_replaced() {
        let facts = |sha256: &str, picture: Option<&str>| ScanFacts {
            sha256: Some(sha256.to_owned()),
            picture_digest: picture.map(str::to_owned),
            ..ScanFacts::default()
        };
        assert!(!is_other_picture(
            &facts("1", Some("p")),
            &facts("2", Some("p"))
        ));
        assert!(is_other_picture(
            &facts("1", Some("p")),
            &facts("1", Some("q"))
        ));
        assert!(is_other_picture(&facts("1", None), &facts("2", Some("q"))));
        assert!(!is_other_picture(&ScanFacts::default(), &facts("2", None)));
    }
}
