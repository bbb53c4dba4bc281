//! What each kind of clue says of a date, and how much it weighs.

use super::*;
use crate::record::Measured;
use crate::record::Scan;
use crate::record::SensitiveSubject;
use crate::record::Unit;
use crate::record::View;
use crate::record::WhoKnew;
use crate::weigh::evidence;
use crate::weigh::interval::DateClue;
use crate::weigh::interval::Weight;

/// For which date a clue was used and with what weight.
fn used(collection: &Collection) -> Vec<(&'static str, Weight)> {
    let weighing = weighed(collection);
    let dates = &only(&weighing).dates;
    let three = [
        ("sitting", &dates.sitting),
        ("print", &dates.print),
        ("framed", &dates.framed),
    ];
    three
        .into_iter()
        .flat_map(|(name, result)| {
            let used = result.iter().flat_map(|result| &result.used);
            used.map(move |clue| (name, clue.weight))
        })
        .collect()
}

/// The order of weights stands at [`Weight`]; clothes and faces speak of the sitting, everything else of the print.
#[test]
fn each_kind_of_clue_has_its_weight_and_its_date() {
    for (kind, expected) in [
        (ClueKind::Record, ("print", Weight::Document)),
        (ClueKind::Object, ("print", Weight::Object)),
        (ClueKind::Maker, ("print", Weight::Object)),
        (ClueKind::Words, ("print", Weight::Words)),
        (ClueKind::Dress, ("sitting", Weight::Dress)),
        (ClueKind::Likeness, ("sitting", Weight::Talk)),
        (ClueKind::FamilyTalk, ("sitting", Weight::Talk)),
        (ClueKind::FoundTogether, ("print", Weight::Talk)),
        (ClueKind::Other, ("print", Weight::Talk)),
    ] {
        let one = clue("C-1", "1", kind, "so it is said", "[1870..1875]");
        assert_eq!(used(&with(vec![one.clone()])), [expected], "{kind:?}");
        for (target, name) in [
            (DateTarget::Sitting, "sitting"),
            (DateTarget::Print, "print"),
            (DateTarget::Framed, "framed"),
        ] {
            let said = Clue {
                date_target: Answer::Given(target),
                ..one.clone()
            };
            let used = used(&with(vec![said]));
            assert!(
                used.contains(&(name, expected.1)),
                "{kind:?} {target:?}: {used:?}"
            );
        }
    }
}

#[test]
fn words_in_a_later_hand_are_no_more_than_talk() {
    let says = clue(
        "C-1",
        "1",
        ClueKind::Words,
        "“Aunt Lou 1871” on the back",
        "1871",
    );
    let weight = |collection: &Collection| used(collection)[0].1;
    assert_eq!(weight(&with(vec![says.clone()])), Weight::Words);
    let hearsay = Clue {
        who_knew: Answer::Given(WhoKnew::SecondHand),
        ..says.clone()
    };
    assert_eq!(weight(&with(vec![hearsay])), Weight::Talk);
    for (text, written_in, expected) in [
        (" Aunt Lou 1871 ", WrittenIn::Ballpoint, Weight::Talk),
        ("Aunt Lou 1871", WrittenIn::Pencil, Weight::Words),
        ("another hand", WrittenIn::Ballpoint, Weight::Words),
        ("  ", WrittenIn::Ballpoint, Weight::Words),
    ] {
        let mut collection = with(vec![says.clone()]);
        collection.words = vec![words("1", text, written_in)];
        assert_eq!(weight(&collection), expected, "{text} {written_in:?}");
    }
}

/// An altered picture shows what somebody or something painted.
#[test]
fn a_clue_that_rests_on_an_altered_version_is_not_used() {
    let resting = |source: &str, altered: bool| {
        let mut one = clue("C-1", "1", ClueKind::Dress, "wide sleeves", "[1894..1896]");
        one.source = given(source);
        let mut collection = with(vec![one]);
        collection.scans = vec![Scan {
            file: "box/Sleeves-clean.png".to_owned(),
            portrait: Answer::Given("1".into()),
            view: Answer::Given(if altered {
                View::AlteredCopy
            } else {
                View::Front
            }),
            ..Scan::default()
        }];
        used(&collection).is_empty()
    };
    for source in [
        "box/sleeves-clean.png",
        " Sleeves-Clean.png ",
        "as seen in (sleeves-clean.png)",
        "seen in sleeves-clean.png.",
        "“sleeves-clean.png”, on the screen",
    ] {
        assert!(resting(source, true), "{source}");
        assert!(!resting(source, false), "{source}");
    }
    assert!(!resting("the original, not its clean version", true));
    assert!(!resting("sleeves-clean.png2", true));
}

#[test]
fn a_life_bounds_the_sitting_but_not_of_a_portrait_after_death() {
    let sat = |certainty: Certainty, born: &str, died: &str, after_death: bool| {
        let mut collection = with(vec![]);
        collection.people = vec![person("P-1", "Anna Example", born, died)];
        collection.claims = vec![claim("1", "P-1", certainty)];
        if after_death {
            collection.portraits[0].sensitive = vec![SensitiveSubject::PostMortem];
        }
        let weighing = weighed(&collection);
        estimate(only(&weighing).dates.sitting.as_deref()).to_owned()
    };
    assert_eq!(
        sat(Certainty::Proved, "1850", "1884", false),
        "[1850..1884]"
    );
    assert_eq!(
        sat(Certainty::Probable, "1850", "1884", false),
        "[1850..1884]"
    );
    assert_eq!(sat(Certainty::Possible, "1850", "1884", false), "");
    assert_eq!(sat(Certainty::Proved, "1850", "", false), "[1850..]");
    assert_eq!(sat(Certainty::Proved, "", "1884", false), "[..1884]");
    // A birth about a year says nothing of the end, and a death nothing of the beginning.
    assert!(sat(Certainty::Proved, "1850~", "", false).ends_with("..]"));
    assert!(sat(Certainty::Proved, "", "1884~", false).starts_with("[.."));
    assert_eq!(sat(Certainty::Proved, "1850", "1884", true), "[1850..]");
}

