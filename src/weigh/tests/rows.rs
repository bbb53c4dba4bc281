//! Rows that name other rows, rows that are not filled, and what stops the work.

use super::*;
use crate::concern::Severity;
use crate::record::CopyKind;
use crate::record::Row;
use crate::record::Scan;
use crate::record::View;
use crate::weigh::FoundFile;

fn scan(file: &str, portrait: &str, view: View) -> Scan {
    Scan {
        file: file.to_owned(),
        portrait: Answer::Given(portrait.into()),
        view: Answer::Given(view),
        ..Scan::default()
    }
}

fn codes(weighing: &Weighing, severity: Severity) -> Vec<&str> {
    weighing
        .concerns
        .iter()
        .filter(|concern| concern.severity == severity)
        .map(|concern| concern.code.as_ref())
        .collect()
}

/// What a draft holds that nobody has filled in: numbers, files and views.
fn draft() -> Collection {
    Collection {
        portraits: vec![
            Portrait {
                number: "P-001".into(),
                ..Portrait::default()
            },
            Portrait {
                number: "P-002".into(),
                ..Portrait::default()
            },
        ],
        scans: vec![
            scan("a.jpg", "P-001", View::Front),
            scan("b.jpg", "P-001", View::Back),
            scan("c.jpg", "P-002", View::Front),
        ],
        ..Collection::default()
    }
}

#[test]
fn a_fresh_draft_stops_nothing() {
    let weighing = weighed(&draft());
    assert!(codes(&weighing, Severity::Stop).is_empty());
    assert!(codes(&weighing, Severity::Warning).is_empty());
    assert_eq!(only(&weighing).who, "Unidentified sitter");
    assert_eq!(only(&weighing).certainty, "not said");
    assert_eq!(
        only(&weighing).line(),
        "P-001: Unidentified sitter (not said), date not known — missing: what it is, its lot"
    );
    assert!(weighing.sound().is_ok());
    assert!(weighed(&Collection::default()).sound().is_ok());
}

#[test]
fn four_things_stop_the_work() {
    let mut twice = draft();
    twice.portraits[1].number = "P-001".into();
    twice.portraits[1].row = Row(Some(3));
    let mut lost = draft();
    lost.scans[2].portrait = Answer::Given("P-009".into());
    let mut same_file = draft();
    same_file.scans[1].file = "a.jpg".to_owned();
    let mut unnumbered = draft();
    unnumbered.portraits[1].number = "".into();
    for (collection, code) in [
        (twice, "duplicate-portrait-number"),
        (lost, "scan-of-unknown-portrait"),
        (same_file, "duplicate-scan-file"),
        (unnumbered, "portrait-without-number"),
    ] {
        let weighing = weighed(&collection);
        assert!(codes(&weighing, Severity::Stop).contains(&code), "{code}");
        let refused = weighing.sound().unwrap_err();
        assert!(refused.has(code));
    }
}

#[test]
fn a_concern_names_sheet_row_and_column() {
    let mut collection = draft();
    collection.portraits[1].number = "P-001".into();
    collection.portraits[1].row = Row(Some(3));
    let weighing = weighed(&collection);
    let place = &concerns(&weighing, "duplicate-portrait-number")[0].place;
    assert_eq!(
        place.to_string(),
        "sheet “Portraits”, row 3, column “Portrait no.”"
    );
}

#[test]
fn every_unknown_number_is_told() {
    let mut collection = draft();
    collection.portraits[0].lot = Answer::Given("L-9".into());
    collection.portraits[0].copy_of = Answer::Given("P-009".into());
    collection.portraits[1].copy_of = Answer::Given("P-002".into());
    collection.words = vec![words("P-008", "x", WrittenIn::Ink)];
    let mut idea = claim("P-001", "N-9", Certainty::Suggested);
    idea.clues_for = vec!["C-9".into()];
    collection.claims = vec![idea];
    collection.clues = vec![clue("C-1", "P-007", ClueKind::Other, "x", "")];
    collection.rights = vec![crate::record::Rights {
        applies_to: given("P-006"),
        ..Default::default()
    }];
    let weighing = weighed(&collection);
    for (code, count) in [
        ("unknown-lot", 1),
        ("unknown-portrait", 4),
        ("unknown-person", 1),
        ("unknown-clue", 1),
        ("copy-of-itself", 1),
    ] {
        assert_eq!(concerns(&weighing, code).len(), count, "{code}");
    }
    assert!(!weighing.concerns.has_stop());
}

