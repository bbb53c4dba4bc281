//! The invented demonstration "The Trevanick pair": three framed portraits from a vestry cupboard. Names, places and firms are
//! invented.

use super::*;
use crate::record::CopyKind;
use crate::record::Scan;
use crate::record::Unit;
use crate::record::View;

const MAKER: &str = "Hallowmere Portrait Copying House";

fn large(number: &str, order: &str) -> Portrait {
    let mut one = portrait(number, PortraitKind::LargeCrayon);
    one.bowed = Answer::Given(YesNo::Yes);
    one.size.height = given("20");
    one.size.width = given("14");
    one.size.unit = Answer::Given(Unit::Inch);
    one.maker.as_printed = given(MAKER);
    one.maker.number = Answer::from_cell(order);
    one
}

fn scan(file: &str, portrait: &str, view: View, pixels: (u32, u32)) -> Scan {
    let mut scan = Scan {
        file: file.to_owned(),
        portrait: Answer::Given(portrait.into()),
        view: Answer::Given(view),
        copy_kind: Answer::Given(CopyKind::Untouched),
        ..Scan::default()
    };
    scan.facts.width = Some(pixels.0);
    scan.facts.height = Some(pixels.1);
    scan
}

fn pair() -> Collection {
    let mut first = large("A-001", "6-18");
    first.dates.print = date("[1890~..1905~]");
    first.dates.basis = given("finish, board and stamp");
    let mut front = scan("a1-front.jpg", "A-001", View::Front, (4000, 3000));
    front.facts.private_found = vec!["place (GPS)".to_owned()];
    let mut cleaned = scan("a1-cleaned.jpg", "A-001", View::AlteredCopy, (4000, 3000));
    cleaned.copy_kind = Answer::Given(CopyKind::Altered);
    cleaned.altered_from = given("a1-front.jpg");
    let mut sleeves = clue(
        "C-2",
        "A-002",
        ClueKind::Dress,
        "high puffed sleeves",
        "[1893..1897]",
    );
    sleeves.source = given("costume books");
    let mut label = clue(
        "C-1",
        "A-001",
        ClueKind::Words,
        "label E. Marrack – Petrel",
        "",
    );
    label.persons = vec!["P-1".into(), "P-2".into()];
    let by_label = |person: &str| Claim {
        clues_for: vec!["C-1".into()],
        ..claim("A-001", person, Certainty::Possible)
    };
    Collection {
        portraits: vec![first, large("A-002", "no. 6-19"), large("A-003", "")],
        scans: vec![
            front,
            scan("a1-back.jpg", "A-001", View::Back, (4000, 3000)),
            cleaned,
            scan("a2-front.tif", "A-002", View::Front, (5600, 8000)),
            scan("a2-back.tif", "A-002", View::Back, (5600, 8000)),
        ],
        words: vec![words("A-001", "E. Marrack – Petrel", WrittenIn::Ink)],
        people: vec![
            person("P-1", "Edwin Marrack", "1831", "1884"),
            person("P-2", "Enoch Marrack", "1838", "1907"),
            person("P-3", "Loveday Rowse", "1835", "1919"),
            person("P-4", "Cora Lunt", "1844", "1926"),
            person("P-5", "Thirza Marrack", "1829", "1891"),
        ],
        claims: vec![
            by_label("P-1"),
            by_label("P-2"),
            claim("A-002", "P-3", Certainty::Suggested),
            claim("A-002", "P-4", Certainty::Suggested),
            claim("A-002", "P-5", Certainty::Suggested),
        ],
        clues: vec![label, sleeves],
        ..Collection::default()
    }
}

