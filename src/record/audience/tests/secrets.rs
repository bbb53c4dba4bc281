//! What texts are searched for, and what stands in its place. README: "Every text is searched for the names of such people, for
//! telephone numbers, e-mail addresses".

use super::*;
use crate::record::ReceiverKind;
use crate::record::YesNo;

/// The sample with one more text, as an audience gets that text when nobody has decided anything.
fn told(with: &Collection, text: &str, audience: Audience) -> String {
    let mut with = with.clone();
    with.portraits[1].condition = given(text);
    let left = for_audience(&with, audience, TODAY).collection;
    left.portraits[1].condition.text().unwrap_or("").to_owned()
}

#[test]
fn prices_and_places_are_taken_out_of_every_text() {
    let mut with = collection();
    with.portraits[0].storage = given("Safe");
    with.lots[0].price = given("24/-");
    with.lots.push(Lot {
        number: "L2".into(),
        price: given("£9"),
        ..Lot::default()
    });
    with.portraits.push(Portrait {
        number: "A-003".into(),
        storage: given("Loft box 7"),
        ..Portrait::default()
    });
    for (text, left) in [
        (
            "bought for 24/- and kept",
            "bought for [held back]/- and kept",
        ),
        ("now in loft box 7.", "now in [held back]."),
        // A single common word and what is shorter than four signs would take out ordinary words.
        ("Safe to touch", "Safe to touch"),
        ("number 9", "number 9"),
    ] {
        assert_eq!(told(&with, text, Audience::Public), left);
    }
}

#[test]
fn the_keepers_contact_is_shown_as_they_wish_and_else_by_the_table() {
    let mut with = collection();
    with.about.contact = given("Wilmot Sparke, 9 Ferry Stairs, wilmot@sparke.example");
    for (wish, audience, is_shown) in [
        (None, Audience::Archive, true),
        (None, Audience::Public, false),
        (Some(YesNo::Yes), Audience::Public, true),
        (Some(YesNo::No), Audience::Archive, false),
    ] {
        with.about.contact_may_be_shown = wish.into();
        let filtered = for_audience(&with, audience, TODAY);
        assert_eq!(
            filtered.collection.about.contact.is_given(),
            is_shown,
            "{wish:?} {audience}"
        );
        let is_told = filtered
            .withheld
            .iter()
            .any(|one| one.what == "how to reach the keeper");
        assert_eq!(is_told, !is_shown, "{wish:?} {audience}");
        let text = told(
            &with,
            "Write to wilmot@sparke.example, 9 Ferry Stairs",
            audience,
        );
        let expected = if is_shown {
            "Write to wilmot@sparke.example, 9 Ferry Stairs"
        } else {
            "Write to [held back], [held back]"
        };
        assert_eq!(text, expected, "{wish:?} {audience}");
    }
}

#[test]
fn addresses_of_givers_are_taken_out_unless_the_story_tells_the_place_anyway() {
    let mut with = collection();
    with.lots[0].giver_contact = given("3 Quarry Lane; Sallow Mill House, Tollen\nback door");
    for text in [
        "left at 3 Quarry Lane",
        "left at Sallow Mill House",
        "left at the back door",
    ] {
        assert_eq!(
            told(&with, text, Audience::Family)
                .matches("[held back]")
                .count(),
            1,
            "{text}"
        );
    }
    // A town alone tells too little to be taken out.
    assert_eq!(
        told(&with, "seen in Tollen", Audience::Family),
        "seen in Tollen"
    );
    with.about.story = given("They hung in Sallow Mill House, 3 Quarry Lane, for years.");
    assert_eq!(
        told(&with, "left at Sallow Mill House", Audience::Family),
        "left at Sallow Mill House"
    );
    // With a house number it is an address whoever tells it.
    assert_eq!(
        told(&with, "left at 3 Quarry Lane", Audience::Family),
        "left at [held back]"
    );
    with.about.story = Answer::Blank;
    with.lots[0].from = given("the sale at Sallow Mill House");
    assert_eq!(
        told(&with, "left at Sallow Mill House", Audience::Family),
        "left at Sallow Mill House"
    );
}

#[test]
fn a_street_is_an_address_only_beside_somebody_who_may_be_living() {
    let with = collection();
    assert_eq!(
        told(&with, "Saskia Venn of 7 Sallow Lane", Audience::Family),
        "somebody not named here of [held back]"
    );
    assert_eq!(
        told(&with, "studio at 7 Sallow Lane", Audience::Family),
        "studio at 7 Sallow Lane"
    );
}