#[test]
fn files_and_rows_are_compared() {
    let files = [FoundFile::at("a.jpg"), FoundFile::at("new/d.tif")];
    let options = WeighOptions {
        files: Some(&files),
        ..WeighOptions::as_of(Day::first_of_year(2026))
    };
    let weighing = weigh(&draft(), &options);
    let unmatched = concerns(&weighing, "file-not-in-catalogue");
    assert_eq!(unmatched.len(), 1);
    assert_eq!(unmatched[0].place.file.as_deref(), Some("new/d.tif"));
    assert_eq!(concerns(&weighing, "file-not-found").len(), 2);
}

#[test]
fn an_altered_version_is_no_front() {
    let mut collection = draft();
    collection.scans[2].copy_kind = Answer::Given(CopyKind::Altered);
    let weighing = weighed(&collection);
    assert!(of_portrait(&weighing, "only-altered-front", "P-002").is_some());
    assert_eq!(concerns(&weighing, "altered-from-nothing").len(), 1);
}

#[test]
fn the_ladder_asks_for_its_least() {
    let base = |certainty: Certainty| {
        let mut collection = draft();
        collection.people = vec![person("N-1", "Anna Example", "1850", "1920")];
        collection.claims = vec![claim("P-001", "N-1", certainty)];
        collection
    };
    let lacking =
        |collection: &Collection| only(&weighed(collection)).candidates[0].lacking.clone();
    assert_eq!(lacking(&base(Certainty::Proved)).len(), 4);
    assert_eq!(lacking(&base(Certainty::Probable)).len(), 2);
    for certainty in [
        Certainty::Possible,
        Certainty::Doubtful,
        Certainty::RuledOut,
    ] {
        assert_eq!(lacking(&base(certainty)).len(), 1, "{certainty}");
    }
    assert!(lacking(&base(Certainty::Suggested)).is_empty());

    let mut proved = base(Certainty::Proved);
    let record = Clue {
        seen_as: Answer::Given(crate::record::SeenAs::Original),
        who_knew: Answer::Given(crate::record::WhoKnew::FirstHand),
        ..clue("C-1", "P-001", ClueKind::Record, "dated letter", "")
    };
    proved.clues = vec![
        record,
        clue("C-2", "P-001", ClueKind::Words, "name in the album", ""),
    ];
    proved.claims[0].clues_for = vec!["C-1".into(), "C-2".into()];
    proved.claims[0].reasons_for = vec!["The letter describes this picture.".to_owned()];
    proved.people[0].where_we_looked = given("albums of three cousins, June 2026");
    assert!(lacking(&proved).is_empty());
    let weighing = weighed(&proved);
    assert_eq!(only(&weighing).who, "Anna Example");
    assert!(concerns(&weighing, "certainty-not-met").is_empty());

    // Two clues of one source are one.
    proved.clues[1].source = proved.clues[0].source.clone();
    assert_eq!(lacking(&proved), ["two clues from different sources"]);
    // A clue against wants an answer.
    proved
        .clues
        .push(clue("C-3", "P-001", ClueKind::Record, "she was abroad", ""));
    proved.claims[0].clues_against = vec!["C-3".into()];
    proved.claims[0].reasons_for.clear();
    assert_eq!(lacking(&proved).len(), 3);
}

