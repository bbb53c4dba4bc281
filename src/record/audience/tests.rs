mod decisions;
mod living;
mod rows;
mod secrets;

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

fn terms<'a>(audience: Audience, decisions: &'a Decisions) -> Terms<'a> {
    Terms {
        audience,
        today: TODAY,
        living_years: LIVING_YEARS,
        decisions,
    }
}

fn listed(collection: &Collection, terms: &Terms<'_>) -> Vec<Leaving> {
    outgoing(collection, terms).listed
}

/// What leaves when a person answers everything that can be answered with yes.
fn with_yes(collection: &Collection, audience: Audience) -> String {
    let listed = listed(collection, &terms(audience, &Decisions::default()));
    let decisions = Decisions::of(listed.iter().map(|one| (one, Some(Decision::Yes))));
    let filtered = under(collection, &terms(audience, &decisions));
    serde_json::to_string(&filtered.collection).unwrap()
}

#[test]
fn consent_widens_once_the_list_was_answered_and_show_to_narrows() {
    let mut with = collection();
    with.people[0].show_to = Answer::Given(ShowTo::Family);
    assert!(!with_yes(&with, Audience::Family).contains("Saskia Venn"));
    with.people[0].consent = given("to being named to the family, in writing, 3 May 2026");
    assert!(with_yes(&with, Audience::Family).contains("Saskia Venn"));
    let unanswered = for_audience(&with, Audience::Family, TODAY).collection;
    assert!(
        !serde_json::to_string(&unanswered)
            .unwrap()
            .contains("Saskia")
    );
    assert!(!with_yes(&with, Audience::Public).contains("Saskia"));
    for no in ["none", "Says no to being named", "refused, 2026", "not yet"] {
        with.people[0].consent = given(no);
        assert!(
            !with_yes(&with, Audience::Family).contains("Saskia"),
            "{no}"
        );
    }
    with.people[1].show_to = Answer::Given(ShowTo::Nobody);
    assert!(!with_yes(&with, Audience::Family).contains("Edwin"));
}

#[test]
fn no_yes_lets_a_minor_or_somebody_who_refused_leave() {
    let mut with = collection();
    with.people[0].show_to = Answer::Given(ShowTo::Public);
    with.people[0].consent = given("her mother says yes");
    with.people[0].born = date("2017");
    for audience in [Audience::Archive, Audience::Family, Audience::Public] {
        assert!(
            !with_yes(&with, audience).to_lowercase().contains("saskia"),
            "{audience}"
        );
    }
}

#[test]
fn words_about_somebody_wait_for_a_decision() {
    let listed = listed(
        &collection(),
        &terms(Audience::Archive, &Decisions::default()),
    );
    let told: Vec<(&str, bool, bool)> = listed
        .iter()
        .map(|one| (one.place.as_str(), one.must_be_decided, one.may_leave))
        .collect();
    assert_eq!(
        told,
        [
            ("Who is it, A-002, reasons for", true, false),
            ("Portraits, A-001, notes", true, false),
            ("Portraits, A-002, condition", true, false),
        ]
    );
    let keep = Decisions::of(listed.iter().map(|one| (one, Some(Decision::NotThem))));
    let filtered = under(&collection(), &terms(Audience::Archive, &keep));
    let text = serde_json::to_string(&filtered.collection).unwrap();
    assert!(text.contains("Seen by SASKIA VENN"), "{text}");
}

#[test]
fn codes_change_with_the_words_and_with_the_audience() {
    let code = |audience, notes: &str| {
        let mut with = collection();
        with.portraits[0].notes = given(notes);
        let listed = listed(&with, &terms(audience, &Decisions::default()));
        listed
            .iter()
            .find(|one| one.place.contains("condition") || one.place.contains("notes"))
            .unwrap()
            .code
            .clone()
    };
    let one = code(Audience::Archive, "Saskia Venn wrote");
    assert_eq!(one, code(Audience::Archive, "Saskia Venn wrote"));
    assert_ne!(one, code(Audience::Archive, "Saskia Venn wrote!"));
    assert_ne!(
        code(Audience::Family, "Saskia Venn wrote"),
        code(Audience::Archive, "Saskia Venn wrote")
    );
}

#[test]
fn who_did_the_work_is_asked_for_unless_it_is_the_sender_or_long_ago() {
    let mut with = collection();
    with.about.kept_by = given("Wilmot Sparke");
    with.scans[0].made_by = given("Ines Sparke");
    with.claims[0].said_by = given("Wilmot Sparke");
    with.clues = vec![crate::record::Clue {
        number: "K1".into(),
        seen_by: given("Old Tamsin"),
        seen_on: date("1901"),
        ..crate::record::Clue::default()
    }];
    let listed = listed(&with, &terms(Audience::Family, &Decisions::default()));
    let credits: Vec<&str> = listed
        .iter()
        .filter(|one| one.kind == LeavingKind::Credit)
        .map(|one| one.words.as_str())
        .collect();
    assert_eq!(credits, ["Ines Sparke"]);
    let text =
        serde_json::to_string(&for_audience(&with, Audience::Family, TODAY).collection).unwrap();
    assert!(
        text.contains("Old Tamsin") && text.contains("Wilmot Sparke") && !text.contains("Ines")
    );
    assert!(with_yes(&with, Audience::Family).contains("Ines Sparke"));
}

#[test]
fn relatives_become_a_descendant_and_others_somebody() {
    let mut with = collection();
    with.people[0].parents = given("not written here");
    with.portraits[1].condition = given("Saskia Venn mended it; Odo Venn saw it");
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    assert_eq!(
        left.portraits[1].condition.text(),
        Some("a descendant mended it; somebody not named here saw it")
    );
}

#[test]
fn a_receiver_that_is_an_archive_is_no_person() {
    let mut with = collection();
    with.receivers[0].kind = Answer::Given(crate::record::ReceiverKind::Archive);
    with.receivers[0].name = given("Porthenys Old Papers Room");
    with.about.story = given("For the Porthenys Old Papers Room.");
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    assert_eq!(
        left.about.story.text(),
        Some("For the Porthenys Old Papers Room.")
    );
}

#[test]
fn what_says_nothing_is_not_listed_as_held_back() {
    let mut with = collection();
    with.lots[0].price = Answer::DoesNotApply;
    let filtered = for_audience(&with, Audience::Family, TODAY);
    assert!(
        !filtered
            .withheld
            .iter()
            .any(|one| one.what == "what it cost")
    );
    let receivers: Vec<u32> = filtered
        .withheld
        .iter()
        .filter(|one| one.of == "R1")
        .map(|one| one.times)
        .collect();
    assert_eq!(receivers, [1]);
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
