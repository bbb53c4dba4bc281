//! Each caution, with the smallest facts that call for it, stands where people look: what `weigh` says, the page, START-HERE.txt, the
//! labels; always with the sentence that it is general caution, and whom to ask.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may fail loudly"
)]

use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::format::page;
use kithbag::format::page::FindingAid;
use kithbag::format::page::Holdings;
use kithbag::record::Answer;
use kithbag::record::Audience;
use kithbag::record::Certainty;
use kithbag::record::Claim;
use kithbag::record::Collection;
use kithbag::record::DateEntry;
use kithbag::record::Day;
use kithbag::record::Frame;
use kithbag::record::Glass;
use kithbag::record::GlassContact;
use kithbag::record::Lot;
use kithbag::record::Mould;
use kithbag::record::Person;
use kithbag::record::Portrait;
use kithbag::record::PortraitKind;
use kithbag::record::Register;
use kithbag::record::Rights;
use kithbag::record::Scan;
use kithbag::record::SensitiveSubject;
use kithbag::record::Sitter;
use kithbag::record::View;
use kithbag::record::YesNo;
use kithbag::record::caution;
use kithbag::weigh;
use kithbag::weigh::WeighOptions;
use std::collections::BTreeMap;

fn given<T>(value: T) -> Answer<T> {
    Answer::Given(value)
}

fn date(text: &str) -> Answer<DateEntry> {
    given(DateEntry::read(text).unwrap())
}

fn scan() -> Scan {
    Scan {
        file: "front.jpg".to_owned(),
        portrait: given("A-001".into()),
        view: given(View::Front),
        ..Scan::default()
    }
}

fn sitter(collection: &mut Collection, born: &str) {
    collection.people = vec![Person {
        number: "P-01".into(),
        name: given("Cora Lunt".to_owned()),
        born: date(born),
        ..Person::default()
    }];
    collection.claims = vec![Claim {
        portrait: "A-001".into(),
        sitter: Sitter::Person("P-01".into()),
        certainty: given(Certainty::Possible),
        ..Claim::default()
    }];
}

/// Adds what calls for a caution.
type Call = fn(&mut Collection);

/// What calls for each caution about a portrait or the whole collection.
const CALLS: [(&str, Call); 22] = [
    ("C1", |all| all.portraits[0].glass = given(Glass::Convex)),
    ("C2", |all| {
        all.portraits[0].glass_touching = given(GlassContact::Stuck);
    }),
    ("C3", |all| {
        all.portraits[0].glass_touching = given(GlassContact::Taped);
    }),
    ("C4", |all| all.portraits[0].glass = given(Glass::Broken)),
    ("C5", |all| all.portraits[0].frame = given(Frame::Painted)),
    ("C6", |all| all.portraits[0].mould = given(Mould::Active)),
    ("C7", |all| all.portraits[0].mould = given(Mould::Powdery)),
    ("C8", |all| all.portraits[0].brown_spots = given(YesNo::Yes)),
    ("C9", |all| {
        all.portraits[0].loose_surface = given(YesNo::Yes);
    }),
    ("C10", |all| all.portraits[0].bowed = given(YesNo::Yes)),
    ("C11", |all| all.portraits[0].frame = given(Frame::Gilded)),
    ("C12", |all| all.portraits[0].brittle = given(YesNo::Yes)),
    ("C14", |all| {
        all.portraits[0].kind = given(PortraitKind::Negative);
    }),
    ("L1", |_| {}),
    ("L2", |all| {
        all.rights = vec![Rights {
            applies_to: given("all".to_owned()),
            ..Rights::default()
        }];
    }),
    ("L3", |all| sitter(all, "1949")),
    ("L4", |all| {
        let mut scan = scan();
        scan.facts.private_found = vec!["place (GPS)".to_owned()];
        all.scans = vec![scan];
    }),
    ("L7", |all| sitter(all, "2017")),
    ("L8", |all| {
        all.portraits[0].sensitive = vec![SensitiveSubject::PostMortem];
    }),
    ("L9", |all| sitter(all, "1861")),
    ("L10", |all| {
        let mut scan = scan();
        scan.view = given(View::AlteredCopy);
        all.scans = vec![scan];
    }),
    ("L11", disputed),
];

