//! Whole portraits, scans and lots that stay at home. README, "Who gets what".

use super::*;
use crate::record::BelongsWith;
use crate::record::Clue;
use crate::record::CopyKind;
use crate::record::Transcription;
use crate::record::YesNo;
use crate::record::edition::Change;
use crate::record::edition::ChangeKind;
use crate::record::edition::Edition;

/// Two portraits of one lot, and a third of another, each with a scan.
fn three() -> Collection {
    let portrait = |number: &str, lot: &str| Portrait {
        number: number.into(),
        lot: Answer::Given(lot.into()),
        ..Portrait::default()
    };
    let scan = |file: &str, number: &str| Scan {
        file: file.to_owned(),
        portrait: Answer::Given(number.into()),
        ..Scan::default()
    };
    Collection {
        portraits: vec![
            portrait("A-001", "L1"),
            portrait("A-002", "L1"),
            portrait("A-003", "L2"),
        ],
        scans: vec![
            scan("a.jpg", "A-001"),
            scan("b.jpg", "A-002"),
            scan("c.jpg", "A-003"),
        ],
        ..Collection::default()
    }
}

fn held(applies_to: &str, until: &str) -> Rights {
    Rights {
        applies_to: given(applies_to),
        hold_until: date(until),
        ..Rights::default()
    }
}

fn numbers(collection: &Collection, audience: Audience, today: &str) -> Vec<String> {
    let left = for_audience(collection, audience, today).collection;
    left.portraits
        .iter()
        .map(|one| one.number.to_string())
        .collect()
}

#[test]
fn a_hold_is_of_a_portrait_a_lot_or_all_and_ends_the_day_after() {
    let after = |applies_to: &str, today: &str| {
        let mut with = three();
        with.rights = vec![held(applies_to, "2036-01-01")];
        numbers(&with, Audience::Family, today).join(" ")
    };
    assert_eq!(after("A-001", "2036-01-01"), "A-002 A-003");
    assert_eq!(after("L1", "2036-01-01"), "A-003");
    assert_eq!(after(" All ", "2036-01-01"), "");
    assert_eq!(after("L3", "2036-01-01"), "A-001 A-002 A-003");
    assert_eq!(after("All", "2036-01-02"), "A-001 A-002 A-003");
}

#[test]
fn of_several_holds_the_last_one_counts_and_is_told() {
    let mut with = three();
    with.rights = vec![
        held("A-001", "2030-01-01"),
        held("L1", "2040-06-30"),
        held("All", "2020-01-01"),
    ];
    let withheld = for_audience(&with, Audience::Public, TODAY).withheld;
    let told: Vec<(&str, &str)> = withheld
        .iter()
        .filter(|one| one.what == "the whole portrait")
        .map(|one| (one.of.as_str(), one.why.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("A-001", "it is held back until 2040-06-30"),
            ("A-002", "it is held back until 2040-06-30"),
        ]
    );
}

#[test]
fn show_to_goes_from_nobody_over_relatives_and_an_archive_to_everybody() {
    let mut with = three();
    with.portraits[0].show_to = Answer::Given(ShowTo::Nobody);
    with.portraits[1].show_to = Answer::Given(ShowTo::Family);
    let left = |audience| numbers(&with, audience, TODAY).join(" ");
    assert_eq!(left(Audience::Keeping), "A-001 A-002 A-003");
    assert_eq!(left(Audience::Family), "A-002 A-003");
    assert_eq!(left(Audience::Archive), "A-003");
    assert_eq!(left(Audience::Public), "A-003");
}

fn clue(number: &str, portraits: &[&str]) -> Clue {
    Clue {
        number: number.into(),
        portraits: portraits.iter().map(|one| (*one).into()).collect(),
        ..Clue::default()
    }
}

fn tie(number: &str) -> BelongsWith {
    BelongsWith {
        portrait: number.into(),
        reason: "one frame".to_owned(),
    }
}

fn change(number: &str, kind: ChangeKind) -> Change {
    Change {
        portrait: number.into(),
        kind: Some(kind),
        what: "changed".to_owned(),
    }
}

