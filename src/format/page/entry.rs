//! One portrait of the finding aid: its pictures on one mat, and what is known and believed.

use super::FindingAid;
use super::PayloadFile;
use super::Picture;
use super::anchor;
use super::closing::sentence_case;
use super::heading;
use super::object;
use super::said;
use super::shell;
use super::size_in_words;
use super::who;
use crate::counting::counted;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Scan;
use crate::record::View;
use crate::record::YesNo;
use crate::record::caution;
use crate::record::wording;
use crate::record::wording::Naming;
use maud::Markup;
use maud::html;

/// Returns the entry of a portrait.
pub(super) fn entry(aid: &FindingAid<'_>, position: usize, portrait: &Portrait) -> Markup {
    let id = anchor(position);
    let sure = shell::certainty_name(who::surest(aid, portrait));
    html! {
        article.entry id=(id) data-sure=(sure) {
            (head(aid, portrait))
            (mat(aid, portrait))
            (who::reasoning(aid, portrait))
            div.ledger {
                (object::dates(aid, portrait))
                (object::words_found(aid, portrait))
                (object::object(aid, portrait))
                (object::custody(aid, portrait))
                (object::not_written_down(aid, portrait))
                (object::rights(aid, portrait))
                (cautions(aid, portrait))
                (files(aid, portrait))
                section { h4 { "How to cite it" } p { (said(&aid.citation(portrait))) } }
            }
        }
    }
}

fn head(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let kind = portrait.kind.given().map(|kind| kind.word());
    let when = wording::shown_date(portrait);
    let parts: Vec<Markup> = [
        kind.map(|kind| html! { (kind) }),
        portrait.shows.text().map(said),
        when.map(|when| html! { (when) }),
    ]
    .into_iter()
    .flatten()
    .collect();
    html! {
        header {
            p.number { (said(portrait.number.as_str())) }
            h3 { (said(&heading(aid, portrait))) }
            p.summary {
                @for (position, part) in parts.iter().enumerate() {
                    @if position > 0 { " · " }
                    (part)
                }
            }
            p.standing { (standing(aid, portrait)) }
        }
    }
}

/// Returns in one line how sure the name above is, or that there is none.
fn standing(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let surest = who::surest(aid, portrait);
    let number = who::candidates(aid, portrait);
    match wording::naming(aid.record, portrait) {
        _ if portrait.kind.given() == Some(&PortraitKind::Paper) => html! {},
        Naming::Proved(_) | Naming::Probable(_) => shell::certainty(surest),
        Naming::Unidentified(_) if number > 0 => html! {
            (shell::marked(surest, "not identified;")) " "
            (counted(number, "candidate is", "candidates are")) " weighed below"
        },
        Naming::Unidentified(_) => shell::marked(None, "not identified; nobody is named"),
    }
}

fn mat(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let scans = aid.record.scans_of(&portrait.number);
    let side = |view: View| {
        let mut of_view = scans.iter().filter(move |scan| is_view(scan, view));
        of_view.next().copied()
    };
    let (front, back) = (side(View::Front), side(View::Back));
    let others = scans.iter().filter(|scan| {
        front.is_none_or(|one| one.file != scan.file)
            && back.is_none_or(|one| one.file != scan.file)
            && aid.holdings.picture_of(&scan.file).is_some()
    });
    let others: Vec<&&Scan> = others.collect();
    html! {
        div.pictures {
            div.mat {
                (window(aid, portrait, front, "Front"))
                (window(aid, portrait, back, "Back"))
            }
            @if !others.is_empty() {
                ul.others {
                    @for scan in others { li { (smaller(aid, portrait, scan)) } }
                }
            }
        }
    }
}

fn is_view(scan: &Scan, view: View) -> bool {
    scan.view.given() == Some(&view) && !scan.is_altered()
}

