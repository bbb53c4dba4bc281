//! What a page must and must not say.

use super::*;
use crate::fixity::Algorithm;
use crate::record::About;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::DateEntry;
use crate::record::Person;
use crate::record::Scan;
use crate::record::Sitter;
use crate::record::Standing;
use crate::record::Transcription;
use crate::record::View;

fn text(words: &str) -> Answer<String> {
    Answer::Given(words.to_owned())
}

fn person(number: &str, name: &str) -> Person {
    Person {
        number: number.into(),
        name: text(name),
        ..Person::default()
    }
}

fn claim(portrait: &str, person: &str, certainty: Certainty) -> Claim {
    Claim {
        portrait: portrait.into(),
        sitter: Sitter::Person(person.into()),
        certainty: Answer::Given(certainty),
        reasons_for: vec![format!("reason for {person}")],
        ..Claim::default()
    }
}

fn collection() -> Collection {
    let portrait = |number: &str, shows: &str| Portrait {
        number: number.into(),
        shows: text(shows),
        ..Portrait::default()
    };
    Collection {
        about: About {
            title: text("The <Trevanick> & \"portraits\""),
            ..About::default()
        },
        portraits: vec![
            portrait("A-001", "man in a pilot coat"),
            portrait("A-002", "woman"),
            portrait("A-003", "woman"),
        ],
        scans: vec![Scan {
            file: "one.jpg".to_owned(),
            portrait: Answer::Given("A-001".into()),
            view: Answer::Given(View::Front),
            ..Scan::default()
        }],
        people: vec![
            person("P1", "Edwin Marrack"),
            person("P2", "Cora Lunt"),
            person("P3", "Loveday Rowse"),
        ],
        claims: vec![
            claim("A-001", "P1", Certainty::Possible),
            claim("A-002", "P2", Certainty::Probable),
            claim("A-003", "P3", Certainty::Proved),
        ],
        words: vec![Transcription {
            portrait: "A-001".into(),
            text: text("E. Marrack\n   – Petrel <i>"),
            ..Transcription::default()
        }],
        ..Collection::default()
    }
}

struct Given {
    collection: Collection,
    payload: Vec<PayloadFile>,
    pictures: Vec<Picture>,
    seal: Digest,
    withheld: Vec<String>,
    weighing: BTreeMap<PortraitNumber, Vec<String>>,
}

impl Given {
    fn new(collection: Collection) -> Self {
        Self {
            collection,
            payload: vec![PayloadFile {
                path: "data/viewing/A-001-front.jpg".to_owned(),
                sha256: Digest::of(Algorithm::Sha256, b"picture"),
                bytes: 1_234_567,
                portrait: Some("A-001".into()),
                view: Some(View::Front),
            }],
            pictures: vec![Picture {
                scan: "one.jpg".to_owned(),
                viewing: "data/viewing/A-001-front.jpg".to_owned(),
                captioned: Some("data/viewing/captioned/A-001-front.jpg".to_owned()),
                width: 1400,
                height: 2000,
            }],
            seal: Digest::of(Algorithm::Sha256, b"manifest"),
            withheld: Vec::new(),
            weighing: BTreeMap::new(),
        }
    }

    fn shown(&self, show: impl Fn(&FindingAid<'_>) -> String) -> String {
        show(&FindingAid {
            record: &Register::of(&self.collection),
            package: "trevanick",
            audience: Audience::Family,
            made_on: Date::constant(2026, 11, 25),
            holdings: &Holdings::of(&self.payload, &self.pictures),
            seal: &self.seal,
            withheld: &self.withheld,
            weighing: &self.weighing,
            history: &[],
            parts: &[],
        })
    }
}

fn page() -> String {
    Given::new(collection()).shown(finding_aid)
}

/// Returns the parts of a page between two marks.
fn between<'a>(page: &'a str, start: &str, end: &str) -> Vec<&'a str> {
    page.split(start)
        .skip(1)
        .map(|part| part.split(end).next().unwrap_or(part))
        .collect()
}

#[test]
fn a_candidate_is_named_only_among_the_reasons() {
    let page = page();
    let outside: String = page
        .split("<section class=\"who\">")
        .map(|part| part.split_once("</section>").map_or(part, |(_, rest)| rest))
        .collect();
    assert!(page.contains("Edwin Marrack"));
    assert!(!outside.contains("Edwin"));
    assert!(outside.contains("Unidentified man"));
}

