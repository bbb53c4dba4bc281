//! Who counts as living, who may be named, and what the list says of them. README, "People who may be living".

use super::super::people;
use super::*;
use crate::record::Certainty;
use crate::record::Clue;
use crate::record::Living;
use crate::record::Standing;

fn person(born: &str) -> Person {
    Person {
        number: "P1".into(),
        name: given("Saskia Venn"),
        born: if born.is_empty() {
            Answer::Blank
        } else {
            date(born)
        },
        ..Person::default()
    }
}

/// A person of whom nothing is known but a portrait that they are said to have sat for.
fn sat(certainty: Certainty, sitting: Option<&str>, print: Option<&str>) -> Collection {
    let mut portrait = Portrait {
        number: "A-001".into(),
        ..Portrait::default()
    };
    portrait.dates.sitting = sitting.map(|text| DateEntry::read(text).unwrap()).into();
    portrait.dates.print = print.map(|text| DateEntry::read(text).unwrap()).into();
    Collection {
        portraits: vec![portrait],
        people: vec![person("")],
        claims: vec![Claim {
            portrait: "A-001".into(),
            sitter: Sitter::Person("P1".into()),
            certainty: Answer::Given(certainty),
            ..Claim::default()
        }],
        ..Collection::default()
    }
}

fn lives(collection: &Collection) -> bool {
    is_presumed_living(collection, &collection.people[0], 2026)
}

#[test]
fn who_sat_long_ago_is_dead_unless_the_claim_is_not_believed() {
    for certainty in [Certainty::Proved, Certainty::Possible, Certainty::Suggested] {
        assert!(!lives(&sat(certainty, Some("1890"), None)), "{certainty:?}");
        assert!(!lives(&sat(certainty, None, Some("1890"))), "{certainty:?}");
    }
    assert!(lives(&sat(Certainty::Doubtful, Some("1890"), None)));
    assert!(lives(&sat(Certainty::RuledOut, Some("1890"), None)));
    assert!(lives(&sat(Certainty::Proved, Some("1960"), None)));
    assert!(lives(&sat(Certainty::Proved, None, None)));
    let mut withdrawn = sat(Certainty::Proved, Some("1890"), None);
    withdrawn.claims[0].standing = Answer::Given(Standing::Withdrawn);
    assert!(lives(&withdrawn));
    let mut of_another = sat(Certainty::Proved, Some("1890"), None);
    of_another.claims[0].sitter = Sitter::Person("P2".into());
    assert!(lives(&of_another));
}

#[test]
fn what_the_sheet_states_goes_before_the_rule_of_years() {
    for (stated, born, expected) in [
        (Living::Yes, "1850", true),
        (Living::Presumed, "1850", true),
        (Living::No, "1990", false),
    ] {
        let mut one = person(born);
        one.living = Answer::Given(stated);
        let lives = is_presumed_living(&Collection::default(), &one, 2026);
        assert_eq!(lives, expected, "{stated:?}");
    }
}

/// How a person stands to relatives, and why.
fn reason(person: &Person) -> Option<String> {
    let with = Collection {
        people: vec![person.clone()],
        ..Collection::default()
    };
    let withheld = for_audience(&with, Audience::Family, TODAY).withheld;
    let listed: Vec<String> = withheld
        .into_iter()
        .filter(|one| one.what == "a person")
        .map(|one| one.why)
        .collect();
    assert!(listed.len() <= 1, "{listed:?}");
    listed.into_iter().next()
}

#[test]
fn the_list_says_why_a_person_is_held_back() {
    let why = |change: &dyn Fn(&mut Person)| {
        let mut one = person("1980");
        change(&mut one);
        reason(&one).unwrap_or_default()
    };
    assert!(why(&|_| {}).contains("no consent"));
    assert!(why(&|one| one.consent = given("yes, by letter")).contains("no consent"));
    assert!(why(&|one| one.show_to = Answer::Given(ShowTo::Family)).contains("no consent"));
    assert!(why(&|one| one.consent = given("No, never")).contains("said no"));
    assert!(why(&|one| one.born = date("2008")).contains("under age"));
    assert!(why(&|one| one.show_to = Answer::Given(ShowTo::Nobody)).contains("catalogue says"));
    assert!(
        why(&|one| {
            one.show_to = Answer::Given(ShowTo::Family);
            one.consent = given("yes, by letter");
        })
        .contains("not answered")
    );
    assert_eq!(why(&|one| one.died = date("2020")), "");
    assert_eq!(why(&|one| one.born = date("1850")), "");
}

