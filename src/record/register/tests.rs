//! A register against the sheets themselves.

use super::*;
use crate::record::Answer;

fn collection() -> Collection {
    let portrait = |number: &str, lot: &str| Portrait {
        number: number.into(),
        lot: Answer::Given(lot.into()),
        ..Portrait::default()
    };
    let claim = |portrait: &str, sitter| Claim {
        portrait: portrait.into(),
        sitter,
        ..Claim::default()
    };
    let rights = |to: &str, why: &str| Rights {
        applies_to: Answer::Given(to.to_owned()),
        worked_out_why: Answer::Given(why.to_owned()),
        ..Rights::default()
    };
    Collection {
        portraits: vec![
            portrait("A-1", "L-1"),
            portrait("A-2", "L-2"),
            portrait("A-1", "L-2"),
        ],
        people: ["P-1", "P-2", "P-1"].map(person).into(),
        lots: ["L-1", "L-1"].map(lot).into(),
        scans: ["A-2", "A-1", "A-2"].map(scan).into(),
        claims: vec![
            claim("A-2", Sitter::Person("P-1".into())),
            claim("A-1", Sitter::Unnamed("a man".to_owned())),
            claim("A-2", Sitter::Person("P-9".into())),
            claim("A-1", Sitter::Person("P-1".into())),
        ],
        rights: vec![
            rights(" L-2 ", "the lot"),
            rights("ALL", "everything"),
            rights("A-2", "itself"),
            rights("A-2", "itself again"),
        ],
        ..Collection::default()
    }
}

fn person(number: &str) -> Person {
    Person {
        number: number.into(),
        ..Person::default()
    }
}

fn lot(number: &str) -> Lot {
    Lot {
        number: number.into(),
        ..Lot::default()
    }
}

fn scan(number: &str) -> Scan {
    Scan {
        portrait: Answer::Given(number.into()),
        ..Scan::default()
    }
}

/// What is asked, as far as it can be compared: the very rows, by where they are.
fn asked(record: &impl Lookup, number: &str) -> Vec<Vec<String>> {
    fn at<'r, T: 'r>(rows: impl IntoIterator<Item = &'r T>) -> Vec<String> {
        rows.into_iter().map(|row| format!("{row:p}")).collect()
    }
    let portrait: PortraitNumber = number.into();
    vec![
        at(record.portrait(&portrait)),
        at(record.person(&number.into())),
        at(record.lot(&number.into())),
        at(record.scans_of(&portrait)),
        at(record.claims_about(&portrait)),
        at(record.claims_naming(&number.into())),
        at(record
            .claims_about(&portrait)
            .filter_map(|claim| record.claimed(claim))),
        at(record.rights_in(number)),
    ]
}

#[test]
fn a_register_answers_what_searching_the_sheets_answers() {
    let collection = collection();
    let register = Register::of(&collection);
    let mut found = 0_usize;
    for number in [
        "A-1", "A-2", "A-3", "P-1", "P-2", "P-9", "L-1", "L-2", "all", "ALL", "",
    ] {
        let answers = asked(&register, number);
        assert_eq!(answers, asked(&collection, number), "{number}");
        found = found.saturating_add(answers.iter().flatten().count());
    }
    assert!(found > 15, "{found}");
}

#[test]
fn all_rights_that_apply_come_in_the_order_of_the_sheet() {
    let collection = collection();
    let register = Register::of(&collection);
    let why = |at: usize| -> Vec<&str> {
        let rights = register.rights_on(&collection.portraits[at]);
        rights
            .iter()
            .filter_map(|one| one.worked_out_why.text())
            .collect()
    };
    assert_eq!(why(0), ["everything"]);
    assert_eq!(why(1), ["the lot", "everything", "itself", "itself again"]);
}
