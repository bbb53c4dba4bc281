//! Nine combinations of clues with known answers. The intervals of process, format and stamp are published (see the clue
//! table); how they combine is kithbag's own rule: hard clues intersect, soft ones narrow, nobody sits after the print.

use super::*;
use crate::concern::Severity;

fn stamped_card() -> Collection {
    Collection {
        portraits: vec![portrait("1", PortraitKind::CarteDeVisite)],
        clues: vec![clue("C-1", "1", ClueKind::Object, "2¢ revenue stamp", "")],
        ..Collection::default()
    }
}

fn enlargement() -> Collection {
    let mut one = portrait("1", PortraitKind::LargeCrayon);
    one.bowed = Answer::Given(YesNo::Yes);
    Collection {
        portraits: vec![one],
        ..Collection::default()
    }
}

fn enlargement_by_listed_studio() -> Collection {
    let mut collection = enlargement();
    collection.portraits[0].maker.as_printed = given("Quillan & Dove");
    collection.portraits[0].maker.address_as_printed = given("3 Ropewalk");
    collection.listings = listings(
        "Quillan & Dove",
        "3 Ropewalk",
        &[(1891, true), (1907, true)],
    );
    collection
}

fn with_sitter(mut collection: Collection, born: &str, died: &str) -> Collection {
    collection.people = vec![person("P-1", "Anna Example", born, died)];
    collection.claims = vec![claim("1", "P-1", Certainty::Proved)];
    collection
}

#[test]
fn vector_1_card_and_revenue_stamp() {
    // Published: format of the card (miphs.org, Clark); stamp tax (Act of 30 June 1864).
    let weighing = weighed(&stamped_card());
    let print = only(&weighing).dates.print.as_deref();
    assert_eq!(estimate(print), "[1864-08..1866-08]");
    assert!(print.unwrap().set_aside.is_empty());
    assert!(print.unwrap().conflict.is_none());
}

#[test]
fn vector_2_crayon_enlargement_on_convex_board() {
    // Published: solar camera patent 1857; Watson 1996 (commonly 1880-1920); Indiana Historical Society (1880-1930).
    let weighing = weighed(&enlargement());
    let print = only(&weighing).dates.print.as_deref();
    assert_eq!(limits(print), "[1857..]");
    assert_eq!(estimate(print), "[1880..1920]");
    let print = print.unwrap();
    assert_eq!(print.in_words, "between 1880 and 1920");
    assert_eq!(print.earliest_set_by.len(), 2);
    assert_eq!(print.latest_set_by, ["crayon enlargement, usual years"]);
}

#[test]
fn vector_3_the_same_by_a_studio_listed_from_1891_to_1907() {
    let weighing = weighed(&enlargement_by_listed_studio());
    let print = only(&weighing).dates.print.as_deref();
    assert_eq!(estimate(print), "[1891..1907]");
    assert!(print.unwrap().earliest_set_by[0].contains("Quillan & Dove"));
}

#[test]
fn vector_4_a_sitter_who_died_before_the_enlargement_is_no_conflict() {
    // Published: enlargements were commonly made from older small pictures, often after death (AIC PMG wiki).
    let weighing = weighed(&with_sitter(enlargement_by_listed_studio(), "", "1884"));
    let dates = &only(&weighing).dates;
    assert_eq!(estimate(dates.print.as_deref()), "[1891..1907]");
    assert_eq!(estimate(dates.sitting.as_deref()), "[..1884]");
    assert_eq!(concerns(&weighing, "copied-from-earlier-picture").len(), 1);
    for code in [
        "hard-clues-disagree",
        "copy-of-older-picture",
        "clue-set-aside",
        "clue-against-limits",
    ] {
        assert!(concerns(&weighing, code).is_empty(), "{code}");
    }
    assert!(
        weighing.concerns.iter().all(
            |concern| concern.code != "dead-before-print" || concern.severity == Severity::Note
        )
    );
}

