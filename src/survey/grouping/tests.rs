use super::*;

fn placed(files: &[&str]) -> Vec<(String, String, &'static str)> {
    placed_with(files, &Known::default())
}

fn placed_with(files: &[&str], known: &Known) -> Vec<(String, String, &'static str)> {
    group(files, known)
        .into_iter()
        .map(|one| (one.file, one.portrait.to_string(), one.view.word()))
        .collect()
}

fn rows(expected: &[(&str, &str, &'static str)]) -> Vec<(String, String, &'static str)> {
    expected
        .iter()
        .map(|(file, number, view)| ((*file).to_owned(), (*number).to_owned(), *view))
        .collect()
}

#[test]
fn numbers_and_words_in_names() {
    let expected = [
        ("A-001 back.tif", "A-001", "back"),
        ("A-001 front ai.jpg", "A-001", "altered copy"),
        ("A-001 front.jpg", "A-001", "front"),
        ("A-002_recto.tif", "A-002", "front"),
        ("A-002_verso.tif", "A-002", "back"),
        ("a-003 frame back.jpg", "a-003", "frame back"),
        ("A-003 label.png", "a-003", "label"),
    ];
    let files: Vec<&str> = expected.iter().map(|(file, ..)| *file).rev().collect();
    assert_eq!(placed(&files), rows(&expected));
}

#[test]
fn folders_that_are_a_portrait_or_a_view() {
    assert_eq!(
        placed(&[
            "A-001/1 detail.jpg",
            "A-001/back.jpg",
            "A-001/front.jpg",
            "A-001/IMG_0001.jpg",
            "Grandfather/back.jpg",
            "Grandfather/front.jpg",
            "backs/B-7.jpg",
            "fronts/B-7.jpg",
        ]),
        rows(&[
            ("A-001/1 detail.jpg", "A-001", "detail"),
            ("A-001/back.jpg", "A-001", "back"),
            ("A-001/front.jpg", "A-001", "front"),
            ("A-001/IMG_0001.jpg", "A-001", "front"),
            ("backs/B-7.jpg", "B-7", "back"),
            ("fronts/B-7.jpg", "B-7", "front"),
            ("Grandfather/back.jpg", "P-001", "back"),
            ("Grandfather/front.jpg", "P-001", "front"),
        ])
    );
}

#[test]
fn machine_names_get_numbers_of_their_own() {
    let placements = group(
        &["IMG_4472.JPG", "IMG_4471.JPG", "IMG_4471.HEIC"],
        &Known::default(),
    );
    let short: Vec<_> = placements
        .iter()
        .map(|one| {
            (
                one.file.as_str(),
                one.portrait.as_str(),
                one.camera_name.as_deref(),
            )
        })
        .collect();
    assert_eq!(
        short,
        [
            ("IMG_4471.HEIC", "P-001", Some("IMG_4471.HEIC")),
            ("IMG_4471.JPG", "P-001", Some("IMG_4471.JPG")),
            ("IMG_4472.JPG", "P-002", Some("IMG_4472.JPG")),
        ]
    );
    assert!(
        placements
            .iter()
            .all(|one| one.number_proposed && !one.view_named)
    );
}

#[test]
fn last_letters_are_views_only_in_pairs() {
    assert_eq!(
        placed(&[
            "A-001a.jpg",
            "A-001b.jpg",
            "A-002r.jpg",
            "A-002v.jpg",
            "A-003.jpg",
            "A-003b.jpg"
        ]),
        rows(&[
            ("A-001a.jpg", "A-001", "front"),
            ("A-001b.jpg", "A-001", "back"),
            ("A-002r.jpg", "A-002", "front"),
            ("A-002v.jpg", "A-002", "back"),
            ("A-003.jpg", "A-003", "front"),
            ("A-003b.jpg", "A-003", "back"),
        ])
    );
    assert_eq!(
        placed(&["A-001a.jpg", "A-001b.jpg", "A-001c.jpg"]),
        rows(&[
            ("A-001a.jpg", "A-001", "front"),
            ("A-001b.jpg", "A-001", "front"),
            ("A-001c.jpg", "A-001", "front"),
        ])
    );
}

#[test]
fn one_and_two_are_a_pair_but_a_series_is_not() {
    assert_eq!(
        placed(&[
            "A-001-1.jpg",
            "A-001-2.jpg",
            "A-002-1.jpg",
            "A-002-2.jpg",
            "A-002-3.jpg"
        ]),
        rows(&[
            ("A-001-1.jpg", "A-001", "front"),
            ("A-001-2.jpg", "A-001", "back"),
            ("A-002-1.jpg", "A-002-1", "front"),
            ("A-002-2.jpg", "A-002-2", "front"),
            ("A-002-3.jpg", "A-002-3", "front"),
        ])
    );
}

#[test]
fn names_of_people_never_become_numbers() {
    assert_eq!(
        placed(&[
            "Edwin Marrack back.jpg",
            "Edwin Marrack front.jpg",
            "Zoë.jpg"
        ]),
        rows(&[
            ("Edwin Marrack back.jpg", "P-001", "back"),
            ("Edwin Marrack front.jpg", "P-001", "front"),
            ("Zoë.jpg", "P-002", "front"),
        ])
    );
}

#[test]
fn the_catalogue_wins() {
    let known = Known {
        portraits: vec!["A-001".into(), "P-001".into()],
        files: vec![("IMG_4471.jpg".to_owned(), "A-001".into())],
    };
    assert_eq!(
        placed_with(
            &["IMG_4471 back.jpg", "a001 label.jpg", "other.jpg"],
            &known
        ),
        rows(&[
            ("a001 label.jpg", "A-001", "label"),
            ("IMG_4471 back.jpg", "A-001", "back"),
            ("other.jpg", "P-002", "front"),
        ])
    );
}

#[test]
fn made_up_numbers_avoid_those_in_names() {
    assert_eq!(
        placed(&["hat.jpg", "P-001 front.jpg"]),
        rows(&[
            ("hat.jpg", "P-002", "front"),
            ("P-001 front.jpg", "P-001", "front")
        ])
    );
}

#[test]
fn the_same_digits_in_two_folders_are_two_portraits() {
    assert_eq!(
        placed(&[
            "box 1/001 front.jpg",
            "box 1/001 back.jpg",
            "box 2/001 front.jpg"
        ]),
        rows(&[
            ("box 1/001 back.jpg", "001", "back"),
            ("box 1/001 front.jpg", "001", "front"),
            ("box 2/001 front.jpg", "P-001", "front"),
        ])
    );
}

#[test]
fn copies_beside_their_original_join_it() {
    assert_eq!(
        placed(&[
            "hat.jpg",
            "hat (1).jpg",
            "hat - Copy.jpg",
            "scan (1).jpg",
            "scan (2).jpg"
        ]),
        rows(&[
            ("hat (1).jpg", "P-001", "front"),
            ("hat - Copy.jpg", "P-001", "front"),
            ("hat.jpg", "P-001", "front"),
            ("scan (1).jpg", "P-002", "front"),
            ("scan (2).jpg", "P-003", "front"),
        ])
    );
}

#[test]
fn an_altered_copy_knows_its_source_only_without_doubt() {
    let source = |files: &[&str]| {
        group(files, &Known::default())
            .into_iter()
            .find(|one| one.copy == CopyKind::Altered)
            .unwrap()
            .altered_from
    };
    assert_eq!(
        source(&["A-001 front.jpg", "A-001 front ai.jpg"]).as_deref(),
        Some("A-001 front.jpg")
    );
    assert_eq!(
        source(&["A-001 front.jpg", "A-001 front.tif", "A-001 front ai.jpg"]),
        None
    );
    assert_eq!(source(&["A-001 back.jpg", "A-001 front ai.jpg"]), None);
}

#[test]
fn names_that_differ_in_case_alone_are_one_portrait() {
    assert_eq!(
        placed(&["Card.jpg", "card.JPG"]),
        rows(&[
            ("Card.jpg", "P-001", "front"),
            ("card.JPG", "P-001", "front")
        ])
    );
}

#[test]
fn order_of_files_does_not_matter() {
    let mut files = vec![
        "B-2.jpg",
        "A-001b.jpg",
        "x/front.jpg",
        "A-001a.jpg",
        "IMG_1.jpg",
        "B-10.jpg",
    ];
    let first = placed(&files);
    files.reverse();
    assert_eq!(placed(&files), first);
    files.rotate_left(2);
    assert_eq!(placed(&files), first);
}
