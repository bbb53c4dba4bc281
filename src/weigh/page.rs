//! The reasoning about all portraits as one page, with a drawn time line for each.

use super::PortraitWeighing;
use super::Weighing;
use super::candidate::Candidate;
use super::dates::DateResult;
use super::timeline;
use crate::concern::Concern;
use crate::concern::Severity;
use crate::format::page::shell;
use crate::record::PortraitNumber;
use maud::Markup;
use maud::html;
use std::collections::BTreeMap;

/// A small picture of a portrait for the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PagePicture {
    /// Its address, which holds the picture itself: `data:image/jpeg;base64,` and so on. [RFC2397 2]
    pub address: String,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

impl Weighing {
    /// Returns the page: everything noticed, then each portrait with its time line, candidates and reasons. `pictures` are the
    /// small pictures, which go into the page. The page is for the person who keeps the collection: it holds names that are
    /// only thought of, and belongs into no package.
    #[must_use]
    pub fn page(&self, pictures: &BTreeMap<PortraitNumber, PagePicture>) -> String {
        let title = self
            .collection()
            .about
            .title
            .text()
            .unwrap_or("A collection of portraits");
        let mut by_portrait: BTreeMap<&str, Vec<&Concern>> = BTreeMap::new();
        let mut general = Vec::new();
        // Notes are many and small; the program tells them, and the page keeps to what wants an answer.
        let wanting = |concern: &&Concern| concern.severity > Severity::Note;
        for concern in self.concerns.worst_first().into_iter().filter(wanting) {
            match concern.place.portrait.as_deref() {
                Some(number) => by_portrait.entry(number).or_default().push(concern),
                None => general.push(concern),
            }
        }
        let body = html! {
            header.masthead {
                p.kicker { "Evidence weighed" }
                h1 { (title) }
                p.story { (count(self.portraits.len(), "portrait")) ", as of " (self.as_of) ". For whoever keeps the collection: names here are ideas unless a portrait says “proved”. Nothing was decided by a program." }
            }
            main {
                @if !general.is_empty() {
                    section.noticed { h2 { "Noticed in the catalogue" } (concerns(&general)) }
                }
                @for weighed in &self.portraits {
                    (portrait(self, weighed, pictures.get(&weighed.number), by_portrait.get(weighed.number.as_str())))
                }
            }
        };
        shell(&format!("{title}: evidence weighed"), &body)
    }
}

fn portrait(
    weighing: &Weighing,
    weighed: &PortraitWeighing,
    picture: Option<&PagePicture>,
    noticed: Option<&Vec<&Concern>>,
) -> Markup {
    html! {
        article.weighed id={ "portrait-" (weighed.number) } {
            p.number { (weighed.number) }
            h2 { (weighed.who) }
            p { span class={ "sure " (weighed.certainty.replace(' ', "-")) } { (weighed.certainty) } ", " (weighed.when) }
            @if let Some(picture) = picture {
                img src=(picture.address) width=(picture.width) height=(picture.height) alt={ "Portrait " (weighed.number) } loading="lazy";
            }
            @if let Some(drawing) = timeline::draw(weighing.collection(), weighed) { figure { (drawing) (key()) } }
            @if !weighed.missing.is_empty() { p { "Missing: " (weighed.missing.join(", ")) } }
            (dates(weighed))
            @for candidate in &weighed.candidates { section.candidate { (of_candidate(candidate)) } }
            @if !weighed.ties.is_empty() {
                h3 { "Ties" }
                ul { @for tie in &weighed.ties { li { (tie.kind.words()) " " (tie.portraits.join(", ")) ": " (tie.reason) } } }
            }
            (shown(weighed))
            @if let Some(noticed) = noticed { h3 { "Noticed" } (concerns(noticed)) }
        }
    }
}

/// What the looks of the bars mean.
fn key() -> Markup {
    let looks = [
        ("result", "what comes of it"),
        ("hard", "must hold"),
        ("soft", "may err"),
        ("aside", "set aside"),
        ("life", "a life"),
    ];
    html! { figcaption.key { @for (class, words) in looks { span class=(class) { (words) } " " } } }
}

/// What viewers will show of each scan, folded away: most people need it once.
fn shown(weighed: &PortraitWeighing) -> Markup {
    html! {
        @for seen in &weighed.shown {
            details {
                summary { "What viewers will show of " (seen.file) @if !seen.disagreements.is_empty() { " (older words differ)" } }
                ul {
                    @for (name, text) in seen.lines() { li { (name) ": " (text) } }
                    @for disagreement in &seen.disagreements { li { (disagreement) } }
                }
            }
        }
    }
}

fn dates(weighed: &PortraitWeighing) -> Markup {
    let three = [
        ("Sitting", &weighed.dates.sitting),
        ("This print", &weighed.dates.print),
        ("Framed or written on", &weighed.dates.framed),
    ];
    html! {
        @for (name, result) in three {
            @if let Some(result) = result { (date(name, result)) }
        }
        @if let Some(narrow) = &weighed.dates.would_narrow { p { "To narrow the dates: " (narrow) } }
    }
}

fn date(name: &str, result: &DateResult) -> Markup {
    html! {
        h3 { (name) ": " (result.in_words) @if let Some(edtf) = &result.estimate { " " span.edtf { (edtf) } } }
        @if let Some(conflict) = &result.conflict {
            p { "Not before: " (conflict.not_before) ". Not after: " (conflict.not_after) "." }
        }
        ul {
            @for clue in &result.used { li { (clue.what) ", " (clue.range_in_words()) " " span.quiet { "(" (clue.source) ")" } } }
            @for aside in &result.set_aside { li { "Set aside: " s { (aside.what) ", " (aside.range) } ", " (aside.why) } }
            @for remark in &result.remarks { li.quiet { (remark) } }
        }
    }
}

fn of_candidate(candidate: &Candidate) -> Markup {
    let name = candidate.name.as_deref().unwrap_or(&candidate.who);
    html! {
        h3 {
            @if candidate.withdrawn { s { (name) } " (withdrawn)" } @else { (name) }
            " " span class={ "sure " (candidate.certainty.replace(' ', "-")) } { (candidate.certainty) }
        }
        ul {
            @for ages in &candidate.ages { li { (capital(&ages.words())) } }
            @if let Some(sitting) = &candidate.sitting { li { "Sitting if so: " (sitting.in_words()) } }
            @for remark in &candidate.remarks { li.quiet { (capital(remark)) } }
            @for reason in &candidate.reasons_for { li { "For: " (reason) } }
            @for reason in &candidate.reasons_against { li { "Against: " (reason) } }
            @for contradiction in &candidate.contradictions { li { (contradiction.what) } }
            @for lacking in &candidate.lacking { li { "Missing for “" (candidate.certainty) "”: " (lacking) } }
            @if let Some(settle) = &candidate.would_settle { li { "Would settle it: " (settle) } }
        }
    }
}

fn concerns(noticed: &[&Concern]) -> Markup {
    html! {
        ul { @for concern in noticed {
            li { strong { (concern.severity) } ": " (concern.what) " " span.quiet { (concern.remedy) " (" (concern.place) ")" } }
        } }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn count(number: usize, what: &str) -> String {
    if number == 1 {
        format!("1 {what}")
    } else {
        format!("{number} {what}s")
    }
}