/// Three portraits of which the first is held back, with everything that can lead from one to another.
fn led_to_a_held_portrait() -> Collection {
    let mut with = three();
    with.rights = vec![held("A-001", "2036-01-01"), held("A-002", "2020-01-01")];
    with.words = ["A-001", "A-002"]
        .map(|number| Transcription {
            portrait: number.into(),
            ..Transcription::default()
        })
        .to_vec();
    with.claims = ["A-001", "A-002"]
        .map(|number| Claim {
            portrait: number.into(),
            ..Claim::default()
        })
        .to_vec();
    with.clues = vec![
        clue("C-1", &["A-001"]),
        clue("C-2", &["A-001", "A-002"]),
        clue("C-3", &[]),
    ];
    with.portraits[1].belongs_with = vec![tie("A-001"), tie("A-003")];
    with.portraits[1].copy_of = Answer::Given("A-001".into());
    with.portraits[2].copy_of = Answer::Given("A-002".into());
    with.editions = vec![Edition {
        changes: vec![
            change("A-001", ChangeKind::DateChanged),
            change("A-001", ChangeKind::PortraitRemoved),
            change("A-002", ChangeKind::DateChanged),
        ],
        ..Edition::default()
    }];
    with
}

/// Nothing that is left may tell that the portrait exists, but for what an earlier edition said of its going.
#[test]
fn everything_about_a_held_portrait_stays_at_home_with_it() {
    let with = led_to_a_held_portrait();
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    let files: Vec<&str> = left.scans.iter().map(|one| one.file.as_str()).collect();
    assert_eq!(files, ["b.jpg", "c.jpg"]);
    assert_eq!(left.words.len(), 1);
    assert_eq!(left.words[0].portrait, "A-002".into());
    assert_eq!(left.claims.len(), 1);
    assert_eq!(left.claims[0].portrait, "A-002".into());
    assert_eq!(left.clues, [clue("C-2", &["A-002"]), clue("C-3", &[])]);
    assert_eq!(left.rights.len(), 1);
    assert_eq!(left.rights[0].applies_to, given("A-002"));
    assert_eq!(left.portraits[0].belongs_with, [tie("A-003")]);
    assert_eq!(left.portraits[0].copy_of, Answer::Blank);
    assert_eq!(left.portraits[1].copy_of, Answer::Given("A-002".into()));
    assert_eq!(
        left.editions[0].changes,
        [
            change("A-001", ChangeKind::PortraitRemoved),
            change("A-002", ChangeKind::DateChanged),
        ]
    );
}

#[test]
fn altered_versions_are_for_relatives_and_home_and_are_told_elsewhere() {
    let mut with = three();
    with.scans[1].copy_kind = Answer::Given(CopyKind::Altered);
    for (audience, expected) in [(Audience::Family, 0), (Audience::Public, 1)] {
        let filtered = for_audience(&with, audience, TODAY);
        let told = filtered
            .withheld
            .iter()
            .filter(|one| one.what == "an altered version" && one.of == "A-002");
        assert_eq!(told.count(), expected, "{audience}");
        assert_eq!(filtered.collection.scans.len(), 3 - expected, "{audience}");
    }
}

#[test]
fn a_private_lot_stays_at_home_and_is_told() {
    let mut with = three();
    let lot = |number: &str, private: YesNo| Lot {
        number: number.into(),
        private: Answer::Given(private),
        how: Answer::Blank,
        ..Lot::default()
    };
    with.lots = vec![lot("L1", YesNo::Yes), lot("L2", YesNo::No)];
    let filtered = for_audience(&with, Audience::Archive, TODAY);
    let lots: Vec<&str> = filtered
        .collection
        .lots
        .iter()
        .map(|one| one.number.as_str())
        .collect();
    assert_eq!(lots, ["L2"]);
    let told: Vec<&str> = filtered
        .withheld
        .iter()
        .filter(|one| one.what == "how this lot came")
        .map(|one| one.of.as_str())
        .collect();
    assert_eq!(told, ["L1"]);
}

#[test]
fn a_scan_whose_caption_may_not_leave_is_left_out_and_told() {
    let with = three();
    let mut caption = Leaving::new(
        Audience::Family,
        LeavingKind::Caption,
        vec!["P1".to_owned()],
        "b.jpg, caption".to_owned(),
        "Saskia".to_owned(),
    );
    caption.scan = Some("b.jpg".to_owned());
    for (decision, left_out) in [
        (Some(Decision::No), true),
        (Some(Decision::NotThem), false),
        (Some(Decision::Yes), false),
        (None, false),
    ] {
        let decisions = Decisions::of([(&caption, decision)]);
        let filtered = under(&with, &terms(Audience::Family, &decisions));
        let is_there = filtered
            .collection
            .scans
            .iter()
            .any(|one| one.file == "b.jpg");
        assert_eq!(is_there, !left_out, "{decision:?}");
        assert_eq!(filtered.collection.scans.len(), 3 - usize::from(left_out));
        let told = filtered
            .withheld
            .iter()
            .any(|one| one.what == "a scan" && one.of == "A-002");
        assert_eq!(told, left_out, "{decision:?}");
    }
}