#[test]
fn one_kind_of_clue_alone_carries_only_so_far() {
    for (kind, certainty, code) in [
        (
            ClueKind::Likeness,
            Certainty::Possible,
            Some("likeness-alone"),
        ),
        (ClueKind::Likeness, Certainty::Suggested, None),
        (
            ClueKind::Words,
            Certainty::Probable,
            Some("unknown-hand-alone"),
        ),
        (ClueKind::Words, Certainty::Possible, None),
        (
            ClueKind::Maker,
            Certainty::Suggested,
            Some("maker-number-alone"),
        ),
        (ClueKind::Record, Certainty::Probable, None),
    ] {
        let mut collection = draft();
        collection.people = vec![person("N-1", "Anna Example", "1850", "1920")];
        collection.clues = vec![clue("C-1", "P-001", kind, "x", "")];
        collection.claims = vec![claim("P-001", "N-1", certainty)];
        collection.claims[0].clues_for = vec!["C-1".into()];
        let weighing = weighed(&collection);
        for alone in ["likeness-alone", "unknown-hand-alone", "maker-number-alone"] {
            assert_eq!(
                concerns(&weighing, alone).len(),
                usize::from(code == Some(alone)),
                "{kind} {certainty}"
            );
        }
    }
}

#[test]
fn two_sitters_of_one_face_and_withdrawn_ideas() {
    let mut collection = draft();
    collection.people = vec![
        person("N-1", "Anna Example", "1850", "1920"),
        person("N-2", "Berta Example", "1852", "1921"),
    ];
    collection.claims = vec![
        claim("P-001", "N-1", Certainty::Probable),
        claim("P-001", "N-2", Certainty::Proved),
    ];
    assert_eq!(
        concerns(&weighed(&collection), "two-sitters-one-face").len(),
        1
    );
    collection.claims[0].standing = Answer::Given(crate::record::Standing::Withdrawn);
    let weighing = weighed(&collection);
    assert!(concerns(&weighing, "two-sitters-one-face").is_empty());
    assert_eq!(concerns(&weighing, "withdrawn-without-reason").len(), 1);
    assert!(only(&weighing).candidates[0].withdrawn);
    assert_eq!(only(&weighing).who, "Berta Example");
}

#[test]
fn lives_that_exclude_are_told() {
    let with = |born: &str, died: &str| {
        let mut collection = draft();
        collection.portraits[0].kind = Answer::Given(PortraitKind::CarteDeVisite);
        collection.clues = vec![
            clue("C-1", "P-001", ClueKind::Object, "revenue stamp", ""),
            hard(
                clue("C-2", "P-001", ClueKind::Dress, "x", "[1860..1866]"),
                DateTarget::Sitting,
            ),
        ];
        collection.people = vec![person("N-1", "Anna Example", born, died)];
        collection.claims = vec![claim("P-001", "N-1", Certainty::Possible)];
        let weighing = weighed(&collection);
        let only = only(&weighing);
        only.candidates[0]
            .contradictions
            .iter()
            .map(|one| (one.code, one.only_asks))
            .collect::<Vec<_>>()
    };
    assert_eq!(with("1867", ""), [("born-after-picture", false)]);
    assert_eq!(with("1800", "1859")[0], ("dead-before-sitting", false));
    assert_eq!(with("1778", "1825")[0], ("dead-before-photography", false));
    assert_eq!(with("1840", "1863"), [("dead-before-print", true)]);
    assert!(with("1840", "1900").is_empty());
    assert!(with("", "").is_empty());
}

#[test]
fn a_grandfather_of_twelve_is_asked_about() {
    let mut collection = draft();
    collection.words = vec![words("P-001", "Grandfather", WrittenIn::Ink)];
    collection.portraits[0].kind = Answer::Given(PortraitKind::CarteDeVisite);
    collection.clues = vec![clue("C-1", "P-001", ClueKind::Object, "revenue stamp", "")];
    collection.people = vec![person("N-1", "Adam Example", "1854", "1930")];
    collection.claims = vec![claim("P-001", "N-1", Certainty::Possible)];
    let weighing = weighed(&collection);
    let asked = concerns(&weighing, "too-young-for-kin-word");
    assert_eq!(asked.len(), 1);
    assert_eq!(asked[0].severity, Severity::Question);
    collection.people[0].born = date("1820");
    assert!(concerns(&weighed(&collection), "too-young-for-kin-word").is_empty());
}

