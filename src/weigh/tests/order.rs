//! How the dates of one portrait bound each other, how a date that was given is held against them, and what is said of that.

use super::*;
use crate::concern::Severity;

/// Clues to one date bound the others: nobody sits after the print, and nothing is framed before it.
#[test]
fn sitting_print_and_frame_bound_each_other() {
    let dated = |number: &str, gives: &str, target: DateTarget, is_hard: bool| Clue {
        date_target: Answer::Given(target),
        hardness: if is_hard {
            Answer::Given(Hardness::Hard)
        } else {
            Answer::Blank
        },
        ..clue(number, "1", ClueKind::Record, "a book", gives)
    };
    use DateTarget::Framed;
    use DateTarget::Print;
    use DateTarget::Sitting;
    let three = |clues: Vec<Clue>| {
        let weighing = weighed(&with(clues));
        let dates = &only(&weighing).dates;
        [&dates.sitting, &dates.print, &dates.framed].map(|one| estimate(one.as_deref()).to_owned())
    };
    // A frame's years end the print's and the sitting's, and a sitting's begin theirs.
    assert_eq!(
        three(vec![
            dated("C-1", "[1870..1880]", Framed, false),
            dated("C-2", "[1860..1890]", Sitting, false)
        ]),
        ["[1860..1880]", "[1860..1880]", "[1870..1880]"]
    );
    assert_eq!(
        three(vec![
            dated("C-1", "[1870..1880]", Print, false),
            dated("C-2", "[1875..1890]", Sitting, false)
        ]),
        ["[1875..1880]", "[1875..1880]", ""]
    );
    // Estimates that disagree stay, within what hard clues to the other date allow.
    assert_eq!(
        three(vec![
            dated("C-1", "[1860..1865]", Print, false),
            dated("C-2", "[1880..1885]", Sitting, false)
        ]),
        ["[1880..1885]", "[1860..1865]", ""]
    );
    assert_eq!(
        three(vec![
            dated("C-1", "[..1883]", Print, true),
            dated("C-2", "[1860..1865]", Print, false),
            dated("C-3", "[1880..1885]", Sitting, false),
        ]),
        ["[1880..1883]", "[1860..1865]", ""]
    );
    assert_eq!(
        three(vec![
            dated("C-1", "[1862..]", Sitting, true),
            dated("C-2", "[1880..1885]", Sitting, false),
            dated("C-3", "[1860..1865]", Print, false),
        ]),
        ["[1880..1885]", "[1862..1865]", ""]
    );
    let torn = with(vec![
        dated("C-1", "[1880..]", Sitting, true),
        dated("C-2", "[..1870]", Print, true),
        dated("C-3", "1850", Sitting, false),
    ]);
    let weighing = weighed(&torn);
    let sitting = only(&weighing).dates.sitting.as_ref().unwrap();
    let conflict = sitting.conflict.as_ref().unwrap();
    assert_eq!(conflict.not_before, "clue C-1: a book");
    assert_eq!(
        conflict.not_after,
        "clue C-2: a book (the sitting is not after this print)"
    );
    assert_eq!(sitting.in_words, "two hard clues disagree");
    assert_eq!(sitting.estimate, None);
    let used: Vec<&str> = sitting.used.iter().map(|one| one.what.as_str()).collect();
    assert_eq!(used, ["clue C-1: a book"]);
    let aside: Vec<&str> = sitting
        .set_aside
        .iter()
        .map(|one| one.what.as_str())
        .collect();
    assert_eq!(aside, ["clue C-3: a book"]);
}

