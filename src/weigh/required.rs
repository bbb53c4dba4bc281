//! What is missing: cells to fill, fronts and backs, files that no row names, dates without reasons.

use super::FoundFile;
use super::cell::cell;
use super::evidence::Evidence;
use crate::catalogue::columns;
use crate::catalogue::columns::SheetPlan;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::Answer;
use crate::record::DateEntry;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Register;
use crate::record::Row;
use crate::record::Sitter;
use crate::record::View;
use std::collections::BTreeSet;

/// Returns what a portrait lacks, in plain words, and adds the concerns.
pub(super) fn check_portrait(
    evidence: &Evidence<'_>,
    portrait: &Portrait,
    concerns: &mut ConcernList,
) -> Vec<String> {
    let mut missing = Vec::new();
    for (words, is_blank) in [
        ("what it is", portrait.kind.is_blank()),
        ("its lot", portrait.lot.is_blank()),
    ] {
        if is_blank {
            missing.push(words.to_owned());
        }
    }
    views(evidence.register, portrait, concerns, &mut missing);
    dates(portrait, concerns);
    if super::clue_table::size_contradicts_kind(portrait) {
        concerns.question(
            "size-not-of-kind",
            cell(&columns::PORTRAITS, portrait.row, "Height").of_portrait(&portrait.number),
            "The size is more than a quarter of an inch away from the usual mount of this kind.",
            "Measure the mount again, say in “What was measured” what the size is of, or choose another kind.",
        );
    }
    missing
}

/// Cells that a person should please fill, each column told once.
fn still_empty(register: &Register<'_>, concerns: &mut ConcernList) {
    let all = register.collection();
    let claims = || {
        all.claims
            .iter()
            .filter(|claim| claim.sitter != Sitter::NotSaid)
    };
    let mut say = |sheet, heading, rows: &mut dyn Iterator<Item = (Row, bool)>| {
        still_empty_in(sheet, heading, rows, concerns);
    };
    say(
        &columns::PORTRAITS,
        "What it is",
        &mut all
            .portraits
            .iter()
            .map(|one| (one.row, one.kind.is_blank())),
    );
    say(
        &columns::PORTRAITS,
        "Lot no.",
        &mut all
            .portraits
            .iter()
            .map(|one| (one.row, one.lot.is_blank())),
    );
    say(
        &columns::SCANS,
        "Portrait no.",
        &mut all
            .scans
            .iter()
            .map(|one| (one.row, one.portrait.is_blank())),
    );
    say(
        &columns::SCANS,
        "View",
        &mut all.scans.iter().map(|one| (one.row, one.view.is_blank())),
    );
    say(
        &columns::PEOPLE,
        "Name as best known",
        &mut all.people.iter().map(|one| (one.row, one.name.is_blank())),
    );
    say(
        &columns::CLAIMS,
        "Said by",
        &mut claims().map(|one| (one.row, one.said_by.is_blank())),
    );
    say(
        &columns::CLAIMS,
        "Said on",
        &mut claims().map(|one| (one.row, one.said_on.is_blank())),
    );
}

fn still_empty_in(
    sheet: &SheetPlan,
    heading: &'static str,
    rows: &mut dyn Iterator<Item = (Row, bool)>,
    concerns: &mut ConcernList,
) {
    let mut blank = rows.filter(|(_, is_blank)| *is_blank).map(|(row, _)| row);
    let Some(first) = blank.next() else {
        return;
    };
    let count = blank.count().saturating_add(1);
    let what = if count == 1 {
        format!("“{heading}” is still empty in one row.")
    } else {
        format!("“{heading}” is still empty in {count} rows, this one first.")
    };
    concerns.note(
        "still-empty",
        cell(sheet, first, heading),
        what,
        "Please fill it; write nk for not known, na for does not apply.",
    );
}

