//! Who a portrait shows: the claims with their reasons, rivals and what would settle them. The only part of a page in which
//! candidates are named.

use super::FindingAid;
use super::said;
use super::shell;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Clue;
use crate::record::ClueNumber;
use crate::record::Edition;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::Sitter;
use crate::record::edition::Change;
use maud::Markup;
use maud::html;

/// Returns the certainty of the surest claim that is still held and names a person.
pub(super) fn surest(aid: &FindingAid<'_>, portrait: &Portrait) -> Option<Certainty> {
    named_claims(aid, portrait)
        .filter_map(|claim| claim.certainty.given().copied())
        .min()
}

/// Returns the number of claims, still held and not ruled out, that name a person.
pub(super) fn candidates(aid: &FindingAid<'_>, portrait: &Portrait) -> usize {
    named_claims(aid, portrait)
        .filter(|claim| claim.certainty.given() != Some(&Certainty::RuledOut))
        .count()
}

fn named_claims<'a>(
    aid: &'a FindingAid<'_>,
    portrait: &'a Portrait,
) -> impl Iterator<Item = &'a Claim> {
    aid.record
        .held_names(&portrait.number)
        .map(|(claim, _)| claim)
}

/// Returns the claims that are still held, surest first, in the order of the sheet among equals.
pub(super) fn held_claims<'a>(aid: &'a FindingAid<'_>, portrait: &'a Portrait) -> Vec<&'a Claim> {
    let claims = aid.record.claims_about(&portrait.number).iter().copied();
    let mut held: Vec<&Claim> = claims.filter(|claim| !claim.is_withdrawn()).collect();
    held.sort_by_key(|claim| (claim.certainty.given().is_none(), claim.certainty.given()));
    held
}

/// Returns the claims that were given up, in the order of the sheet.
pub(super) fn withdrawn_claims<'a>(
    aid: &'a FindingAid<'_>,
    portrait: &'a Portrait,
) -> impl Iterator<Item = &'a Claim> {
    let claims = aid.record.claims_about(&portrait.number).iter().copied();
    claims.filter(|claim| claim.is_withdrawn())
}

/// Returns the reasoning about a portrait's sitter.
pub(super) fn reasoning(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let held = held_claims(aid, portrait);
    let withdrawn: Vec<&Claim> = withdrawn_claims(aid, portrait).collect();
    html! {
        section.who {
            h4 { "Who it is, and why" }
            @if held.is_empty() { p.quiet { "Nobody has yet said who this is." } }
            @for claim in &held { (claim_block(aid, claim)) }
            (other_clues(aid, portrait))
            @if !withdrawn.is_empty() {
                div.withdrawn {
                    h5 { "Given up" }
                    @for claim in &withdrawn { (withdrawn_line(aid, claim)) }
                }
            }
            (earlier_editions(aid, portrait))
        }
    }
}

fn claim_block(aid: &FindingAid<'_>, claim: &Claim) -> Markup {
    let person = aid.record.claimed(claim);
    html! {
        div.claim {
            p.claimant {
                (shell::certainty(claim.certainty.given().copied())) " "
                (sitter(aid, claim))
                @if let Some(lives) = person.and_then(lives) { span.lives { ", " (lives) } }
                @if let Some(face) = claim.face.text() { span.lives { " (face: " (said(face)) ")" } }
            }
            (reasons(aid, "For", &claim.reasons_for, &claim.clues_for))
            (reasons(aid, "Against", &claim.reasons_against, &claim.clues_against))
            @if !claim.rivals.is_empty() {
                p.rivals { span.lead { "Others it could be: " } (list(&claim.rivals)) }
            }
            @if let Some(settle) = claim.would_settle.text() {
                p.settle { span.lead { "What would settle it: " } (said(settle)) }
            }
            (said_by(claim))
        }
    }
}

fn reasons(aid: &FindingAid<'_>, word: &str, reasons: &[String], clues: &[ClueNumber]) -> Markup {
    html! {
        @if !(reasons.is_empty() && clues.is_empty()) {
            div.reasons {
                em { (word) }
                ul {
                    @for reason in reasons { li { (said(reason)) } }
                    @for number in clues { li { (clue_of(aid, number)) } }
                }
            }
        }
    }
}

fn clue_of(aid: &FindingAid<'_>, number: &ClueNumber) -> Markup {
    match aid.record.clue(number.as_str()) {
        Some(clue) => clue_text(clue),
        None => html! { "clue " (said(number.as_str())) },
    }
}