fn collection(call: Call) -> Collection {
    let mut collection = Collection {
        portraits: vec![Portrait {
            number: "A-001".into(),
            ..Portrait::default()
        }],
        ..Collection::default()
    };
    call(&mut collection);
    collection
}

fn disputed(all: &mut Collection) {
    all.portraits[0].lot = given("L-01".into());
    all.lots = vec![Lot {
        number: "L-01".into(),
        from: Answer::NotKnown,
        ..Lot::default()
    }];
}

/// The page, START-HERE.txt and the labels, blanks made one.
fn shown(collection: &Collection, audience: Audience) -> [String; 3] {
    let nothing = BTreeMap::new();
    let aid = FindingAid {
        record: &Register::of(collection),
        package: "test",
        audience,
        made_on: "2026-11-25".parse().unwrap(),
        holdings: &Holdings::of(&[], &[]),
        seal: &Digest::of(Algorithm::Sha256, b""),
        withheld: &[],
        weighing: &nothing,
        history: &[],
        parts: &[],
    };
    [
        page::finding_aid(&aid),
        page::start_here_text(&aid),
        page::labels(&aid),
    ]
    .map(|text| {
        let text = text.replace("&amp;", "&");
        text.split_whitespace().collect::<Vec<&str>>().join(" ")
    })
}

fn weighed(collection: &Collection) -> Vec<String> {
    let options = WeighOptions::as_of(Day::from_iso("2026-11-25").unwrap());
    let called = weigh::weigh(collection, &options).cautions();
    called.into_iter().map(|one| one.id.into_owned()).collect()
}

#[test]
fn each_caution_stands_where_its_facts_are() {
    let mut tried = Vec::new();
    for (id, call) in CALLS {
        let one = caution::all().iter().find(|one| one.id == id).unwrap();
        let collection = collection(call);
        assert!(weighed(&collection).contains(&id.to_owned()), "weigh: {id}");
        let [page, text, labels] = shown(&collection, Audience::Family);
        assert!(page.contains(one.text), "page: {id}");
        assert!(text.contains(one.text), "START-HERE.txt: {id}");
        assert!(
            page.contains(caution::GENERAL) && text.contains(caution::GENERAL),
            "{id}"
        );
        let is_on_label = labels.contains(&format!("Take care: {}", one.about))
            || labels.contains(&format!("; {}", one.about));
        assert_eq!(is_on_label, id.starts_with('C'), "labels: {id}");
        tried.push(id);
    }
    // The rest belongs to what a person is about to do, or to whom the package goes.
    let others = ["C13", "L5", "L6", "L12"];
    let all = caution::all().iter().map(|one| one.id);
    assert!(
        all.clone()
            .all(|id| tried.contains(&id) || others.contains(&id))
    );
    assert_eq!(all.count(), tried.len() + others.len());
}

#[test]
fn without_their_facts_there_are_none_but_the_one_that_is_always_true() {
    let plain = collection(|_| {});
    assert_eq!(weighed(&plain), ["L1"]);
    let [page, text, labels] = shown(&plain, Audience::Family);
    for one in caution::all()
        .iter()
        .filter(|one| !["L1", "C13"].contains(&one.id))
    {
        assert!(
            !page.contains(one.text) && !text.contains(one.text),
            "{}",
            one.id
        );
        assert!(!labels.contains(one.text), "{}", one.id);
    }
}

#[test]
fn an_archive_is_spoken_of_to_whoever_gives_to_one() {
    let plain = collection(|_| {});
    let deed = caution::all().iter().find(|one| one.id == "L5").unwrap();
    let [page, text, _] = shown(&plain, Audience::Archive);
    assert!(page.contains(deed.text) && text.contains(deed.text));
}

#[test]
fn labels_say_how_to_label() {
    let [_, _, labels] = shown(&collection(|_| {}), Audience::Keeping);
    let label = caution::all().iter().find(|one| one.id == "C13").unwrap();
    assert!(labels.contains(label.text) && labels.contains(caution::GENERAL));
}

#[test]
fn whom_to_ask_stands_with_every_list() {
    assert!(
        caution::GENERAL
            .starts_with("This is general caution, not treatment, medical or legal advice.")
    );
    assert!(caution::GENERAL.contains("conservator") && caution::GENERAL.contains("lawyer"));
}
