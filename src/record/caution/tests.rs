//! Each caution with the smallest facts that call for it, and the same facts without the one that counts.

use super::*;
use crate::record::DateFault;
use crate::record::Edtf;
use crate::record::Medium;
use crate::record::PersonNumber;
use crate::record::PortraitNumber;
use crate::record::Rights;
use crate::record::Sitter;
use crate::record::Standing;
use crate::record::View;
use std::collections::BTreeSet;

fn given<T>(value: T) -> Answer<T> {
    Answer::Given(value)
}

fn date(text: &str) -> Answer<DateEntry> {
    let entry = |text: &str| -> Result<DateEntry, DateFault> {
        Ok(DateEntry {
            edtf: Edtf::parse(text)?,
            typed: text.to_owned(),
        })
    };
    given(entry(text).expect("a date"))
}

fn ids(cautions: &[&Caution]) -> Vec<&'static str> {
    cautions.iter().map(|caution| caution.id).collect()
}

fn for_portrait(change: impl FnOnce(&mut Portrait)) -> Vec<&'static str> {
    let mut portrait = Portrait {
        number: PortraitNumber::new("A-001"),
        ..Portrait::default()
    };
    change(&mut portrait);
    ids(&cautions_for(&Collection::default(), &portrait))
}

fn for_record(change: impl FnOnce(&mut Collection)) -> Vec<&'static str> {
    let mut collection = Collection {
        portraits: vec![Portrait {
            number: PortraitNumber::new("A-001"),
            ..Portrait::default()
        }],
        ..Collection::default()
    };
    change(&mut collection);
    let now = Circumstances {
        audience: None,
        year: Some(2026),
    };
    ids(&cautions_in(&collection, &collection.portraits[0], &now))
}

#[test]
fn a_portrait_of_which_nothing_is_known_calls_for_none() {
    assert!(for_portrait(|_| {}).is_empty());
}

#[test]
fn glass_and_frame() {
    let convex = for_portrait(|one| one.glass = given(Glass::Convex));
    assert_eq!(convex, ["C1", "C5"]);
    let opened = for_portrait(|one| {
        one.glass = given(Glass::Convex);
        one.opened = given(YesNo::Yes);
    });
    assert_eq!(opened, ["C1"]);
    for contact in [
        GlassContact::Touching,
        GlassContact::Stuck,
        GlassContact::Unsure,
    ] {
        assert_eq!(
            for_portrait(|one| one.glass_touching = given(contact)),
            ["C2"]
        );
    }
    assert!(for_portrait(|one| one.glass_touching = given(GlassContact::Clear)).is_empty());
    assert_eq!(
        for_portrait(|one| one.glass_touching = given(GlassContact::Taped)),
        ["C3"]
    );
    assert_eq!(
        for_portrait(|one| one.glass = given(Glass::Broken)),
        ["C4", "C5"]
    );
    assert_eq!(for_portrait(|one| one.glass = given(Glass::Flat)), ["C5"]);
    assert!(for_portrait(|one| one.glass = given(Glass::Absent)).is_empty());
}

#[test]
fn mould_is_not_foxing() {
    assert_eq!(for_portrait(|one| one.mould = given(Mould::Active)), ["C6"]);
    assert_eq!(
        for_portrait(|one| one.mould = given(Mould::Powdery)),
        ["C7"]
    );
    assert_eq!(
        for_portrait(|one| one.brown_spots = given(YesNo::Yes)),
        ["C8"]
    );
    let both = for_portrait(|one| {
        one.brown_spots = given(YesNo::Yes);
        one.mould = given(Mould::Active);
    });
    assert_eq!(both, ["C6"]);
}

#[test]
fn surface_and_board() {
    assert_eq!(
        for_portrait(|one| one.media = given(vec![Medium::Photograph, Medium::Charcoal])),
        ["C9", "C10"]
    );
    assert!(for_portrait(|one| one.media = given(vec![Medium::Photograph])).is_empty());
    assert_eq!(
        for_portrait(|one| one.kind = given(PortraitKind::LargeCrayon)),
        ["C9", "C10"]
    );
    assert_eq!(for_portrait(|one| one.bowed = given(YesNo::Yes)), ["C10"]);
    assert_eq!(
        for_portrait(|one| one.backing = given("a Warped board".to_owned())),
        ["C10"]
    );
    assert_eq!(
        for_portrait(|one| one.brittle = given(YesNo::Yes)),
        ["C10", "C12"]
    );
    assert_eq!(
        for_portrait(|one| one.kind = given(PortraitKind::Negative)),
        ["C14"]
    );
}

#[test]
fn old_paint_only_on_frames_that_may_be_old() {
    let framed = |frame, when: Option<&str>| {
        for_portrait(|one| {
            one.frame = given(frame);
            one.opened = given(YesNo::Yes);
            if let Some(when) = when {
                one.dates.framed = date(when);
            }
        })
    };
    assert_eq!(framed(Frame::Gilded, None), ["C11"]);
    assert_eq!(framed(Frame::Painted, Some("1978")), ["C11"]);
    assert!(framed(Frame::Painted, Some("1979/1990")).is_empty());
    assert!(framed(Frame::PlainWood, None).is_empty());
}

#[test]
fn acts() {
    assert_eq!(ids(&cautions_before(Act::Label)), ["C13"]);
    assert_eq!(ids(&cautions_before(Act::AskValue)), ["L6"]);
    assert_eq!(ids(&cautions_before(Act::WriteToHeir)), ["L12"]);
}