#[test]
fn neighbouring_numbers_tie_two_of_the_three_and_make_no_marriage() {
    let weighing = weighed(&pair());
    let tied = |number: &str| -> Vec<String> {
        of(&weighing, number)
            .ties
            .iter()
            .filter(|tie| tie.kind == crate::weigh::TieKind::SameOrder)
            .flat_map(|tie| tie.portraits.clone())
            .collect()
    };
    assert_eq!(tied("A-001"), ["A-002"]);
    assert_eq!(tied("A-002"), ["A-001"]);
    assert!(tied("A-003").is_empty());
    let everything = serde_json::to_string(&weighing).unwrap().to_lowercase();
    assert!(
        !everything.contains("married")
            && !everything.contains("spouse")
            && !everything.contains("wife")
    );
}

#[test]
fn two_men_of_the_label_stay_possible_and_nobody_is_named() {
    let weighing = weighed(&pair());
    let first = of(&weighing, "A-001");
    assert_eq!(first.who, "Unidentified sitter");
    assert_eq!(first.certainty, "possible");
    assert_eq!(first.candidates.len(), 2);
    assert!(of_portrait(&weighing, "certainty-not-met", "A-001").is_none());
    // Probable asks for a second, independent clue.
    let mut bolder = pair();
    bolder.claims[0].certainty = Answer::Given(Certainty::Probable);
    let weighing = weighed(&bolder);
    assert!(of_portrait(&weighing, "certainty-not-met", "A-001").is_some());
    assert!(of_portrait(&weighing, "unknown-hand-alone", "A-001").is_some());
    assert!(
        of(&weighing, "A-001").candidates[0]
            .lacking
            .iter()
            .any(|what| what.contains("two clues"))
    );
    // A second clue of his own is not enough while the first fits both men; a third one is.
    for number in ["C-8", "C-9"] {
        bolder
            .clues
            .push(clue(number, "A-001", ClueKind::Record, "harbour book", ""));
        bolder.claims[0].clues_for.push(number.into());
        let weighing = weighed(&bolder);
        assert_eq!(
            of_portrait(&weighing, "certainty-not-met", "A-001").is_some(),
            number == "C-8"
        );
    }
}

#[test]
fn dates_of_the_first() {
    let weighing = weighed(&pair());
    let first = of(&weighing, "A-001");
    // The given date of the print, about 1890 to about 1905, stands; the clues alone give 1880 to 1920.
    assert_eq!(first.when, "between about 1890 and about 1905");
    assert_eq!(estimate(first.dates.print.as_deref()), "[1880..1920]");
    assert!(of_portrait(&weighing, "date-outside-estimate", "A-001").is_none());
    // The sitting ends with the death of whichever man it is; it begins with his birth.
    assert_eq!(text(first.candidates[0].sitting.as_ref()), "[1831..1884]");
    assert_eq!(text(first.candidates[1].sitting.as_ref()), "[1838..1907]");
    // An older picture behind an enlargement is the usual case: no question, no warning.
    assert!(weighing.concerns.iter().all(
        |one| one.code != "dead-before-print" || one.severity == crate::concern::Severity::Note
    ));
}

#[test]
fn a_clue_of_that_range_comes_out_as_it_was_written() {
    let mut collection = pair();
    collection.clues.push(clue(
        "C-3",
        "A-001",
        ClueKind::Object,
        "finish and board, judged by a dealer",
        "between c. 1890 and c. 1905",
    ));
    let weighing = weighed(&collection);
    assert_eq!(
        estimate(of(&weighing, "A-001").dates.print.as_deref()),
        "[1890~..1905~]"
    );
}

#[test]
fn sleeves_of_the_nineties_on_somebody_dead_in_1891_ask_whether_it_is_a_copy() {
    sleeves_ask("[1893..1897]");
    // "About" allows five years more, and the question is the same.
    sleeves_ask("[1893~..1897~]");
}