/// What is explained says of each clue how much it weighs, and counts copyright from the year as it was written.
#[test]
fn weights_and_a_year_about_are_explained() {
    let weighing = weighed(&with(vec![
        clue("C-1", "1", ClueKind::Dress, "a bonnet", "188X"),
        clue("C-2", "1", ClueKind::Record, "a book", "1888~"),
    ]));
    let text = weighing.explain(&"1".into()).unwrap().text;
    for part in ["[clothes; ", "[documents; ", "published by about 1888 and"] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let words = Weight::ALL.map(Weight::words);
    let different: std::collections::BTreeSet<&str> = words.into_iter().collect();
    assert_eq!(different.len(), words.len());
}

/// That a life began about a year says nothing of its end, not even in words; and the other way round.
#[test]
fn a_life_gives_one_end_each() {
    let anna = person("P-1", "Anna Example", "1850~", "1884~");
    let clues = evidence::life(&Portrait::default(), &anna, "Anna Example");
    let said: Vec<String> = clues.iter().map(DateClue::range_in_words).collect();
    assert_eq!(said, ["about 1850 or later", "about 1884 or earlier"]);
}

#[test]
fn long_words_are_shortened_and_blanks_drawn_together() {
    let what = |says: &str| {
        let collection = with(vec![clue("C-1", "1", ClueKind::Record, says, "1871")]);
        let weighing = weighed(&collection);
        only(&weighing).dates.print.as_ref().unwrap().used[0]
            .what
            .clone()
    };
    assert_eq!(what("a book"), "clue C-1: a book");
    assert_eq!(what(" book "), "clue C-1: book");
    assert_eq!(what("book\tof"), "clue C-1: book of");
    assert_eq!(what(" a  book\nof sitters "), "clue C-1: a book of sitters");
    assert_eq!(what("a book\tof sitters"), "clue C-1: a book of sitters");
    assert_eq!(what("a  book of sitters"), "clue C-1: a book of sitters");
    let eighty = "x".repeat(80);
    assert_eq!(what(&eighty), format!("clue C-1: {eighty}"));
    assert_eq!(what(&format!("{eighty}y")), format!("clue C-1: {eighty}…"));
    assert_eq!(
        what(&format!("{} y", "é".repeat(79))),
        format!("clue C-1: {}…", "é".repeat(79))
    );
    assert_eq!(
        what(&format!("{} y", "é".repeat(78))),
        format!("clue C-1: {} y", "é".repeat(78))
    );
}

#[test]
fn a_size_speaks_only_when_the_mount_was_measured_and_no_format_is_given() {
    let found = |kind: PortraitKind, measured: Option<Measured>, height: &str, width: &str| {
        let mut one = portrait("1", kind);
        one.size.height = given(height);
        one.size.width = given(width);
        one.size.unit = Answer::Given(Unit::Millimetre);
        one.size.measured = measured.into();
        let collection = Collection {
            portraits: vec![one],
            ..Collection::default()
        };
        let weighing = weighed(&collection);
        let print = only(&weighing).dates.print.clone().unwrap_or_default();
        let names = print
            .used
            .iter()
            .filter(|clue| clue.what.contains("size agrees"));
        names
            .map(|clue| clue.what.clone())
            .collect::<Vec<_>>()
            .join("; ")
    };
    let other = PortraitKind::Other;
    assert!(found(other, None, "102", "64").contains("carte-de-visite"));
    assert!(found(other, Some(Measured::Mount), "64", "102").contains("carte-de-visite"));
    assert!(found(PortraitKind::MountedPhotograph, None, "165", "108").contains("cabinet card"));
    for (kind, measured, height, width) in [
        (other, Some(Measured::Picture), "102", "64"),
        (PortraitKind::Tintype, None, "102", "64"),
        (other, None, "102", "71"),
        (other, None, "109", "64"),
        (other, None, "94", "64"),
        (other, None, "102", "56"),
    ] {
        assert_eq!(
            found(kind, measured, height, width),
            "",
            "{kind:?} {height} {width}"
        );
    }
}

/// A clue says what to bear in mind with it only where it sets an end.
#[test]
fn a_caveat_is_told_of_clues_that_set_an_end() {
    let told = |gives: &str| {
        let mut clues = vec![clue("C-1", "1", ClueKind::Object, "scalloped edge", "")];
        clues.push(clue("C-2", "1", ClueKind::Record, "a book", gives));
        let weighing = weighed(&with(clues));
        let print = only(&weighing).dates.print.as_ref().unwrap();
        print.remarks.len()
    };
    // The table gives 1885 to 1909.
    assert_eq!(told("[1890..1895]"), 0);
    assert_eq!(told("[1880..1895]"), 1);
    assert_eq!(told("[1890..1920]"), 1);
    assert_eq!(told("[1880..1920]"), 1);
}
