use super::*;
use crate::record::Answer;
use crate::record::Claim;
use crate::record::DateEntry;
use crate::record::Lot;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::Receiver;
use crate::record::Rights;
use crate::record::Scan;
use crate::record::ShowTo;
use crate::record::Sitter;
use crate::record::View;

const TODAY: &str = "2026-11-25";

fn given(text: &str) -> Answer<String> {
    Answer::Given(text.to_owned())
}

fn date(text: &str) -> Answer<DateEntry> {
    Answer::Given(DateEntry::read(text).unwrap())
}

/// An invented collection with one secret of every kind.
fn collection() -> Collection {
    let mut collection = Collection {
        portraits: vec![
            Portrait {
                number: "A-001".into(),
                lot: Answer::Given("L1".into()),
                storage: given("Safe in the pantry"),
                notes: given("Ask Saskia Venn, saskia@venn.example"),
                ..Portrait::default()
            },
            Portrait {
                number: "A-002".into(),
                condition: given("Seen by SASKIA VENN; ring +44 20 7946 0018"),
                ..Portrait::default()
            },
        ],
        lots: vec![Lot {
            number: "L1".into(),
            price: given("240 guineas"),
            giver_contact: given("3 Quarry Lane"),
            ..Lot::default()
        }],
        people: vec![
            Person {
                number: "P1".into(),
                name: given("Saskia Venn"),
                born: date("1980"),
                ..Person::default()
            },
            Person {
                number: "P2".into(),
                name: given("Edwin Marrack"),
                born: date("1831"),
                died: date("1884"),
                ..Person::default()
            },
        ],
        claims: vec![Claim {
            portrait: "A-002".into(),
            sitter: Sitter::Person("P1".into()),
            reasons_for: vec!["Venn, Saskia said so".to_owned()],
            ..Claim::default()
        }],
        receivers: vec![Receiver {
            number: "R1".into(),
            name: given("Odo Venn"),
            ..Receiver::default()
        }],
        ..Collection::default()
    };
    collection.scans = vec![Scan {
        file: "x.jpg".to_owned(),
        portrait: Answer::Given("A-001".into()),
        view: Answer::Given(View::AlteredCopy),
        ..Scan::default()
    }];
    collection
}

fn json(audience: Audience) -> String {
    serde_json::to_string(&for_audience(&collection(), audience, TODAY).collection)
        .unwrap()
        .to_lowercase()
}

#[test]
fn own_storage_gets_everything() {
    let filtered = for_audience(&collection(), Audience::Keeping, TODAY);
    assert_eq!(filtered.collection, collection());
    assert!(filtered.withheld.is_empty());
}

#[test]
fn no_secret_leaves_for_relatives_or_strangers() {
    for audience in [Audience::Family, Audience::Public] {
        let text = json(audience);
        for secret in [
            "saskia", "venn", "pantry", "guineas", "quarry", "7946", "odo",
        ] {
            assert!(!text.contains(secret), "{audience}: {secret} in {text}");
        }
        assert!(text.contains("edwin marrack"), "{audience}");
    }
    assert!(!json(Audience::Public).contains("x.jpg"));
    assert!(json(Audience::Family).contains("x.jpg"));
}

#[test]
fn an_archive_gets_terms_but_no_price_or_place() {
    let text = json(Audience::Archive);
    for secret in ["guineas", "pantry", "saskia"] {
        assert!(!text.contains(secret), "{secret} in {text}");
    }
}

#[test]
fn what_is_held_back_is_listed_without_saying_it() {
    let filtered = for_audience(&collection(), Audience::Family, TODAY);
    let listed = serde_json::to_string(&filtered.withheld).unwrap();
    assert!(
        listed.contains("what it cost")
            && listed.contains("a person")
            && listed.contains("where it is stored"),
        "{listed}"
    );
    for secret in ["Venn", "guineas", "pantry"] {
        assert!(!listed.contains(secret), "{listed}");
    }
}

#[test]
fn living_is_a_rule_of_years() {
    let person = |born: Answer<DateEntry>, died: Answer<DateEntry>| Person {
        number: "P".into(),
        born,
        died,
        ..Person::default()
    };
    let living = |person: &Person| is_presumed_living(&Collection::default(), person, 2026);
    assert!(living(&person(Answer::Blank, Answer::Blank)));
    assert!(living(&person(date("1916"), Answer::Blank)));
    assert!(!living(&person(date("1915"), Answer::Blank)));
    assert!(!living(&person(date("1990"), date("2020"))));
    assert!(!living(&person(Answer::Blank, date("before 1950"))));
}

#[test]
fn consent_widens_and_show_to_narrows() {
    let mut with = collection();
    with.people[0].show_to = Answer::Given(ShowTo::Family);
    assert!(
        !serde_json::to_string(&for_audience(&with, Audience::Family, TODAY).collection)
            .unwrap()
            .contains("Saskia Venn")
    );
    with.people[0].consent = given("to being named to the family, in writing, 3 May 2026");
    assert!(
        serde_json::to_string(&for_audience(&with, Audience::Family, TODAY).collection)
            .unwrap()
            .contains("Saskia Venn")
    );
    assert!(
        !serde_json::to_string(&for_audience(&with, Audience::Public, TODAY).collection)
            .unwrap()
            .contains("Saskia")
    );
    with.people[1].show_to = Answer::Given(ShowTo::Nobody);
    assert!(
        !serde_json::to_string(&for_audience(&with, Audience::Family, TODAY).collection)
            .unwrap()
            .contains("Edwin")
    );
}

#[test]
fn a_hold_keeps_the_whole_portrait_until_its_day() {
    let mut with = collection();
    with.rights = vec![Rights {
        applies_to: given("A-002"),
        hold_until: date("2036-01-01"),
        ..Rights::default()
    }];
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    assert_eq!(left.portraits.len(), 1);
    assert!(left.claims.is_empty());
    assert_eq!(
        for_audience(&with, Audience::Family, "2036-01-02")
            .collection
            .portraits
            .len(),
        2
    );
    assert_eq!(
        for_audience(&with, Audience::Archive, TODAY)
            .collection
            .portraits
            .len(),
        2
    );
}

#[test]
fn numbers_that_are_no_telephones_stay() {
    for text in [
        "between 1890 and 1900",
        "1868-1870",
        "no. 6-18",
        "page 12, line 3",
        "1834-05-02",
        "14 x 20 in",
    ] {
        assert_eq!(text::mask_contacts_for_tests(text), text);
    }
    assert_eq!(
        text::mask_contacts_for_tests("ring 01632 960 123 soon"),
        "ring [held back] soon"
    );
}