/// Looks for front and back, or for the reasons why there is none.
fn views(
    register: &Register<'_>,
    portrait: &Portrait,
    concerns: &mut ConcernList,
    missing: &mut Vec<String>,
) {
    let place =
        |heading| cell(&columns::PORTRAITS, portrait.row, heading).of_portrait(&portrait.number);
    if portrait.not_scanned_because.is_given() {
        return;
    }
    let scans = register.scans_of(&portrait.number);
    let untouched = |view: View| {
        scans
            .iter()
            .any(|scan| !scan.is_altered() && scan.view.given() == Some(&view))
    };
    let front = untouched(View::Front) || untouched(View::FrameFront);
    let back = untouched(View::Back) || untouched(View::FrameBack);
    if !front {
        missing.push("a view of the front".to_owned());
        if scans.iter().any(|scan| scan.is_altered()) {
            concerns.warning(
                "only-altered-front",
                place("Portrait no."),
                "The only picture of the front is an altered version.",
                "Scan the object itself: an altered version is an illustration, never evidence.",
            );
        } else {
            concerns.warning(
                "no-front",
                place("Why not scanned"),
                "There is no scan of the front.",
                "Add one in “Scans”, or say in “Why not scanned” why there is none.",
            );
        }
    }
    let paper = portrait.kind.given() == Some(&PortraitKind::Paper);
    if !back && !paper && !portrait.no_back_because.is_given() {
        missing.push("a view of the back".to_owned());
        concerns.question(
            "no-back",
            place("Why no back view"),
            "There is no scan of the back. Is there nothing on it?",
            "Scan the back, or say in “Why no back view” why there is none.",
        );
    }
}

/// Dates that ask for their reasons. [DCRM(G): "Indicate the basis for the conjecture in a note"]
fn dates(portrait: &Portrait, concerns: &mut ConcernList) {
    if portrait.dates.basis.is_given() {
        return;
    }
    let asks =
        |date: &Answer<DateEntry>| date.given().is_some_and(|date| date.edtf.asks_for_basis());
    let dates = &portrait.dates;
    if [&dates.sitting, &dates.print, &dates.framed]
        .into_iter()
        .any(asks)
    {
        concerns.warning(
            "date-without-basis",
            cell(&columns::PORTRAITS, portrait.row, "Why those dates")
                .of_portrait(&portrait.number),
            "A date is estimated or left open, and nobody says why.",
            "Write the reasons down: later readers can only judge the date by them.",
        );
    }
}

/// Checks what the other sheets leave empty, and the files.
pub(super) fn check_rest(
    register: &Register<'_>,
    files: Option<&[FoundFile]>,
    concerns: &mut ConcernList,
) {
    still_empty(register, concerns);
    people(register, concerns);
    for clue in &register.collection().clues {
        if clue.says.is_given() && !clue.source.is_given() {
            concerns.warning(
                "clue-without-source",
                cell(&columns::CLUES, clue.row, "Where it comes from"),
                format!("Clue {} does not say where it comes from.", clue.number),
                "Write down enough to find it again; a clue without a source convinces nobody later.",
            );
        }
    }
    if let Some(files) = files {
        unmatched(register, files, concerns);
    }
}

fn people(register: &Register<'_>, concerns: &mut ConcernList) {
    for person in &register.collection().people {
        let born_late = match (person.born.given(), person.died.given()) {
            (Some(born), Some(died)) => {
                let (first, _) = born.edtf.generous_bounds();
                let (_, last) = died.edtf.generous_bounds();
                first
                    .day()
                    .zip(last.day())
                    .is_some_and(|(first, last)| last < first)
            }
            _ => false,
        };
        if born_late {
            concerns.warning(
                "died-before-born",
                cell(&columns::PEOPLE, person.row, "Died"),
                format!("{} is given as dead before being born.", person.number),
                "Correct “Born” or “Died”.",
            );
        }
    }
}

/// Files that no row names, and rows whose file is not there.
fn unmatched(register: &Register<'_>, files: &[FoundFile], concerns: &mut ConcernList) {
    let found: BTreeSet<&str> = files.iter().map(|file| file.path.as_str()).collect();
    for path in &found {
        if register.scan(path).is_none() {
            concerns.warning(
                "file-not-in-catalogue",
                Place::file(*path),
                "No row of “Scans” names this file, so it will not be packed.",
                "Run survey again to add it, or move it out of the collection.",
            );
        }
    }
    for scan in &register.collection().scans {
        if !scan.file.is_empty() && !found.contains(scan.file.as_str()) {
            let place = cell(&columns::SCANS, scan.row, "File name now");
            concerns.warning(
                "file-not-found",
                Place {
                    file: Some(scan.file.clone()),
                    ..place
                },
                "The file is not in the collection.",
                "Correct the name, or put the file back.",
            );
        }
    }
}

/// Clues that rest on an altered version.
pub(super) fn altered_evidence(evidence: &Evidence<'_>, concerns: &mut ConcernList) {
    for clue in &evidence.register.collection().clues {
        if evidence.rests_on_altered(clue) {
            concerns.warning(
                "altered-as-evidence",
                cell(&columns::CLUES, clue.row, "Where it comes from"),
                format!("Clue {} rests on a version that was altered by hand or by a program; it is left out of all weighing.", clue.number),
                "Look at the untouched scan and name that: an altered version is an illustration, not evidence.",
            );
        }
    }
}