/// Returns what a clue says and where it comes from.
pub(super) fn clue_text(clue: &Clue) -> Markup {
    let worth: Vec<&str> = [
        clue.seen_as.given().map(|one| one.word()),
        clue.who_knew.given().map(|one| match one {
            crate::record::WhoKnew::Undetermined => "who knew it is not known",
            known => known.word(),
        }),
        clue.speaks.given().map(|one| one.word()),
    ]
    .into_iter()
    .flatten()
    .collect();
    html! {
        (said(clue.says.text().unwrap_or("a clue without words")))
        span.source {
            @if let Some(source) = clue.source.text() { " — " (said(source)) }
            @if !worth.is_empty() { " (" (worth.join("; ")) ")" }
        }
    }
}

fn other_clues(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let claims = aid.record.claims_about(&portrait.number).iter();
    let used: Vec<&ClueNumber> = claims
        .flat_map(|claim| claim.clues_for.iter().chain(&claim.clues_against))
        .collect();
    let clues = aid.record.clues_on(&portrait.number).iter().copied();
    let other: Vec<&Clue> = clues.filter(|clue| !used.contains(&&clue.number)).collect();
    html! {
        @if !other.is_empty() {
            div.reasons.other {
                em { "Other clues" }
                ul { @for clue in other { li { (clue_text(clue)) } } }
            }
        }
    }
}

fn withdrawn_line(aid: &FindingAid<'_>, claim: &Claim) -> Markup {
    html! {
        p {
            s { (sitter(aid, claim)) }
            " — withdrawn"
            @if let Some(why) = claim.withdrawn_why.text() { ": " (said(why)) }
            @else { "; when and why was not written down" }
        }
    }
}

/// How the identification came to be what it is, latest edition first.
fn earlier_editions(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let changes: Vec<(&Edition, &Change)> = aid
        .collection()
        .editions
        .iter()
        .rev()
        .flat_map(|edition| edition.changes.iter().map(move |change| (edition, change)))
        .filter(|(_, change)| change.portrait == portrait.number && change.is_about_a_claim())
        .collect();
    html! {
        @if !changes.is_empty() {
            div.reasons {
                em { "Earlier" }
                ul {
                    @for (edition, change) in changes {
                        li { (said(&change.what)) span.source { " — edition " (edition.number) ", " (edition.made_on) } }
                    }
                }
            }
        }
    }
}

fn said_by(claim: &Claim) -> Markup {
    let on = claim.said_on.given().map(|date| date.edtf.in_words());
    html! {
        @if claim.said_by.is_given() || on.is_some() {
            p.said {
                "Said by " (said(claim.said_by.text().unwrap_or("somebody not named")))
                @if let Some(on) = on { ", " (on) }
            }
        }
    }
}

/// Returns the name or words of the sitter that a claim is about.
fn sitter(aid: &FindingAid<'_>, claim: &Claim) -> Markup {
    said(&sitter_text(aid, claim))
}

/// Returns the name or words of the sitter that a claim is about, as plain text.
pub(super) fn sitter_text(aid: &FindingAid<'_>, claim: &Claim) -> String {
    match &claim.sitter {
        Sitter::NotSaid => "somebody".to_owned(),
        Sitter::Unnamed(words) => words.clone(),
        Sitter::Person(number) => aid
            .record
            .claimed(claim)
            .and_then(|person| person.name.text())
            .map_or_else(|| format!("person {number}"), str::to_owned),
    }
}

fn lives(person: &Person) -> Option<Markup> {
    let text = lives_text(person)?;
    Some(said(&text))
}

/// Returns birth and death in words, for example "born 1831, died 1884".
pub(super) fn lives_text(person: &Person) -> Option<String> {
    let event = |word: &str, date: Option<String>, place: Option<&str>| match (date, place) {
        (Some(date), Some(place)) => Some(format!("{word} {date} at {place}")),
        (Some(date), None) => Some(format!("{word} {date}")),
        (None, Some(place)) => Some(format!("{word} at {place}")),
        (None, None) => None,
    };
    let born = person.born.given().map(|date| date.edtf.in_words());
    let died = person.died.given().map(|date| date.edtf.in_words());
    let parts: Vec<String> = [
        event("born", born, person.born_at.text()),
        event("died", died, person.died_at.text()),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Returns several texts of a person's own, parted by semicolons.
pub(super) fn list(texts: &[String]) -> Markup {
    html! {
        @for (position, text) in texts.iter().enumerate() {
            @if position > 0 { "; " }
            (said(text))
        }
    }
}