/// What the words of others, such as captions inside scans, mean for whoever decides.
#[test]
fn words_of_others_are_looked_through_for_the_same_people() {
    let mut with = collection();
    with.people.push(Person {
        number: "P3".into(),
        name: given("Odo Marrack"),
        born: date("1985"),
        show_to: Answer::Given(ShowTo::Family),
        consent: given("yes, by letter"),
        ..Person::default()
    });
    let decisions = Decisions::default();
    let seeker = outgoing(&with, &terms(Audience::Family, &decisions)).seeker;
    let meant = |text: &str, is_loose: bool| {
        let (whom, is_never) = seeker.meant(text, is_loose);
        (whom.join(", "), is_never)
    };
    assert_eq!(meant("Saskia Venn, 1999", false), ("P1".to_owned(), true));
    assert_eq!(meant("Odo Marrack", false), ("P3".to_owned(), false));
    assert_eq!(
        meant("Odo Marrack and Saskia", false),
        ("P1, P3".to_owned(), true)
    );
    assert_eq!(meant("saskia_03.jpg", true), ("P1".to_owned(), true));
    assert_eq!(meant("saskia", false), (String::new(), false));
    assert_eq!(
        meant("ring +44 20 7946 0018 or a@b.example", false),
        ("a telephone number, an e-mail address".to_owned(), false)
    );
    assert_eq!(meant("paid 240 guineas", false), (String::new(), false));
    let mut names: Vec<(&str, &str, bool)> = seeker
        .names()
        .iter()
        .map(|one| (one.name.as_str(), one.whose.as_str(), one.is_never))
        .collect();
    names.sort_unstable();
    assert_eq!(
        names,
        [
            ("Odo Marrack", "P3", false),
            ("Odo Venn", "R1", true),
            ("Saskia Venn", "P1", true)
        ]
    );
}

/// A name or part that somebody long dead has too gives nobody away.
#[test]
fn names_of_people_who_may_be_named_are_left_alone() {
    let mut with = collection();
    with.people[1].name = given("Saskia Marrack");
    assert_eq!(
        told(&with, "Saskia by the well", Audience::Family),
        "Saskia by the well"
    );
    assert_eq!(
        told(&with, "Venn by the well", Audience::Family),
        "somebody not named here by the well"
    );
    with.people[1].name = given("Saskia Venn");
    let decisions = Decisions::default();
    let seeker = outgoing(&with, &terms(Audience::Family, &decisions)).seeker;
    let sought: Vec<&str> = seeker
        .names()
        .iter()
        .map(|one| one.whose.as_str())
        .collect();
    assert_eq!(sought, ["R1"]);
}

#[test]
fn relatives_who_receive_are_not_named_and_bodies_and_the_keeper_are() {
    let mut with = collection();
    with.about.kept_by = given("Wilmot Sparke");
    for (name, kind, is_named) in [
        ("Odo Venn", None, false),
        ("Odo Venn", Some(ReceiverKind::Family), false),
        ("Odo Society", Some(ReceiverKind::Public), true),
        ("Odo Archive", Some(ReceiverKind::Archive), true),
        ("Wilmot Sparke", None, true),
        ("Edwin Marrack", None, true),
    ] {
        with.receivers[0].name = given(name);
        with.receivers[0].kind = kind.into();
        let text = told(&with, &format!("Copied for {name}."), Audience::Family);
        assert_eq!(text.contains(name), is_named, "{name} {kind:?}: {text}");
    }
}

/// The keeper signs the package; that they may be living hides their row, not their signature.
#[test]
fn a_keeper_who_agreed_is_named_as_the_sender() {
    let mut with = collection();
    with.about.kept_by = given("Saskia Venn");
    with.people[0].show_to = Answer::Given(ShowTo::Family);
    with.people[0].consent = given("yes, it is I");
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    assert_eq!(left.about.kept_by.text(), Some("Saskia Venn"));
    assert!(left.people.iter().all(|one| one.number != "P1".into()));
}

#[test]
fn what_overlaps_is_taken_out_once_and_the_rest_stays() {
    let with = collection();
    for (text, left) in [
        ("Saskia Venn", "somebody not named here"),
        (
            "Venn, Saskia (left), Edwin Marrack (right)",
            "somebody not named here (left), Edwin Marrack (right)",
        ),
        (
            "by Saskia Venn and by Odo Venn, 1999",
            "by somebody not named here and by somebody not named here, 1999",
        ),
        ("saskia@venn.example", "somebody not named here"),
        ("“Saskia”", "“somebody not named here”"),
    ] {
        assert_eq!(told(&with, text, Audience::Family), left);
    }
}