fn sleeves_ask(years: &str) {
    let mut collection = pair();
    collection.clues[1].date = date(years);
    let weighing = weighed(&collection);
    let second = of(&weighing, "A-002");
    assert_eq!(second.candidates.len(), 3);
    assert_eq!(estimate(second.dates.sitting.as_deref()), years);
    let thirza = &second.candidates[2];
    let asked: Vec<&str> = thirza.contradictions.iter().map(|one| one.code).collect();
    assert!(asked.contains(&"dead-before-sitting"));
    assert!(thirza.contradictions.iter().all(|one| one.only_asks));
    assert!(
        thirza.contradictions[0]
            .what
            .contains("copy of an older picture")
    );
    // Not a contradiction: if it is she, the sitting was in her lifetime.
    assert_eq!(text(thirza.sitting.as_ref()), "[1829..1891]");
    assert!(second.candidates[0].contradictions.is_empty());
    assert_eq!(
        of_portrait(&weighing, "dead-before-sitting", "A-002")
            .unwrap()
            .severity,
        crate::concern::Severity::Question
    );
}

#[test]
fn the_phone_picture_is_below_the_aims_and_holds_a_place() {
    let weighing = weighed(&pair());
    let front = &of(&weighing, "A-001").scans[0];
    assert_eq!(
        (front.true_ppi, front.in_words.as_str()),
        (200, "below 300/400")
    );
    assert_eq!(concerns(&weighing, "private-facts-in-scan").len(), 1);
    assert_eq!(of(&weighing, "A-002").scans[0].true_ppi, 400);
}

#[test]
fn the_cleaned_version_is_barred_as_evidence() {
    let mut collection = pair();
    let mut likeness = clue("C-9", "A-001", ClueKind::Dress, "coat of the 1870s", "187X");
    likeness.source = given("seen in a1-cleaned.jpg.");
    collection.clues.push(likeness);
    collection.claims[0].clues_for = vec!["C-9".into()];
    let weighing = weighed(&collection);
    assert_eq!(concerns(&weighing, "altered-as-evidence").len(), 1);
    assert!(of(&weighing, "A-001").dates.sitting.is_none());
    assert!(of_portrait(&weighing, "certainty-not-met", "A-001").is_some());
}

#[test]
fn the_third_has_no_views_yet_and_nothing_stops() {
    let weighing = weighed(&pair());
    assert!(of_portrait(&weighing, "no-front", "A-003").is_some());
    assert!(of_portrait(&weighing, "no-back", "A-003").is_some());
    assert!(!weighing.concerns.has_stop());
    assert!(
        weighing
            .explain(&"A-001".into())
            .unwrap()
            .text
            .contains("Edwin Marrack")
    );
    assert!(weighing.sound().is_ok());
}

#[test]
fn lines_for_a_package_name_no_candidate() {
    let mut collection = pair();
    collection.clues.push(clue(
        "C-3",
        "A-001",
        ClueKind::Record,
        "Edwin Marrack sat for it",
        "[1870..1884]",
    ));
    let weighing = weighed(&collection);
    let lines = of(&weighing, "A-001").date_lines().join("\n");
    assert!(
        lines.contains("clue C-3") && !lines.contains("Marrack"),
        "{lines}"
    );
}

#[test]
fn the_page_draws_clues_lives_and_results() {
    use std::collections::BTreeMap;
    let weighing = weighed(&pair());
    let picture = crate::weigh::PagePicture {
        address: "data:image/jpeg;base64,/9j+AA==".to_owned(),
        width: 320,
        height: 240,
    };
    let page = weighing.page(&BTreeMap::from([("A-001".into(), picture)]));
    let read = roxmltree::Document::parse(
        &page[page.find("<svg").unwrap()..page.find("</svg>").unwrap() + 6],
    );
    let svg = read.unwrap();
    let titles: Vec<&str> = svg
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "title")))
        .filter_map(|node| node.text())
        .collect();
    assert!(titles.contains(&"This print, 1880 to 1920"), "{titles:?}");
    assert!(titles.contains(&"life of Edwin Marrack, 1831 to 1884"));
    assert!(titles.contains(&"crayon enlargement, possible years, 1857 to open"));
    assert!(
        page.contains("src=\"data:image/jpeg;base64,/9j+AA==\"") && page.contains("img-src data:;")
    );
    assert_eq!(page.matches("<article").count(), 3);
    assert!(!page.contains("<script"));
}
