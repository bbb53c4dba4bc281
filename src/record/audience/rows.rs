//! Whole portraits and scans that an audience does not get.

use super::HeldBack;
use super::Terms;
use super::people::reaches;
use super::table;
use super::table::FileKind;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::LotNumber;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::YesNo;
use crate::record::edition::ChangeKind;
use std::collections::BTreeSet;

/// Returns the record without the portraits, scans and lots that an audience does not get.
pub(super) fn without_held_rows(
    collection: &Collection,
    terms: &Terms<'_>,
    list: &mut HeldBack,
) -> Collection {
    let (audience, today) = (terms.audience, terms.today);
    let mut left = collection.clone();
    let record = Register::of(collection);
    let mut held = BTreeSet::new();
    for portrait in &collection.portraits {
        if let Some(why) = why_held(&record, portrait, audience, today) {
            list.add(portrait.number.as_str(), "the whole portrait", &why);
            held.insert(portrait.number.clone());
        }
    }
    remove_portraits(&mut left, &held);
    remove_altered(&mut left, audience, list);
    remove_decided(&mut left, terms, list);
    remove_private_lots(&mut left, list);
    left
}

fn why_held(
    record: &Register<'_>,
    portrait: &Portrait,
    audience: Audience,
    today: &str,
) -> Option<String> {
    if portrait
        .show_to
        .given()
        .is_some_and(|widest| !reaches(*widest, audience))
    {
        return Some("the catalogue says that it is not shown to this audience".to_owned());
    }
    // An archive takes things with their holds, and is told of them.
    if table::gets_files(FileKind::Held, audience) {
        return None;
    }
    let rights = record.rights_on(portrait);
    let holds = rights.iter().filter_map(|rights| rights.hold_until.given());
    let running = holds
        .filter_map(|until| until.edtf.bounds().1.day())
        .map(|day| day.to_string())
        .filter(|day| day.as_str() >= today)
        .max();
    running.map(|day| format!("it is held back until {day}"))
}

fn remove_portraits(collection: &mut Collection, held: &BTreeSet<PortraitNumber>) {
    if held.is_empty() {
        return;
    }
    collection
        .portraits
        .retain(|portrait| !held.contains(&portrait.number));
    collection.scans.retain(|scan| {
        scan.portrait
            .given()
            .is_none_or(|number| !held.contains(number))
    });
    collection
        .words
        .retain(|words| !held.contains(&words.portrait));
    collection
        .claims
        .retain(|claim| !held.contains(&claim.portrait));
    collection.clues.retain(|clue| {
        clue.portraits.is_empty() || clue.portraits.iter().any(|number| !held.contains(number))
    });
    collection
        .clues
        .iter_mut()
        .for_each(|clue| clue.portraits.retain(|number| !held.contains(number)));
    collection.rights.retain(|rights| {
        let number = rights.applies().map(PortraitNumber::from);
        number.is_none_or(|number| !held.contains(&number))
    });
    for edition in &mut collection.editions {
        edition.changes.retain(|change| {
            !held.contains(&change.portrait) || change.kind == Some(ChangeKind::PortraitRemoved)
        });
    }
    for portrait in &mut collection.portraits {
        portrait
            .belongs_with
            .retain(|tie| !held.contains(&tie.portrait));
        if portrait
            .copy_of
            .given()
            .is_some_and(|number| held.contains(number))
        {
            portrait.copy_of = crate::record::Answer::Blank;
        }
    }
}

/// Altered versions spread wrong likenesses.
fn remove_altered(collection: &mut Collection, audience: Audience, list: &mut HeldBack) {
    if table::gets_files(FileKind::Altered, audience) {
        return;
    }
    for scan in collection.scans.iter().filter(|scan| scan.is_altered()) {
        let of = scan
            .portrait
            .given()
            .map(PortraitNumber::as_str)
            .unwrap_or_default();
        list.add(
            of,
            "an altered version",
            "altered versions are illustrations, not evidence, and spread wrong likenesses",
        );
    }
    collection.scans.retain(|scan| !scan.is_altered());
}

/// Scans in whose captions or names a person found something that must not leave.
fn remove_decided(collection: &mut Collection, terms: &Terms<'_>, list: &mut HeldBack) {
    for scan in &collection.scans {
        if terms.decisions.leaves_out(&scan.file) {
            list.add(
                scan.portrait
                    .given()
                    .map(PortraitNumber::as_str)
                    .unwrap_or_default(),
                "a scan",
                "what is written in the file or in its name concerns somebody who may be living",
            );
        }
    }
    collection
        .scans
        .retain(|scan| !terms.decisions.leaves_out(&scan.file));
}

fn remove_private_lots(collection: &mut Collection, list: &mut HeldBack) {
    let private: BTreeSet<LotNumber> = collection
        .lots
        .iter()
        .filter(|lot| lot.private.given() == Some(&YesNo::Yes))
        .map(|lot| lot.number.clone())
        .collect();
    for number in &private {
        list.add(
            number.as_str(),
            "how this lot came",
            "the catalogue says that it is private",
        );
    }
    collection.lots.retain(|lot| !private.contains(&lot.number));
}