/// Clues to one date that cannot all be right say nothing of the other dates.
#[test]
fn a_conflict_stays_with_its_own_date() {
    let of_print = |number: &str, gives: &str| {
        hard(
            clue(number, "1", ClueKind::Record, "a book", gives),
            DateTarget::Print,
        )
    };
    let weighing = weighed(&with(vec![
        of_print("C-1", "[1870..]"),
        of_print("C-2", "[..1860]"),
        clue("C-3", "1", ClueKind::Dress, "a bonnet", "[1850..1855]"),
    ]));
    let dates = &only(&weighing).dates;
    assert_eq!(estimate(dates.sitting.as_deref()), "[1850..1855]");
    let conflict = dates.print.as_ref().unwrap().conflict.as_ref().unwrap();
    assert!(
        conflict.not_before.contains("C-1"),
        "{}",
        conflict.not_before
    );
    assert!(conflict.not_after.contains("C-2"), "{}", conflict.not_after);
    assert_eq!(concerns(&weighing, "hard-clues-disagree").len(), 1);
}

/// Two clues of one weight that share no day: neither is used, and both are named.
#[test]
fn equal_clues_that_disagree_are_named_where_nothing_else_is_known() {
    let weighing = weighed(&with(vec![
        clue("C-1", "1", ClueKind::Dress, "a bonnet", "1860"),
        clue("C-2", "1", ClueKind::Dress, "a collar", "1880"),
    ]));
    let sitting = only(&weighing).dates.sitting.as_ref().unwrap();
    assert_eq!(sitting.estimate, None);
    assert_eq!(sitting.in_words, "not known");
    assert_eq!(sitting.set_aside.len(), 2);
    assert_eq!(concerns(&weighing, "clue-set-aside").len(), 2);
}

#[test]
fn an_end_that_only_the_order_sets_says_so() {
    let collection = with(vec![
        clue("C-1", "1", ClueKind::Dress, "a bonnet", "[1860..]"),
        clue("C-2", "1", ClueKind::Record, "a book", "[..1870]"),
    ]);
    let weighing = weighed(&collection);
    let dates = &only(&weighing).dates;
    let (sitting, print) = (
        dates.sitting.as_ref().unwrap(),
        dates.print.as_ref().unwrap(),
    );
    let order = ["the order of sitting, print and framing"];
    assert_eq!(sitting.earliest_set_by, ["clue C-1: a bonnet"]);
    assert_eq!(sitting.latest_set_by, order);
    assert_eq!(print.earliest_set_by, order);
    assert_eq!(print.latest_set_by, ["clue C-2: a book"]);
    assert_eq!(dates.framed, None);
    // A print of which nothing else is known is no older than the sitting.
    let alone = weighed(&with(vec![clue(
        "C-1",
        "1",
        ClueKind::Dress,
        "a bonnet",
        "[1860..]",
    )]));
    let print = only(&alone).dates.print.as_deref();
    assert_eq!(estimate(print), "[1860..]");
    assert_eq!(print.unwrap().earliest_set_by, order);
}

/// A date that hard clues exclude is warned of; one that soft clues miss is asked about; one within both is left alone.
#[test]
fn a_date_that_was_given_is_held_against_the_clues() {
    let said = |stated: &str| {
        let mut collection = with(vec![
            hard(
                clue("C-1", "1", ClueKind::Record, "a book", "[1860..1880]"),
                DateTarget::Print,
            ),
            clue("C-2", "1", ClueKind::Object, "a stamp", "[1865..1870]"),
        ]);
        collection.portraits[0].dates.print = date(stated);
        let weighing = weighed(&collection);
        ["date-outside-limits", "date-outside-estimate"].map(|code| {
            let found = concerns(&weighing, code);
            assert!(found.len() <= 1);
            found.first().map_or(String::new(), |one| one.what.clone())
        })
    };
    assert_eq!(said("1868"), ["", ""]);
    assert_eq!(said("[1870..1875]"), ["", ""]);
    assert!(said("1875")[1].contains("the clues point to between 1865 and 1870"));
    assert!(said("1885")[0].contains("hard clues only allow between 1860 and 1880"));
    assert_eq!(said("1885")[1], "");
    assert!(said("1855")[0].contains("1855"));
}