fn window(
    aid: &FindingAid<'_>,
    portrait: &Portrait,
    scan: Option<&Scan>,
    side: &'static str,
) -> Markup {
    let picture = scan.and_then(|scan| aid.holdings.picture_of(&scan.file));
    html! {
        figure {
            @match picture {
                Some(picture) => (linked(portrait, picture, side)),
                None => p.absent { (why_absent(portrait, scan, side)) },
            }
            figcaption {
                (side)
                @if scan.is_some_and(through_glass) { ", seen through glass" }
            }
        }
    }
}

fn through_glass(scan: &Scan) -> bool {
    scan.through_glass.given() == Some(&YesNo::Yes)
}

fn why_absent(portrait: &Portrait, scan: Option<&Scan>, side: &str) -> Markup {
    let reason = match side {
        "Back" => portrait.no_back_because.text(),
        _ => None,
    };
    let reason = reason.or(portrait.not_scanned_because.text());
    html! {
        @if scan.is_some() { "There is a scan, but no picture of it for viewing." }
        @else if let Some(reason) = reason { "Not pictured: " (said(reason)) }
        @else { "Not pictured." }
    }
}

fn linked(portrait: &Portrait, picture: &Picture, view: &str) -> Markup {
    let address = shell::address(&picture.viewing);
    let alternative = format!("{view} of {}", portrait.number);
    html! {
        a href=(address) {
            img src=(address) alt=(shell::printable(&alternative)) width=(picture.width) height=(picture.height) loading="lazy";
        }
    }
}

fn smaller(aid: &FindingAid<'_>, portrait: &Portrait, scan: &Scan) -> Markup {
    let altered = scan.is_altered();
    let view = if altered {
        "Altered copy"
    } else {
        match scan.view.given() {
            Some(View::Front) => "Front, again",
            Some(View::Back) => "Back, again",
            Some(View::FrameFront) => "Frame, front",
            Some(View::FrameBack) => "Frame, back",
            Some(View::Label) => "Label",
            Some(View::Edge) => "Edge",
            Some(View::Detail) => "Detail",
            Some(View::AlteredCopy) => "Altered copy",
            None => "Another view",
        }
    };
    html! {
        figure class=[altered.then_some("altered")] {
            @if let Some(picture) = aid.holdings.picture_of(&scan.file) { (linked(portrait, picture, view)) }
            figcaption {
                (view)
                @if altered { strong.not-evidence { "altered, not evidence" } }
                @if altered {
                    @if let Some(how) = scan.altered_how.text() { span { (said(how)) } }
                }
            }
        }
    }
}

/// The names of the cautions, which lead to the full texts at the end. A caution that says "stop" is given here in full.
fn cautions(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let cautions = caution::cautions_in(aid.record, portrait, &aid.circumstances());
    html! {
        @if !cautions.is_empty() {
            section.cautions {
                h4 { "Take care" }
                ul {
                    @for one in cautions {
                        li {
                            a href={ "#caution-" (one.id) } { (sentence_case(one.about)) }
                            @if one.text.starts_with("Stop.") { ". " strong { (one.text) } }
                        }
                    }
                }
            }
        }
    }
}

fn file_name(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The files of a portrait other than its viewing pictures, which stand above; the captioned ones last.
fn files(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let files: Vec<&&PayloadFile> = aid
        .holdings
        .files_of(&portrait.number)
        .iter()
        .filter(|file| !aid.holdings.is_for_viewing(&file.path))
        .collect();
    let scans = aid.record.scans_of(&portrait.number);
    let captioned: Vec<&str> = scans
        .iter()
        .filter_map(|scan| aid.holdings.picture_of(&scan.file)?.captioned.as_deref())
        .collect();
    html! {
        @if !(files.is_empty() && captioned.is_empty()) {
            section.files {
                h4 { "Files to keep" @if !captioned.is_empty() { ", and to send on" } }
                ul {
                    @for file in files {
                        li { a href=(shell::address(&file.path)) { (said(file_name(&file.path))) } " " (size_in_words(file.bytes)) }
                    }
                    @for path in captioned {
                        li { a href=(shell::address(path)) { "with its caption" } ": " (said(stem(path))) }
                    }
                }
            }
        }
    }
}

fn stem(path: &str) -> &str {
    let name = file_name(path);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}