#[test]
fn a_probable_name_always_carries_the_word() {
    let page = page();
    let heads: String = between(&page, "<h3>", "</h3>").concat();
    assert!(heads.contains("Probably Cora Lunt") && heads.contains("<bdi>Loveday Rowse</bdi>"));
    let index: String = between(&page, "<li><a href=\"#p", "</li>").concat();
    assert!(index.contains("Probably Cora Lunt") && !index.contains("<bdi>Cora"));
    for (at, _) in page.match_indices("Cora Lunt") {
        let before = &page[at.saturating_sub(120)..at];
        assert!(before.to_lowercase().contains("probabl"), "{before}");
    }
}

#[test]
fn a_withdrawn_name_is_struck_and_dated() {
    let mut record = collection();
    record.claims[0].standing = Answer::Given(Standing::Withdrawn);
    record.claims[0].withdrawn_why = text("3 May 2026, a letter was found");
    let page = Given::new(record).shown(finding_aid);
    assert!(page.contains("<s><bdi>Edwin Marrack</bdi></s> — withdrawn: <bdi>3 May 2026"));
    assert!(page.contains("nobody is named"));
}

#[test]
fn words_are_kept_exactly_and_escaped() {
    let page = page();
    assert!(page.contains("<blockquote><bdi>E. Marrack\n   – Petrel &lt;i&gt;</bdi></blockquote>"));
    assert!(page.contains("<h1><bdi>The &lt;Trevanick&gt; &amp; &quot;portraits&quot;</bdi></h1>"));
}

#[test]
fn the_policy_lets_in_nothing_else() {
    let page = page();
    assert!(!page.contains("unsafe-") && !page.contains(" style=") && !page.contains("http:"));
    assert!(!page.contains("https:") && !page.contains(" onclick"));
    assert_eq!(page.matches("<script").count(), 2);
}

#[test]
fn a_missing_back_says_why() {
    let mut record = collection();
    record.portraits[0].no_back_because = text("left framed");
    let page = Given::new(record).shown(finding_aid);
    assert!(page.contains("Not pictured: <bdi>left framed</bdi>"));
}

#[test]
fn what_was_held_back_is_said() {
    let mut given = Given::new(collection());
    assert!(given.shown(finding_aid).contains("Nothing was held back."));
    given.withheld = vec!["what was paid".to_owned()];
    let page = given.shown(finding_aid);
    assert!(page.contains("<bdi>what was paid</bdi>") && !page.contains("Nothing was held back."));
}

#[test]
fn same_input_same_bytes() {
    assert_eq!(page(), page());
}

#[test]
fn three_kinds_of_no_date() {
    let mut record = collection();
    record.portraits[0].dates.framed = Answer::NotKnown;
    record.portraits[0].dates.print = DateEntry::read("1890").map_or(Answer::Blank, Answer::Given);
    let page = Given::new(record).shown(finding_aid);
    let first = between(&page, "<section class=\"when\">", "</section>")[0];
    assert!(first.contains("not looked at yet") && first.contains("not known"));
    assert!(first.contains("1890"));
}

#[test]
fn the_text_begins_with_a_mark_and_ends_lines_for_windows() {
    let given = Given::new(collection());
    let text = given.shown(start_here_text);
    assert!(text.starts_with('\u{feff}') && text.ends_with("\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert!(text.contains(given.seal.hex()) && text.contains("sha256sum --quiet -c"));
    assert!(text.contains("certutil") && text.contains("shasum -a 256 -c"));
    assert!(text.contains("A-001  Unidentified man\r\n"));
    assert!(text.contains("    |    – Petrel <i>\r\n"));
    let too_long = |line: &&str| line.chars().count() > 76 && line.contains(' ');
    let long: Vec<&str> = text.lines().filter(too_long).collect();
    assert!(long.iter().all(|line| line.starts_with("    ")), "{long:?}");
}

#[test]
fn a_label_names_nobody_less_than_probable() {
    let given = Given::new(collection());
    let sheet = given.shown(labels);
    assert!(!sheet.contains("Edwin") && !sheet.contains(">possible<"));
    assert!(sheet.contains("Probably Cora Lunt") && sheet.contains("Handle by the edges"));
    assert_eq!(
        given.shown(|aid| pencil_text(aid, &given.collection.portraits[2])),
        "A-003  Loveday Rowse"
    );
}

#[test]
fn without_checksums_no_check_is_offered() {
    let mut given = Given::new(collection());
    given.payload.clear();
    let page = given.shown(finding_aid);
    assert!(!page.contains("id=\"check-live\"") && page.contains("cannot check it"));
    assert!(!page.contains(&given.seal.in_groups()));
    assert!(!given.shown(start_here_text).contains("sha256sum"));
}

#[test]
fn sizes_in_words() {
    assert_eq!(size_in_words(1), "1 byte");
    assert_eq!(size_in_words(999), "999 bytes");
    assert_eq!(size_in_words(1_234_567), "1.2 MB");
    assert_eq!(size_in_words(u64::MAX), "1844674407.3 GB");
}