#[test]
fn stated_dates_are_compared_and_ask_for_their_reasons() {
    let mut collection = draft();
    collection.portraits[0].kind = Answer::Given(PortraitKind::Daguerreotype);
    collection.portraits[0].dates.print = date("c. 1820");
    let weighing = weighed(&collection);
    assert!(of_portrait(&weighing, "date-outside-limits", "P-001").is_some());
    assert!(of_portrait(&weighing, "date-without-basis", "P-001").is_some());
    collection.portraits[0].dates.print = date("1890");
    collection.portraits[0].dates.basis = given("told so");
    let weighing = weighed(&collection);
    assert!(of_portrait(&weighing, "date-outside-estimate", "P-001").is_some());
    assert!(of_portrait(&weighing, "date-without-basis", "P-001").is_none());
}

#[test]
fn the_same_picture_in_two_files() {
    let mut collection = draft();
    for scan in &mut collection.scans {
        scan.facts.picture_digest = Some("d1".to_owned());
        scan.facts.sha256 = Some(format!("s-{}", scan.file));
    }
    collection.scans[1].facts.picture_digest = Some("d2".to_owned());
    let weighing = weighed(&collection);
    assert_eq!(concerns(&weighing, "one-picture-two-portraits").len(), 1);
    assert_eq!(
        only(&weighing).ties[0].kind,
        crate::weigh::TieKind::SamePicture
    );
    collection.scans[2].portrait = Answer::Given("P-001".into());
    collection.scans[2].facts.sha256 = Some("s-a.jpg".to_owned());
    let weighing = weighed(&collection);
    let same = concerns(&weighing, "same-picture-twice");
    assert!(same[0].what.contains("the same file"));
}

#[test]
fn a_tie_of_kin_is_no_evidence_of_kinship() {
    let mut collection = draft();
    collection.portraits[0].belongs_with = vec![crate::record::BelongsWith {
        portrait: "P-002".into(),
        reason: "his wife, by the frames".to_owned(),
    }];
    let weighing = weighed(&collection);
    assert_eq!(concerns(&weighing, "kinship-in-a-tie").len(), 1);
    assert_eq!(
        only(&weighing).ties[0].kind,
        crate::weigh::TieKind::Companion
    );
}

#[test]
fn headings_in_concerns_are_headings_of_the_sheets() {
    use crate::catalogue::column_of;
    use crate::catalogue::columns;
    let of_sheets: &[(&columns::SheetPlan, &[&str])] = &[
        (
            &columns::PORTRAITS,
            &[
                "Portrait no.",
                "Lot no.",
                "What it is",
                "Belongs with",
                "Copy of",
                "Why no back view",
                "Why not scanned",
                "Why those dates",
                "Sitting made",
                "This print made",
                "Framed or written on",
                "Height",
                "Number on it",
            ],
        ),
        (
            &columns::SCANS,
            &[
                "File name now",
                "Portrait no.",
                "View",
                "Altered from",
                "True dots per inch",
                "Dots per inch set",
                "Colour",
                "Private facts found",
            ],
        ),
        (&columns::WORDS, &["Portrait no.", "The words exactly"]),
        (
            &columns::PEOPLE,
            &[
                "Person no.",
                "Name as best known",
                "Died",
                "Consent on file?",
            ],
        ),
        (
            &columns::CLAIMS,
            &[
                "Portrait no.",
                "Person no. or unknown man",
                "How sure",
                "Said by",
                "Said on",
                "Clues for",
                "Clues against",
                "Why withdrawn",
                "Which face",
            ],
        ),
        (
            &columns::CLUES,
            &[
                "Clue no.",
                "About portrait",
                "About person",
                "Where it comes from",
            ],
        ),
        (&columns::LOTS, &["Lot no."]),
        (&columns::RIGHTS, &["Applies to"]),
    ];
    for (sheet, headings) in of_sheets {
        for heading in *headings {
            assert!(
                column_of(sheet, heading).is_some(),
                "{} {heading}",
                sheet.name
            );
        }
    }
}