#[test]
fn the_whole_collection() {
    let none = Circumstances::default();
    let empty = Collection::default();
    assert_eq!(ids(&collection_cautions(&empty, &none)), ["L1"]);
    let archive = Circumstances {
        audience: Some(Audience::Archive),
        year: None,
    };
    assert_eq!(ids(&collection_cautions(&empty, &archive)), ["L1", "L5"]);
    let judged = Collection {
        rights: vec![Rights::default()],
        ..Collection::default()
    };
    assert_eq!(ids(&collection_cautions(&judged, &none)), ["L1", "L2"]);
    let peopled = Collection {
        people: vec![Person::default()],
        ..Collection::default()
    };
    assert_eq!(ids(&collection_cautions(&peopled, &none)), ["L1", "L3"]);
}

#[test]
fn nobody_dies_without_a_reason() {
    let now = Circumstances {
        audience: None,
        year: Some(2026),
    };
    let person = |living, born: Option<&str>, died: Option<&str>| Person {
        living,
        born: born.map_or(Answer::Blank, date),
        died: died.map_or(Answer::Blank, date),
        ..Person::default()
    };
    let lives = |person: &Person| may_be_living(person, &now);
    assert!(lives(&person(Answer::Blank, None, None)));
    assert!(lives(&person(Answer::Blank, Some("1949"), None)));
    assert!(lives(&person(Answer::Blank, Some("1900/1920"), None)));
    assert!(!lives(&person(Answer::Blank, Some("1831"), None)));
    assert!(!lives(&person(Answer::Blank, Some("1831"), Some("1884"))));
    assert!(!lives(&person(given(Living::No), Some("1990"), None)));
    assert!(lives(&person(given(Living::Yes), Some("1831"), None)));
    assert!(may_be_living(
        &person(Answer::Blank, Some("1831"), None),
        &Circumstances::default()
    ));
}

fn claim(certainty: Answer<Certainty>) -> Claim {
    Claim {
        portrait: PortraitNumber::new("A-001"),
        sitter: Sitter::Person(PersonNumber::new("P1")),
        certainty,
        ..Claim::default()
    }
}

fn edwin() -> Person {
    Person {
        number: PersonNumber::new("P1"),
        died: date("1884"),
        ..Person::default()
    }
}

#[test]
fn names_that_are_not_proved() {
    let with = |claim| {
        for_record(|record| {
            record.people.push(edwin());
            record.claims.push(claim);
        })
    };
    for certainty in [
        Certainty::Probable,
        Certainty::Possible,
        Certainty::Suggested,
        Certainty::Doubtful,
    ] {
        assert_eq!(with(claim(given(certainty))), ["L9"]);
    }
    assert_eq!(with(claim(Answer::Blank)), ["L9"]);
    assert!(with(claim(given(Certainty::Proved))).is_empty());
    assert!(with(claim(given(Certainty::RuledOut))).is_empty());
    let withdrawn = Claim {
        standing: given(Standing::Withdrawn),
        ..claim(given(Certainty::Possible))
    };
    assert!(with(withdrawn).is_empty());
}

#[test]
fn minors() {
    let with = |born| {
        for_record(|record| {
            record.people.push(Person {
                died: Answer::Blank,
                born: date(born),
                ..edwin()
            });
            record.claims.push(claim(given(Certainty::Proved)));
        })
    };
    assert_eq!(with("2017"), ["L7"]);
    assert!(with("1990").is_empty());
}

#[test]
fn scans_subjects_and_gaps() {
    let scan = |change: fn(&mut Scan)| {
        for_record(|record| {
            let mut scan = Scan {
                portrait: given(PortraitNumber::new("A-001")),
                ..Scan::default()
            };
            change(&mut scan);
            record.scans.push(scan);
        })
    };
    assert!(scan(|_| {}).is_empty());
    assert_eq!(
        scan(|scan| scan.facts.private_found = vec!["place (GPS)".to_owned()]),
        ["L4"]
    );
    assert_eq!(scan(|scan| scan.view = given(View::AlteredCopy)), ["L10"]);
    assert_eq!(
        for_portrait(|one| one.sensitive = vec![SensitiveSubject::PostMortem]),
        ["L8"]
    );
    assert_eq!(
        for_portrait(|one| one.sensitive = vec![SensitiveSubject::Dispute]),
        ["L11"]
    );
    let gap = for_record(|record| {
        record.lots.push(Lot {
            number: "L-1".into(),
            from: Answer::NotKnown,
            ..Lot::default()
        });
        record.portraits[0].lot = given("L-1".into());
    });
    assert_eq!(gap, ["L11"]);
}

#[test]
fn the_table_is_whole() {
    let seen: BTreeSet<&str> = all().iter().map(|caution| caution.id).collect();
    let wanted: BTreeSet<String> = (1..=14)
        .map(|number| format!("C{number}"))
        .chain((1..=12).map(|number| format!("L{number}")))
        .collect();
    assert_eq!(seen.len(), all().len());
    assert_eq!(
        seen,
        wanted.iter().map(String::as_str).collect::<BTreeSet<_>>()
    );
    for caution in all() {
        assert!(
            !caution.source.is_empty() && caution.text.ends_with('.'),
            "{}",
            caution.id
        );
    }
}
