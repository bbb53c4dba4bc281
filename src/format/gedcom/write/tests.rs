use super::*;
use crate::format::gedcom::read;
use crate::record::Answer;

fn given(text: &str) -> Answer<String> {
    Answer::Given(text.to_owned())
}

fn person(number: &str, name: &str, born: &str) -> Person {
    Person {
        number: number.into(),
        name: given(name),
        born: Answer::Given(DateEntry::read(born).unwrap()),
        ..Person::default()
    }
}

fn claim(portrait: &str, person: &str, certainty: Certainty) -> Claim {
    Claim {
        portrait: portrait.into(),
        sitter: Sitter::Person(person.into()),
        certainty: Answer::Given(certainty),
        face_region: given("0.25, 0.1, 0.5, 0.6"),
        reasons_for: vec![
            "named on the back".to_owned(),
            "not like Anna Zzcandidate".to_owned(),
            "Vera Living says so".to_owned(),
        ],
        ..Claim::default()
    }
}

fn collection() -> Collection {
    let portrait = |number: &str| Portrait {
        number: number.into(),
        ..Portrait::default()
    };
    Collection {
        portraits: vec![
            portrait("A-001"),
            portrait("A-002"),
            portrait("A-003"),
            portrait("A-004"),
        ],
        people: vec![
            Person {
                other_names: vec!["Cora Trewin".to_owned()],
                died: Answer::Given(DateEntry::read("1931-02-03").unwrap()),
                born_at: given("St Ives"),
                ..person("P-1", "Cora /Marrack/", "1862~")
            },
            person("P-2", "Anna Zzcandidate", "1850"),
            person("P-3", "Vera Living", "1980"),
            person("P-4", "Silas Probable", "1850"),
        ],
        claims: vec![
            claim("A-001", "P-1", Certainty::Proved),
            claim("A-001", "P-2", Certainty::Doubtful),
            claim("A-002", "P-3", Certainty::Proved),
            claim("A-003", "P-4", Certainty::Probable),
            claim("A-004", "P-2", Certainty::Possible),
        ],
        ..Collection::default()
    }
}

fn pictures() -> Vec<FamilyPicture> {
    let picture = |portrait: &str, view, name: &str| FamilyPicture {
        source: format!("somewhere/{name}"),
        name: name.to_owned(),
        portrait: portrait.into(),
        view: Some(view),
        media_type: "image/jpeg".to_owned(),
        pixels: Some((4000, 6000)),
        is_altered: false,
    };
    vec![
        picture("A-001", View::Front, "A-001 front.jpg"),
        picture("A-001", View::Back, "A-001-back.jpg"),
        picture("A-002", View::Front, "A-002-front.jpg"),
        picture("A-003", View::Front, "A-003-front.jpg"),
        picture("A-004", View::Front, "A-004-front.jpg"),
        FamilyPicture {
            is_altered: true,
            ..picture("A-001", View::Front, "A-001-coloured.jpg")
        },
    ]
}

fn written() -> Gedzip {
    let context = GedzipContext {
        made_on: "2026-11-25",
        version: "0.1.0",
    };
    write(&collection(), &pictures(), &context)
}

#[test]
fn a_proved_sitter_is_linked_with_the_face_marked() {
    let gedzip = written();
    let expected = "0 @I1@ INDI\n1 NAME Cora Marrack\n1 NAME Cora Trewin\n2 TYPE AKA\n1 BIRT\n2 DATE ABT 1862\n2 PLAC St Ives\n\
                    1 DEAT\n2 DATE 3 FEB 1931\n1 REFN P-1\n2 TYPE number in the catalogue\n1 OBJE @O1@\n2 CROP\n3 TOP 600\n\
                    3 LEFT 1000\n3 HEIGHT 3600\n3 WIDTH 2000\n2 TITL ";
    assert!(gedzip.list.contains(expected), "{}", gedzip.list);
    assert!(gedzip.list.starts_with("0 HEAD\n1 GEDC\n2 VERS 7.0\n1 SOUR kithbag\n2 VERS 0.1.0\n2 NAME kithbag\n1 DATE 25 NOV 2026\n"));
    assert!(gedzip.list.ends_with("0 TRLR\n"));
    assert!(gedzip.list.contains("1 OBJE @O2@\n2 TITL "));
    assert!(
        gedzip
            .list
            .contains("1 FILE media/A-001%20front.jpg\n2 FORM image/jpeg\n3 MEDI PHOTO\n2 TITL ")
    );
    assert_eq!(gedzip.entries[0].name, "media/A-001 front.jpg");
    assert_eq!(gedzip.entries.len(), 3);
    assert_eq!((gedzip.people, gedzip.left_out_living), (1, 1));
}

#[test]
fn nobody_else_is_named_as_a_fact() {
    let list = written().list;
    assert!(!list.contains("Zzcandidate"));
    assert!(!list.contains("Vera"));
    assert!(!list.contains("coloured"));
    assert!(!list.contains("A-002") && !list.contains("A-004"));
    assert!(list.contains("Because: named on the back\n"));
    let silas: Vec<&str> = list.lines().filter(|line| line.contains("Silas")).collect();
    assert!(!silas.is_empty());
    assert!(
        silas
            .iter()
            .all(|line| line.to_lowercase().contains("probably silas")),
        "{silas:?}"
    );
}

#[test]
fn what_is_written_reads_back_as_a_family_tree() {
    let tree = read(written().list.as_bytes()).unwrap();
    assert!(tree.faults.is_empty());
    assert_eq!(tree.people.len(), 1);
    assert_eq!(tree.people[0].name, given("Cora Marrack"));
    assert_eq!(tree.people[0].born.given().unwrap().edtf.as_str(), "1862~");
}

#[test]
fn parts_become_whole_pixels_within_the_picture() {
    assert_eq!(part_of(4000, 0.25), 1000);
    assert_eq!(part_of(6000, 0.6), 3600);
    assert_eq!(part_of(10, 1.5), 10);
    assert_eq!(part_of(10, 0.0), 0);
    assert_eq!(part_of(u32::MAX, 1.0), u32::MAX);
    assert_eq!(part_of(3, 0.5), 2);
}
