//! Title, description and keywords: the three things that every viewer shows.

use super::Subject;
use super::object;
use super::people;
use crate::format::xmp::value::ArrayKind;
use crate::format::xmp::value::Property;
use crate::format::xmp::vocabulary::DC;
use crate::record::DateEntry;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Side;
use crate::record::Transcription;
use crate::record::View;
use crate::record::wording;
use crate::record::wording::Naming;

/// The words for a version changed by hand or by a program, before its title and description.
const ALTERED: &str = "Altered version, not evidence";
/// Longest quotation in a description, in characters; the record keeps the whole.
const LONGEST_QUOTATION: usize = 300;

pub(super) fn properties(subject: &Subject<'_>) -> Vec<Property> {
    [
        Property::alternatives(DC.name("title"), &title(subject)),
        Property::alternatives(DC.name("description"), &description(subject)),
        Property::texts(DC.name("subject"), ArrayKind::Bag, keywords(subject)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Returns the title of the object. A printed title that names somebody not proved gives way to a devised one.
pub(super) fn object_title(subject: &Subject<'_>) -> String {
    let title = wording::title(subject.collection, subject.portrait);
    if subject.guard.names_nobody(&title) {
        return title;
    }
    let without_print = Portrait {
        title_as_printed: crate::record::Answer::Blank,
        ..subject.portrait.clone()
    };
    wording::title(subject.collection, &without_print)
}

fn title(subject: &Subject<'_>) -> String {
    let mut title = object_title(subject);
    match subject.scan.view.given() {
        None | Some(View::Front | View::AlteredCopy) => {}
        Some(view) => title = format!("{title} ({view})"),
    }
    if subject.scan.is_altered() {
        title = format!("{ALTERED}: {title}");
    }
    title
}

fn description(subject: &Subject<'_>) -> String {
    let mut sentences = Vec::new();
    if subject.scan.is_altered() {
        sentences.push(format!("{ALTERED}."));
        let how = subject
            .scan
            .altered_how
            .text()
            .and_then(|how| subject.guard.pass(how));
        sentences.extend(how.map(|how| sentence(&format!("Altered: {how}"))));
    }
    sentences.push(what_it_is(subject));
    sentences.extend(who_it_shows(subject));
    sentences.extend(object::maker_sentence(subject).map(|maker| sentence(&maker)));
    let dates = &subject.portrait.dates;
    let date = |what: &str, entry: Option<&DateEntry>| {
        entry.map(|entry| sentence(&format!("{what}: {}", entry.edtf.in_words())))
    };
    sentences.extend(date("Sitting", dates.sitting.given()));
    sentences.extend(date("This print", dates.print.given()));
    sentences.extend(date("Framed or written on", dates.framed.given()));
    sentences.extend(words_found(subject));
    sentences.push(
        "How sure each of these is, and why, stands in the record inside this file.".to_owned(),
    );
    sentences.join(" ")
}

fn what_it_is(subject: &Subject<'_>) -> String {
    let part = match subject.scan.view.given() {
        Some(View::Front) => "Front",
        Some(View::Back) => "Back",
        Some(View::FrameFront) => "Whole frame from the front",
        Some(View::FrameBack) => "Whole frame from behind",
        Some(View::Label) => "Label",
        Some(View::Edge) => "Edge",
        Some(View::Detail) => "Detail",
        Some(View::AlteredCopy) | None => "Scan",
    };
    let kind = match subject.portrait.kind.given() {
        None | Some(PortraitKind::Other) => "a portrait".to_owned(),
        Some(kind) => with_article(kind.word()),
    };
    let shows = subject
        .portrait
        .shows
        .text()
        .and_then(|shows| subject.guard.pass(shows));
    let shows = shows.map_or_else(String::new, |shows| format!(": {}", shows.trim()));
    sentence(&format!(
        "{part} of {}, {kind}{shows}",
        subject.portrait.number
    ))
}

fn with_article(word: &str) -> String {
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {word}")
}

fn who_it_shows(subject: &Subject<'_>) -> Option<String> {
    if subject.portrait.kind.given() == Some(&PortraitKind::Paper) {
        return None;
    }
    let who = match wording::naming(subject.collection, subject.portrait) {
        Naming::Proved(names) | Naming::Probable(names) => names.join(" and "),
        Naming::Unidentified(seen) if seen == "sitter" => "unidentified".to_owned(),
        Naming::Unidentified(seen) => format!("unidentified {seen}"),
    };
    Some(sentence(&format!("Sitter: {who}")))
}

/// Words found are quoted as they stand, except those that hold a name which is not proved: beside a picture, the
/// quotation alone would read as an answer.
fn words_found(subject: &Subject<'_>) -> Vec<String> {
    let mut sentences = Vec::new();
    let mut held_back = false;
    for words in subject.collection.words_on(&subject.portrait.number) {
        let Some(text) = words.text.text() else {
            continue;
        };
        if subject.guard.hints_at_nobody(text) {
            sentences.push(sentence(&quotation(words, text)));
        } else {
            held_back = true;
        }
    }
    if held_back {
        sentences.push(
            "Words found on it that hold a name not proved are in the record inside this file."
                .to_owned(),
        );
    }
    sentences
}

fn quotation(words: &Transcription, text: &str) -> String {
    let place = match words.side.given() {
        None => "it",
        Some(Side::Front) => "the front",
        Some(Side::Back) => "the back",
        Some(Side::FrameFront) => "the front of the frame",
        Some(Side::FrameBack) => "the back of the frame",
        Some(Side::Label) => "a label",
        Some(Side::Edge) => "an edge",
        Some(Side::Enclosure) => "what came with it",
    };
    let one_line: Vec<&str> = text.lines().map(str::trim).collect();
    let one_line = one_line.join(" / ");
    let mut quoted: String = one_line.chars().take(LONGEST_QUOTATION).collect();
    if quoted.len() < one_line.len() {
        quoted.push_str(" […]");
    }
    let written = words
        .written_in
        .given()
        .map_or_else(String::new, |written| format!(" ({written})"));
    format!("Words on {place}{written}: “{quoted}”")
}

fn keywords(subject: &Subject<'_>) -> Vec<String> {
    let mut words = Vec::new();
    let portrait = subject.portrait;
    if portrait.kind.given() != Some(&PortraitKind::Paper) {
        words.push("portrait".to_owned());
    }
    words.extend(
        portrait
            .kind
            .given()
            .filter(|kind| **kind != PortraitKind::Other)
            .map(ToString::to_string),
    );
    words.extend(
        portrait
            .media
            .given()
            .into_iter()
            .flatten()
            .map(ToString::to_string),
    );
    words.extend(
        subject
            .scan
            .view
            .given()
            .filter(|view| !matches!(view, View::Front | View::AlteredCopy))
            .map(ToString::to_string),
    );
    if subject.scan.is_altered() {
        words.push("altered version".to_owned());
    }
    if let Naming::Unidentified(seen) = wording::naming(subject.collection, portrait) {
        words.push(format!("unidentified {seen}"));
    }
    words.extend(people::proved(subject).map(|(name, _)| name.to_owned()));
    words
}

/// Ends a text with a full stop, unless it ends itself.
fn sentence(text: &str) -> String {
    let text = text.trim_end();
    if text.ends_with(['.', '!', '?', '”']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}