#[test]
fn vector_5_a_stamped_card_of_somebody_dead_before_the_tax_is_asked_about() {
    let weighing = weighed(&with_sitter(stamped_card(), "", "1861"));
    let dates = &only(&weighing).dates;
    assert_eq!(estimate(dates.print.as_deref()), "[1864-08..1866-08]");
    assert_eq!(estimate(dates.sitting.as_deref()), "[..1861]");
    let asked = concerns(&weighing, "copy-of-older-picture");
    assert_eq!(asked.len(), 1);
    assert_eq!(asked[0].severity, Severity::Question);
    assert!(asked[0].what.contains("death of the sitter"));
    assert!(asked[0].what.contains("revenue stamp"));
    // A clue that says "taken from life" makes both hard ends meet: then the two that disagree are named.
    let mut from_life = with_sitter(stamped_card(), "", "1861");
    let taken = clue(
        "C-2",
        "1",
        ClueKind::Record,
        "sitters' book: taken from life for this card",
        "[1864-08..1866-08]",
    );
    from_life.clues.push(hard(taken, DateTarget::Sitting));
    let weighing = weighed(&from_life);
    let conflict = only(&weighing)
        .dates
        .sitting
        .as_ref()
        .unwrap()
        .conflict
        .clone()
        .unwrap();
    assert!(conflict.not_before.contains("clue C-2"));
    assert!(conflict.not_after.contains("death of the sitter"));
    assert_eq!(concerns(&weighing, "hard-clues-disagree").len(), 1);
}

#[test]
fn vector_6_a_tintype_dated_before_the_process_is_a_conflict() {
    // Published: United States patent 1856 (Ritzenthaler and O'Connor 2006); the table's hard end takes the earlier 1854.
    let mut collection = Collection {
        portraits: vec![portrait("1", PortraitKind::Tintype)],
        clues: vec![clue(
            "C-1",
            "1",
            ClueKind::Words,
            "“1851” on the back, read as the year of making",
            "1851",
        )],
        ..Collection::default()
    };
    let weighing = weighed(&collection);
    let print = only(&weighing).dates.print.as_deref().unwrap();
    assert!(print.set_aside[0].against_limits);
    assert_eq!(concerns(&weighing, "clue-against-limits").len(), 1);
    collection.clues[0].hardness = Answer::Given(Hardness::Hard);
    let weighing = weighed(&collection);
    let print = only(&weighing).dates.print.as_deref().unwrap();
    let conflict = print.conflict.as_ref().unwrap();
    assert!(conflict.not_before.contains("tintype"));
    assert!(conflict.not_after.contains("clue C-1"));
    assert!(print.estimate.is_none());
}

#[test]
fn vector_7_a_stamp_on_a_cabinet_card_with_the_warning_that_sources_differ() {
    // Published: Yearbook of Photography 1867 (introduced 1866); AAT 300127131 (1867); Mace (1863).
    let collection = Collection {
        portraits: vec![portrait("1", PortraitKind::CabinetCard)],
        clues: vec![clue("C-1", "1", ClueKind::Object, "revenue stamp", "")],
        ..Collection::default()
    };
    let weighing = weighed(&collection);
    assert_eq!(
        estimate(only(&weighing).dates.print.as_deref()),
        "[1866-01..1866-08]"
    );
    let caveats = concerns(&weighing, "clue-with-caveat");
    assert!(
        caveats
            .iter()
            .any(|concern| concern.what.contains("1863, 1866 or 1867"))
    );
}

#[test]
fn vector_8_a_sitter_born_in_1890_on_a_cabinet_card() {
    let mut collection = stamped_card();
    collection.portraits[0].kind = Answer::Given(PortraitKind::CabinetCard);
    collection.clues.clear();
    let weighing = weighed(&with_sitter(collection, "1890", ""));
    let dates = &only(&weighing).dates;
    assert_eq!(limits(dates.sitting.as_deref()), "[1890..]");
    assert_eq!(estimate(dates.sitting.as_deref()), "[1890..1914]");
    assert_eq!(estimate(dates.print.as_deref()), "[1890..1914]");
}

#[test]
fn vector_9_a_stamp_of_one_cent() {
    // Published: one-cent rate from March 1865 (dealers' notes agree).
    let mut collection = stamped_card();
    collection.clues[0].says = given("1¢ revenue stamp");
    let weighing = weighed(&collection);
    assert_eq!(
        estimate(only(&weighing).dates.print.as_deref()),
        "[1865-03..1866-08]"
    );
}