#[test]
fn clues_that_are_set_aside_are_told_as_warning_or_note() {
    let weighing = weighed(&with(vec![
        hard(
            clue("C-1", "1", ClueKind::Record, "a book", "[1860..1880]"),
            DateTarget::Print,
        ),
        clue("C-2", "1", ClueKind::Object, "a stamp", "[1865..1870]"),
        clue("C-3", "1", ClueKind::Words, "a note", "1875"),
        clue("C-4", "1", ClueKind::Words, "a label", "1890"),
    ]));
    let told = |code: &str| {
        let found = concerns(&weighing, code);
        let told: Vec<(Severity, bool, bool)> = found
            .iter()
            .map(|one| {
                (
                    one.severity,
                    one.what.contains("C-3"),
                    one.what.contains("C-4"),
                )
            })
            .collect();
        told
    };
    let aside = concerns(&weighing, "clue-set-aside");
    assert!(
        aside[0].what.contains("“clue C-3: a note” (1875)"),
        "{}",
        aside[0].what
    );
    assert_eq!(told("clue-set-aside"), [(Severity::Note, true, false)]);
    assert_eq!(
        told("clue-against-limits"),
        [(Severity::Warning, false, true)]
    );
}

/// Enlargements were made from older pictures as a rule, and a copy that is known to be one needs no question.
#[test]
fn an_older_sitting_is_asked_about_only_where_nobody_knows_of_a_copy() {
    let told =
        |kind: PortraitKind, copy_of: Answer<crate::record::PortraitNumber>, printed: &str| {
            let mut collection = with(vec![
                clue("C-1", "1", ClueKind::Dress, "a bonnet", "[1860..1865]"),
                clue("C-2", "1", ClueKind::Record, "a book", printed),
            ]);
            collection.portraits[0].kind = Answer::Given(kind);
            collection.portraits[0].copy_of = copy_of;
            collection
                .portraits
                .push(portrait("2", PortraitKind::Other));
            let weighing = weighed(&collection);
            ["copied-from-earlier-picture", "copy-of-older-picture"]
                .map(|code| concerns(&weighing, code).len())
        };
    let other = PortraitKind::Other;
    assert_eq!(told(other, Answer::Blank, "[1880..1890]"), [0, 1]);
    assert_eq!(
        told(other, Answer::Given("2".into()), "[1880..1890]"),
        [1, 0]
    );
    assert_eq!(
        told(PortraitKind::LargeCrayon, Answer::Blank, "[1880..1890]"),
        [1, 0]
    );
    assert_eq!(told(other, Answer::Blank, "[1865..1890]"), [0, 0]);
    assert_eq!(told(other, Answer::Blank, "[1866..1890]"), [0, 1]);
}

/// Each caveat is said once for the whole collection, with how many portraits it concerns.
#[test]
fn a_caveat_is_said_once_and_counted() {
    let said = |count: usize| {
        let mut collection = Collection::default();
        for number in 0..count {
            let number = format!("{number}");
            collection
                .portraits
                .push(portrait(&number, PortraitKind::Other));
            let about = clue(
                &format!("C-{number}"),
                &number,
                ClueKind::Object,
                "scalloped edge",
                "",
            );
            collection.clues.push(about);
        }
        let weighing = weighed(&collection);
        let found = concerns(&weighing, "clue-with-caveat");
        assert_eq!(found.len(), 1);
        found[0].what.clone()
    };
    assert!(said(1).starts_with("For the dates of 0: "), "{}", said(1));
    assert!(
        said(2).starts_with("For the dates of 0 and one more: "),
        "{}",
        said(2)
    );
    assert!(
        said(3).starts_with("For the dates of 0 and 2 more: "),
        "{}",
        said(3)
    );
}

/// What is printed on the day of the sitting is no copy of an older picture.
#[test]
fn the_same_day_is_not_earlier() {
    let asked = |sat: &str| {
        let weighing = weighed(&with(vec![
            clue("C-1", "1", ClueKind::Dress, "a bonnet", sat),
            clue("C-2", "1", ClueKind::Record, "a book", "1865-05-03"),
        ]));
        concerns(&weighing, "copy-of-older-picture").len()
    };
    assert_eq!(asked("1865-05-03"), 0);
    assert_eq!(asked("1865-05-02"), 1);
}
