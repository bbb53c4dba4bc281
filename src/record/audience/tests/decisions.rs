//! What a person can answer to what would leave, and what follows.

use super::*;

fn leaving(kind: LeavingKind, may_leave: bool) -> Leaving {
    let mut one = Leaving::new(
        Audience::Family,
        kind,
        vec!["P1".to_owned()],
        "Portraits, A-001, notes".to_owned(),
        "words".to_owned(),
    );
    one.may_leave = may_leave;
    one
}

#[test]
fn answers_are_read_however_they_are_typed() {
    for (typed, expected) in [
        ("yes", Some(Decision::Yes)),
        (" Y ", Some(Decision::Yes)),
        ("No", Some(Decision::No)),
        ("n", Some(Decision::No)),
        ("NOT THEM", Some(Decision::NotThem)),
        ("not they", Some(Decision::NotThem)),
        ("somebody else", Some(Decision::NotThem)),
        ("", None),
        ("perhaps", None),
    ] {
        assert_eq!(Decision::from_word(typed), expected, "{typed}");
    }
    for one in [Decision::Yes, Decision::No, Decision::NotThem] {
        assert_eq!(Decision::from_word(one.word()), Some(one));
        assert_eq!(one.lets_go(), one != Decision::No);
    }
}

/// "Not them" says that words mean somebody else; a row of the People sheet or the name of whoever did the work cannot.
#[test]
fn each_thing_knows_its_answers() {
    for (kind, may_leave, answers) in [
        (LeavingKind::Person, true, "yes / no"),
        (LeavingKind::Credit, true, "yes / no"),
        (LeavingKind::Words, true, "yes / no / not them"),
        (LeavingKind::Words, false, "no / not them"),
        (LeavingKind::Caption, false, "no / not them"),
        (LeavingKind::FileName, true, "yes / no / not them"),
    ] {
        let one = leaving(kind, may_leave);
        assert_eq!(one.answers(), answers, "{kind:?}");
        for decision in [Decision::Yes, Decision::No, Decision::NotThem] {
            let is_offered = answers.split(" / ").any(|word| word == decision.word());
            assert_eq!(one.takes(decision), is_offered, "{kind:?} {decision:?}");
        }
    }
}

/// The list that a person answers says beside each line what a no would do.
#[test]
fn a_no_is_explained_for_each_kind() {
    for (kind, told) in [
        (LeavingKind::Person, "the person is left out"),
        (LeavingKind::Words, "words are taken out"),
        (LeavingKind::Credit, "name is left out"),
        (LeavingKind::Caption, "scan is left out"),
        (LeavingKind::FileName, "scan is left out"),
    ] {
        assert!(
            kind.when_no().contains(told),
            "{kind:?}: {}",
            kind.when_no()
        );
    }
}

#[test]
fn only_a_yes_to_the_row_lets_a_person_go() {
    let row = leaving(LeavingKind::Person, true);
    let words = leaving(LeavingKind::Words, true);
    let lets_go = |one: &Leaving, decision| Decisions::of([(one, decision)]).lets_go("P1");
    assert!(lets_go(&row, Some(Decision::Yes)));
    assert!(!lets_go(&row, Some(Decision::No)));
    assert!(!lets_go(&row, None));
    assert!(!lets_go(&words, Some(Decision::Yes)));
    let decisions = Decisions::of([(&row, Some(Decision::Yes))]);
    assert_eq!(decisions.on(&row.code), Some(Decision::Yes));
    assert_eq!(decisions.on(&words.code), None);
    assert!(!decisions.lets_go("P2"));
}

/// Spreadsheets must not take a code for a number, nor may two things share one.
#[test]
fn codes_are_words_and_differ() {
    let codes: std::collections::BTreeSet<String> = [
        LeavingKind::Person,
        LeavingKind::Words,
        LeavingKind::Credit,
        LeavingKind::Caption,
        LeavingKind::FileName,
    ]
    .into_iter()
    .map(|kind| leaving(kind, true).code)
    .collect();
    assert_eq!(codes.len(), 5);
    for code in codes {
        assert!(code.starts_with("k-") && code.len() == 18, "{code}");
    }
}

/// A yes that is no answer, for somebody who agreed to nothing, lets nothing go.
#[test]
fn an_answer_that_is_none_changes_nothing() {
    let mut with = collection();
    let list = listed(&with, &terms(Audience::Archive, &Decisions::default()));
    let yes = Decisions::of(list.iter().map(|one| (one, Some(Decision::Yes))));
    let left = under(&with, &terms(Audience::Archive, &yes)).collection;
    let condition = left.portraits[1].condition.text().unwrap_or_default();
    assert!(!condition.to_lowercase().contains("saskia"), "{condition}");
    // Who may be named is named, and words that need no decision of their own follow the row.
    with.people[0].show_to = Answer::Given(ShowTo::Family);
    with.people[0].consent = given("yes, by letter");
    with.portraits[0].shows = given("Saskia Venn wrote on it");
    let list = listed(&with, &terms(Audience::Family, &Decisions::default()));
    let row = list.iter().filter(|one| one.kind == LeavingKind::Person);
    let only_row = Decisions::of(row.map(|one| (one, Some(Decision::Yes))));
    let left = under(&with, &terms(Audience::Family, &only_row)).collection;
    assert_eq!(
        left.portraits[0].shows,
        Answer::Given("Saskia Venn wrote on it".to_owned())
    );
    let of_words: Vec<(&str, bool, bool)> = list
        .iter()
        .filter(|one| one.kind == LeavingKind::Words && one.place.contains("shows"))
        .map(|one| (one.place.as_str(), one.must_be_decided, one.may_leave))
        .collect();
    assert_eq!(of_words, [("Portraits, A-001, shows", false, true)]);
}
