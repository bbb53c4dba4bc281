//! The print sheet of enclosure labels, and the words to copy in soft pencil.

use super::FindingAid;
use super::heading;
use super::said;
use super::shell;
use super::who;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Portrait;
use crate::record::caution;
use crate::record::caution::Act;
use crate::record::wording;
use maud::Markup;
use maud::html;

/// The name of the sheet of labels. It lies beside the page, outside the payload.
pub const LABELS_FILE: &str = "LABELS.html";

/// Returns a page that prints one label for the enclosure of each portrait, to be cut apart.
#[must_use]
pub fn labels(aid: &FindingAid<'_>) -> String {
    let title = format!("Labels: {}", aid.title());
    shell::document(&shell::Document {
        title: &title,
        sheet_foot: None,
        style: None,
        script: None,
        holds_pictures: false,
        body: &html! {
            main.labels-page {
                header.labels-head {
                    h1 { "Labels for folders and boxes" }
                    p { (said(aid.title())) ", " (aid.made_on_in_words()) ". Print, cut along the lines, and fix each label to the folder or box, never to the portrait." }
                    @for one in caution::cautions_before(Act::Label) { p { (one.text) " " span.quiet { (caution::GENERAL) } } }
                }
                div.labels { @for portrait in &aid.collection().portraits { (label(aid, portrait)) } }
            }
        },
    })
}

fn label(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let cautions = caution::cautions_in(aid.record, portrait, &aid.circumstances());
    let handling: Vec<&str> = cautions
        .iter()
        .filter(|one| one.id.starts_with('C'))
        .map(|one| one.about)
        .collect();
    html! {
        article.label {
            p.label-number { (said(portrait.number.as_str())) }
            h2 { (said(&heading(aid, portrait))) }
            @if let Some(certainty) = who::surest(aid, portrait).filter(|one| is_named(*one)) {
                p { (shell::certainty(Some(certainty))) }
            }
            @if let Some(date) = wording::shown_date(portrait) { p { (said(&date)) } }
            p.handle { "Handle by the edges, with clean dry hands." }
            @if !handling.is_empty() { p.handle { "Take care: " (handling.join("; ")) "." } }
            div.pencil {
                p { "For the back of the folder, in soft pencil:" }
                pre { (said(&pencil_text(aid, portrait))) }
            }
        }
    }
}

/// A label names nobody who is less than probable, so it says nothing of how sure such a claim is either.
const fn is_named(certainty: Certainty) -> bool {
    matches!(certainty, Certainty::Proved | Certainty::Probable)
}

/// Returns the two or three short lines that are worth copying by hand in soft pencil.
#[must_use]
pub fn pencil_text(aid: &FindingAid<'_>, portrait: &Portrait) -> String {
    let mut lines = vec![format!("{}  {}", portrait.number, heading(aid, portrait))];
    lines.extend(wording::shown_date(portrait));
    if let Answer::Given(keeper) = &aid.collection().about.kept_by {
        lines.push(format!("{}, {}", keeper, aid.made_on.year()));
    }
    lines.join("\n")
}