/// Eighteen by the year alone may still be seventeen by the day.
#[test]
fn minors_are_counted_by_the_year_and_end_with_death() {
    let minor = |born: &str| reason(&person(born)).is_some_and(|why| why.contains("under age"));
    assert!(minor("2026") && minor("2008"));
    assert!(!minor("2007"));
    let mut dead = person("2015");
    dead.died = date("2020");
    assert_eq!(reason(&dead), None);
    let mut stated = person("2015");
    stated.living = Answer::Given(Living::No);
    assert_eq!(reason(&stated), None);
}

#[test]
fn other_years_count_when_the_sender_says_so() {
    let with = Collection {
        people: vec![person("1920")],
        ..Collection::default()
    };
    let decisions = Decisions::default();
    let named = |living_years: i64| {
        let terms = Terms {
            living_years,
            ..terms(Audience::Family, &decisions)
        };
        under(&with, &terms).collection.people.len()
    };
    assert_eq!(named(110), 0);
    assert_eq!(named(100), 1);
}

#[test]
fn a_no_is_a_no_however_it_is_written() {
    for no in [
        "",
        " - ",
        "no",
        "No.",
        "NONE",
        "not asked",
        "never",
        "nobody asked",
        "says no",
        "He said no to it",
        "refuses",
        "declined",
        "she does not wish it",
        "did not answer",
        "yes, but not yet",
        "withdrawn 2025",
        "withdrew it",
        "objects",
        "asked not to be named",
    ] {
        assert!(people::is_refusal(no), "{no}");
    }
    for yes in [
        "yes",
        "in writing, 3 May 2026",
        "Noted by letter: agrees",
        "agreed at the table",
    ] {
        assert!(!people::is_refusal(yes), "{yes}");
    }
}

/// That somebody is claimed stays; who it is does not.
#[test]
fn a_hidden_person_leaves_rows_claims_and_clues() {
    let mut with = collection();
    with.clues = vec![Clue {
        number: "C-1".into(),
        persons: vec!["P1".into(), "P2".into()],
        ..Clue::default()
    }];
    with.claims.push(Claim {
        portrait: "A-001".into(),
        sitter: Sitter::Person("P2".into()),
        ..Claim::default()
    });
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    let numbers: Vec<&str> = left.people.iter().map(|one| one.number.as_str()).collect();
    assert_eq!(numbers, ["P2"]);
    assert_eq!(left.clues[0].persons, ["P2".into()]);
    assert_eq!(
        left.claims[0].sitter,
        Sitter::Unnamed("a person whose name is held back".to_owned())
    );
    assert_eq!(left.claims[1].sitter, Sitter::Person("P2".into()));
}

/// Whoever decides reads what would leave, and what was agreed to.
#[test]
fn the_row_of_somebody_who_agreed_is_shown_whole() {
    let mut with = collection();
    let one = &mut with.people[0];
    one.other_names = vec!["Sass".to_owned()];
    one.born_at = given("Tollen");
    one.married = given("a baker");
    one.parents = given("two of them");
    one.show_to = Answer::Given(ShowTo::Family);
    one.consent = given("yes, by letter");
    let listed = listed(&with, &terms(Audience::Family, &Decisions::default()));
    let row: Vec<&Leaving> = listed
        .iter()
        .filter(|one| one.kind == LeavingKind::Person)
        .collect();
    assert_eq!(row.len(), 1);
    assert_eq!(row[0].about, ["P1"]);
    assert!(row[0].place.contains("P1"), "{}", row[0].place);
    for words in [
        "Saskia Venn",
        "Sass",
        "born 1980",
        "at Tollen",
        "married a baker",
        "parents two of them",
        "yes, by letter",
    ] {
        assert!(row[0].words.contains(words), "{words} in {}", row[0].words);
    }
    assert!(
        outgoing(&with, &terms(Audience::Keeping, &Decisions::default()))
            .listed
            .is_empty()
    );
}
