//! Rows that name other rows: unknown numbers, and numbers given twice.

use super::cell::cell;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;
use crate::record::ClueNumber;
use crate::record::PersonNumber;
use crate::record::Register;
use crate::record::Row;
use crate::record::Sitter;
use std::cell::LazyCell;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// Checks every number in the catalogue.
pub(super) fn check(register: &Register<'_>, concerns: &mut ConcernList) {
    duplicates(register, concerns);
    portraits(register, concerns);
    scans(register, concerns);
    words_and_claims(register, concerns);
    clues(register, concerns);
    rights(register, concerns);
}

/// Tells of each number that stands in more than one row.
fn twice<'a>(
    rows: impl Iterator<Item = (&'a str, Row)>,
    (code, severity): (&'static str, Severity),
    place: impl Fn(Row) -> Place,
    what: &str,
    concerns: &mut ConcernList,
) {
    let mut first: HashMap<&str, Row> = HashMap::with_capacity(rows.size_hint().1.unwrap_or(0));
    for (number, row) in rows.filter(|(number, _)| !number.is_empty()) {
        let earlier = match first.entry(number) {
            Entry::Occupied(earlier) => *earlier.get(),
            Entry::Vacant(free) => {
                free.insert(row);
                continue;
            }
        };
        let also = earlier
            .0
            .map_or_else(String::new, |row| format!(" It stands in row {row} too."));
        concerns.push(crate::concern::Concern::new(
            code,
            severity,
            place(row),
            format!("{what} {number} is given twice.{also}"),
            "Give each row a number of its own.",
        ));
    }
}

fn duplicates(register: &Register<'_>, concerns: &mut ConcernList) {
    let all = register.collection();
    twice(
        all.portraits
            .iter()
            .map(|one| (one.number.as_str(), one.row)),
        ("duplicate-portrait-number", Severity::Stop),
        |row| cell(&columns::PORTRAITS, row, "Portrait no."),
        "The portrait number",
        concerns,
    );
    twice(
        all.scans.iter().map(|one| (one.file.as_str(), one.row)),
        ("duplicate-scan-file", Severity::Stop),
        |row| cell(&columns::SCANS, row, "File name now"),
        "The file",
        concerns,
    );
    twice(
        all.people.iter().map(|one| (one.number.as_str(), one.row)),
        ("duplicate-person-number", Severity::Warning),
        |row| cell(&columns::PEOPLE, row, "Person no."),
        "The person number",
        concerns,
    );
    twice(
        all.clues.iter().map(|one| (one.number.as_str(), one.row)),
        ("duplicate-clue-number", Severity::Warning),
        |row| cell(&columns::CLUES, row, "Clue no."),
        "The clue number",
        concerns,
    );
    twice(
        all.lots.iter().map(|one| (one.number.as_str(), one.row)),
        ("duplicate-lot-number", Severity::Warning),
        |row| cell(&columns::LOTS, row, "Lot no."),
        "The lot number",
        concerns,
    );
    for portrait in all.portraits.iter().filter(|one| one.number.is_empty()) {
        concerns.stop(
            "portrait-without-number",
            cell(&columns::PORTRAITS, portrait.row, "Portrait no."),
            "This portrait has no number.",
            "Give it a short number, for example A-001; its files are named after it.",
        );
    }
}

fn portraits(register: &Register<'_>, concerns: &mut ConcernList) {
    for portrait in &register.collection().portraits {
        let place = |heading| {
            cell(&columns::PORTRAITS, portrait.row, heading).of_portrait(&portrait.number)
        };
        if let Some(lot) = portrait
            .lot
            .given()
            .filter(|lot| register.lot(lot.as_str()).is_none())
        {
            unknown(
                concerns,
                "unknown-lot",
                place("Lot no."),
                "lot",
                lot.as_str(),
                "How it came",
            );
        }
        for companion in &portrait.belongs_with {
            if register.portrait(companion.portrait.as_str()).is_none() {
                unknown(
                    concerns,
                    "unknown-portrait",
                    place("Belongs with"),
                    "portrait",
                    companion.portrait.as_str(),
                    "Portraits",
                );
            }
        }
        if let Some(original) = portrait.copy_of.given() {
            if register.portrait(original.as_str()).is_none() {
                unknown(
                    concerns,
                    "unknown-portrait",
                    place("Copy of"),
                    "portrait",
                    original.as_str(),
                    "Portraits",
                );
            } else if original == &portrait.number {
                concerns.warning(
                    "copy-of-itself",
                    place("Copy of"),
                    "The portrait is given as a copy of itself.",
                    "Name the portrait that it was copied from, or empty the cell.",
                );
            }
        }
    }
}

fn scans(register: &Register<'_>, concerns: &mut ConcernList) {
    let names: LazyCell<BTreeSet<&str>, _> = LazyCell::new(|| {
        let scans = register.collection().scans.iter();
        scans.map(super::evidence::file_name).collect()
    });
    for scan in &register.collection().scans {
        let place = |heading| {
            let place = cell(&columns::SCANS, scan.row, heading);
            Place {
                file: Some(scan.file.clone()),
                ..place
            }
        };
        if let Some(number) = scan
            .portrait
            .given()
            .filter(|number| register.portrait(number.as_str()).is_none())
        {
            concerns.stop(
                "scan-of-unknown-portrait",
                place("Portrait no."),
                format!("The scan is assigned to portrait {number}, and there is no such row in “Portraits”."),
                "Correct the number, or add the portrait.",
            );
        }
        let original = scan.altered_from.text().filter(|_| scan.is_altered());
        if let Some(file) = original.filter(|file| register.scan(file).is_none()) {
            if !names.contains(file) {
                unknown(
                    concerns,
                    "unknown-file",
                    place("Altered from"),
                    "file",
                    file,
                    "Scans",
                );
            }
        } else if scan.is_altered() && original.is_none() {
            concerns.warning(
                "altered-from-nothing",
                place("Altered from"),
                "It is not said from which file this altered version was made.",
                "Name the untouched scan: an altered version is an illustration, never evidence.",
            );
        }
    }
}

fn words_and_claims(register: &Register<'_>, concerns: &mut ConcernList) {
    for words in &register.collection().words {
        if register.portrait(words.portrait.as_str()).is_none() {
            let place = cell(&columns::WORDS, words.row, "Portrait no.");
            unknown(
                concerns,
                "unknown-portrait",
                place,
                "portrait",
                words.portrait.as_str(),
                "Portraits",
            );
        }
    }
    for claim in &register.collection().claims {
        let place =
            |heading| cell(&columns::CLAIMS, claim.row, heading).of_portrait(&claim.portrait);
        if register.portrait(claim.portrait.as_str()).is_none() {
            unknown(
                concerns,
                "unknown-portrait",
                place("Portrait no."),
                "portrait",
                claim.portrait.as_str(),
                "Portraits",
            );
        }
        if let Sitter::Person(number) = &claim.sitter
            && register.person(number.as_str()).is_none()
        {
            unknown(
                concerns,
                "unknown-person",
                place("Person no. or unknown man"),
                "person",
                number.as_str(),
                "People",
            );
        }
        for (numbers, heading) in [
            (&claim.clues_for, "Clues for"),
            (&claim.clues_against, "Clues against"),
        ] {
            for number in numbers.iter().map(ClueNumber::as_str) {
                if register.clue(number).is_none() {
                    unknown(
                        concerns,
                        "unknown-clue",
                        place(heading),
                        "clue",
                        number,
                        "Clues",
                    );
                }
            }
        }
    }
}

fn clues(register: &Register<'_>, concerns: &mut ConcernList) {
    for clue in &register.collection().clues {
        for number in &clue.portraits {
            if register.portrait(number.as_str()).is_none() {
                let place = cell(&columns::CLUES, clue.row, "About portrait");
                unknown(
                    concerns,
                    "unknown-portrait",
                    place,
                    "portrait",
                    number.as_str(),
                    "Portraits",
                );
            }
        }
        for number in clue.persons.iter().map(PersonNumber::as_str) {
            if register.person(number).is_none() {
                let place = cell(&columns::CLUES, clue.row, "About person");
                unknown(
                    concerns,
                    "unknown-person",
                    place,
                    "person",
                    number,
                    "People",
                );
            }
        }
    }
}

fn rights(register: &Register<'_>, concerns: &mut ConcernList) {
    for rights in &register.collection().rights {
        let Some(number) = rights.applies_to.text() else {
            continue;
        };
        let number = number.trim();
        let known = number.eq_ignore_ascii_case("all")
            || register.portrait(number).is_some()
            || register.lot(number).is_some();
        if !known {
            let place = cell(&columns::RIGHTS, rights.row, "Applies to");
            unknown(
                concerns,
                "unknown-portrait",
                place,
                "portrait or lot",
                number,
                "Portraits” and “How it came",
            );
        }
    }
}

fn unknown(
    concerns: &mut ConcernList,
    code: &'static str,
    place: Place,
    kind: &str,
    number: &str,
    sheet: &str,
) {
    if number.is_empty() {
        return;
    }
    concerns.warning(
        code,
        place,
        format!("There is no {kind} {number} in “{sheet}”."),
        "Correct the number, or add the row.",
    );
}