/// A family name that others share, or parents in the sheet, say that somebody is of the family; else no kinship is claimed.
#[test]
fn a_descendant_is_somebody_with_parents_or_a_shared_family_name() {
    let mut with = collection();
    assert_eq!(
        told(&with, "Saskia Venn", Audience::Family),
        "somebody not named here"
    );
    with.people[1].other_names = vec!["Edwin Venn".to_owned()];
    assert_eq!(told(&with, "Saskia Venn", Audience::Family), "a descendant");
    with.people[1].other_names = vec!["Venn Edwin".to_owned()];
    assert_eq!(
        told(&with, "Saskia Venn", Audience::Family),
        "somebody not named here"
    );
}

/// Numbers and names of files are never changed, or rows would no longer find each other.
#[test]
fn what_ties_rows_together_is_not_searched() {
    let mut with = collection();
    with.scans[0].file = "Saskia Venn.jpg".to_owned();
    with.portraits[0].number = "Venn".into();
    with.scans[0].portrait = Answer::Given("Venn".into());
    with.claims[0].portrait = "Venn".into();
    with.portraits[1].copy_of = Answer::Given("Venn".into());
    let left = for_audience(&with, Audience::Family, TODAY).collection;
    assert_eq!(left.portraits[0].number, "Venn".into());
    assert_eq!(left.scans[0].file, "Saskia Venn.jpg");
    assert_eq!(left.scans[0].portrait, Answer::Given("Venn".into()));
    assert_eq!(left.claims[0].portrait, "Venn".into());
    assert_eq!(left.portraits[1].copy_of, Answer::Given("Venn".into()));
}

/// The list says under which heading and of which portrait words were taken out, and never the words.
#[test]
fn what_was_taken_out_is_told_by_place_and_counted() {
    let mut with = collection();
    with.claims[0].reasons_against =
        vec!["Saskia is too young".to_owned(), "Venn was away".to_owned()];
    let withheld = for_audience(&with, Audience::Public, TODAY).withheld;
    let told: Vec<(&str, &str, u32)> = withheld
        .iter()
        .filter(|one| one.what.starts_with("words"))
        .map(|one| (one.of.as_str(), one.what.as_str(), one.times))
        .collect();
    assert_eq!(
        told,
        [
            ("A-002", "words under “condition”", 1),
            ("A-002", "words under “reasons against”", 2),
            ("A-002", "words under “reasons for”", 1),
        ]
    );
}

/// A price tells nobody's name, and a name that stands alone hints at nobody once it is taken out: neither is put to a person.
#[test]
fn what_leaves_no_hint_behind_is_taken_out_without_asking() {
    let mut with = collection();
    with.portraits[0].notes = given("Saskia Venn");
    with.portraits[1].condition = given("paid 240 guineas");
    with.claims.clear();
    let decisions = Decisions::default();
    assert_eq!(listed(&with, &terms(Audience::Archive, &decisions)), []);
    let left = for_audience(&with, Audience::Archive, TODAY).collection;
    assert_eq!(
        left.portraits[0].notes.text(),
        Some("somebody not named here")
    );
    assert_eq!(left.portraits[1].condition.text(), Some("paid [held back]"));
    with.portraits[0].notes = given("Saskia Venn?");
    assert_eq!(
        listed(&with, &terms(Audience::Archive, &decisions)).len(),
        1
    );
}

/// Parts of a row follow the table too; what has no line in it never leaves.
#[test]
fn a_field_without_a_rule_never_leaves_however_deep_it_stands() {
    let mut row = serde_json::json!({
        "number": "A-001",
        "unheard_of": "secret",
        "size": {"height": "4", "weight": "secret"},
        "belongs_with": [{"portrait": "A-002", "debt": "secret"}],
        "media": ["albumen print"],
    });
    let mut list = HeldBack::default();
    filter("portraits", &mut row, Audience::Public, &mut list);
    assert_eq!(
        row,
        serde_json::json!({
            "number": "A-001",
            "size": {"height": "4"},
            "belongs_with": [{"portrait": "A-002"}],
            "media": ["albumen print"],
        })
    );
    let told: Vec<String> = list.into_list().into_iter().map(|one| one.of).collect();
    assert!(told.contains(&"A-001".to_owned()), "{told:?}");
}
