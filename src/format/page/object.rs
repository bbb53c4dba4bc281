//! What is known of the object: dates, words found, maker, state, custody, rights.

use super::FindingAid;
use super::said;
use super::who;
use crate::record::Answer;
use crate::record::DateEntry;
use crate::record::Lot;
use crate::record::Portrait;
use crate::record::Rights;
use crate::record::Size;
use crate::record::Transcription;
use crate::record::YesNo;
use crate::record::wording::certainty_word;
use maud::Markup;
use maud::html;
use std::fmt::Display;

/// One line of a ruled list: its heading and what it says.
type Line = (&'static str, Markup);

/// Returns the three dates, and what they rest on.
pub(super) fn dates(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let dates = &portrait.dates;
    let weighed = aid.weighing.get(&portrait.number);
    html! {
        section.when {
            h4 { "When" }
            dl {
                (date_line("Sitter sat", &dates.sitting))
                (date_line("This print made", &dates.print))
                (date_line("Framed or written on", &dates.framed))
            }
            @if let Some(basis) = dates.basis.text() {
                p { span.lead { "Why those dates: " } (said(basis)) }
            }
            @if let Some(lines) = weighed {
                @if !lines.is_empty() {
                    ul.weighed { @for line in lines { li { (said(line)) } } }
                }
            }
        }
    }
}

fn date_line(word: &str, date: &Answer<DateEntry>) -> Markup {
    html! {
        dt { (word) }
        @match date {
            Answer::Given(entry) => {
                dd {
                    (entry.edtf.in_words())
                    @if entry.edtf.in_words() != entry.edtf.as_str() { " " span.edtf { (entry.edtf.as_str()) } }
                }
            },
            nothing => { dd.quiet { (nothing_said(nothing)) } },
        }
    }
}

const fn nothing_said<T>(answer: &Answer<T>) -> &'static str {
    match answer {
        Answer::NotKnown => "not known",
        Answer::DoesNotApply => "does not apply",
        Answer::Blank | Answer::Given(_) => "not looked at yet",
    }
}

/// Returns the words found on the object, exactly as written.
pub(super) fn words_found(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let found = aid.record.words_on(&portrait.number);
    html! {
        @if !found.is_empty() { section.words {
            h4 { "Words found on it" }
            @for one in found {
                figure.found {
                    figcaption { (place_of(one)) }
                    @match &one.text {
                        Answer::Given(text) => blockquote { (said(text)) },
                        nothing => p.quiet { (nothing_said(nothing)) },
                    }
                    @if let Some(reading) = one.reading.text() {
                        p.reading { span.lead { "Read as: " } (said(reading)) }
                    }
                    @if let Some(other) = one.same_hand_as.text() {
                        p.reading { span.lead { "Same hand as: " } (said(other)) }
                    }
                }
            }
        } }
    }
}

fn place_of(words: &Transcription) -> Markup {
    let side = words.side.given().map(|side| side.word());
    let written = words.written_in.given().map(|one| one.word());
    html! {
        span.side { (side.unwrap_or("where is not said")) }
        @if let Some(position) = words.position.text() { ", " (said(position)) }
        @if let Some(written) = written { ", " (written) }
        @if let Some(hand) = words.hand.text() { ", " (said(hand)) }
    }
}

/// Returns the ruled lists about the object itself, its maker and its state.
pub(super) fn object(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let what = what_it_is(portrait);
    let maker = maker(portrait);
    let state = state(portrait);
    let mut rest = ties(aid, portrait);
    rest.extend(own_columns(portrait));
    html! {
        @if !what.is_empty() { section { h4 { "The object" } (ruled(&what)) } }
        @if !maker.is_empty() { section { h4 { "Its maker" } (ruled(&maker)) } }
        @if !state.is_empty() { section { h4 { "Its state" } (ruled(&state)) } }
        @if !rest.is_empty() { section { h4 { "More about it" } (ruled(&rest)) } }
    }
}

fn ruled(lines: &[Line]) -> Markup {
    html! {
        @if !lines.is_empty() {
            dl { @for (heading, words) in lines { dt { (heading) } dd { (words) } } }
        }
    }
}

fn what_it_is(portrait: &Portrait) -> Vec<Line> {
    let media = portrait.media.given().map(|media| {
        let words: Vec<&str> = media.iter().map(|medium| medium.word()).collect();
        html! { (words.join(", ")) }
    });
    [
        text("Title printed on it", &portrait.title_as_printed),
        media.map(|media| ("Made of", media)),
        size(&portrait.size).map(|size| ("Size", said(&size))),
        text("Shape", &portrait.shape),
        text("Mounted on", &portrait.backing),
        word("Board bowed", &portrait.bowed),
        word("Glass", &portrait.glass),
        word("Touches the glass", &portrait.glass_touching),
        word("Frame", &portrait.frame),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Returns a size in words, for example "20 × 14 in (mount)".
pub(super) fn size(size: &Size) -> Option<String> {
    let sides = match (size.height.text(), size.width.text()) {
        (Some(height), Some(width)) => format!("{height} × {width}"),
        (Some(one), None) | (None, Some(one)) => one.to_owned(),
        (None, None) => return None,
    };
    let unit = size.unit.given().map(|unit| format!(" {unit}"));
    let part = size.measured.given().map(|part| format!(" ({part})"));
    Some(format!(
        "{sides}{}{}",
        unit.unwrap_or_default(),
        part.unwrap_or_default()
    ))
}

fn maker(portrait: &Portrait) -> Vec<Line> {
    let maker = &portrait.maker;
    let concluded = maker.name.text().map(|name| {
        let role = maker.role.given().map(|role| role.word());
        html! {
            (said(name))
            @if let Some(role) = role { ", " (role) }
            " — " (certainty_word(&maker.certainty))
            @if let Some(basis) = maker.basis.text() { ": " (said(basis)) }
        }
    });
    let place = maker.number_place.text();
    let number = maker.number.text().map(|number| {
        html! { span.exact { (said(number)) } @if let Some(place) = place { ", " (said(place)) } }
    });
    [
        exact("Maker, as printed", &maker.as_printed),
        exact("Place, as printed", &maker.place_as_printed),
        exact("Address, as printed", &maker.address_as_printed),
        concluded.map(|words| ("Maker, as concluded", words)),
        number.map(|words| ("Number on it", words)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn state(portrait: &Portrait) -> Vec<Line> {
    let opened = (portrait.opened.given() == Some(&YesNo::Yes))
        .then(|| portrait.opened_on.given())
        .flatten()
        .map(|date| ("Opened on", html! { (date.edtf.in_words()) }));
    [
        text("Condition", &portrait.condition),
        word("Brown spots", &portrait.brown_spots),
        word("Mould", &portrait.mould),
        word("Loose surface", &portrait.loose_surface),
        word("Brittle or cracked", &portrait.brittle),
        word("Frame opened", &portrait.opened),
        opened,
        text("Found inside", &portrait.found_inside),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn ties(aid: &FindingAid<'_>, portrait: &Portrait) -> Vec<Line> {
    let together = (!portrait.belongs_with.is_empty()).then(|| {
        html! {
            @for (position, tie) in portrait.belongs_with.iter().enumerate() {
                @if position > 0 { "; " }
                "no. " (said(tie.portrait.as_str()))
                @if !tie.reason.is_empty() { ": " (said(&tie.reason)) }
            }
        }
    });
    let original = portrait.copy_of.given();
    let copy_of = original.map(|number| {
        let known = aid.record.portrait(number.as_str()).is_some();
        html! { "no. " (said(number.as_str())) @if !known { " (not in this package)" } }
    });
    [
        together.map(|words| ("Belongs with", words)),
        copy_of.map(|words| ("Copy of", words)),
        text("Notes", &portrait.notes),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn own_columns(portrait: &Portrait) -> Vec<Line> {
    let own = html! {
        @for (heading, words) in &portrait.extra {
            span.own { (said(heading)) ": " (said(words)) } " "
        }
    };
    if portrait.extra.is_empty() {
        return Vec::new();
    }
    vec![("Also written down", own)]
}

/// Returns the ruled list of whose hands it passed through and where it is now.
pub(super) fn custody(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let lines = custody_lines(aid, portrait);
    html! {
        @if !lines.is_empty() {
            section { h4 { "Whose hands it passed through" } (ruled(&lines)) }
        }
    }
}

fn custody_lines(aid: &FindingAid<'_>, portrait: &Portrait) -> Vec<Line> {
    let lot = portrait.lot.given();
    let mut lines = lot
        .and_then(|number| aid.record.lot(number.as_str()))
        .map(lot_lines)
        .unwrap_or_default();
    lines.extend(text("The object is now with", &portrait.original_now_at));
    lines.extend(text("Where it is stored", &portrait.storage));
    lines
}

/// Returns one line that names what nobody has written down, or what was held back.
pub(super) fn not_written_down(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let missing: Vec<&str> = [
        (
            aid.record.words_on(&portrait.number).is_empty(),
            "words found on it",
        ),
        (what_it_is(portrait).is_empty(), "what it is made of"),
        (maker(portrait).is_empty(), "its maker"),
        (state(portrait).is_empty(), "its state"),
        (custody_lines(aid, portrait).is_empty(), "earlier owners"),
    ]
    .into_iter()
    .filter_map(|(is_missing, words)| is_missing.then_some(words))
    .collect();
    html! {
        @if !missing.is_empty() {
            section { h4 { "Nothing is written here of" } p.quiet { (missing.join(", ")) } }
        }
    }
}

fn lot_lines(lot: &Lot) -> Vec<Line> {
    let how = lot.how.given().map(|how| {
        let date = lot.date.given().map(|date| date.edtf.in_words());
        html! {
            (how.word())
            @if let Some(from) = lot.from.text() { ", from " (said(from)) }
            @if let Some(date) = date { ", " (date) }
        }
    });
    let owners = (!lot.earlier_owners.is_empty()).then(|| {
        (
            "Earlier owners, oldest first",
            who::list(&lot.earlier_owners),
        )
    });
    [
        Some(("Lot", said(lot.number.as_str()))),
        how.map(|words| ("How it came", words)),
        text("What the seller said", &lot.seller_said),
        owners,
        text("Came with", &lot.came_with),
        text("Price", &lot.price),
        text("May be given on", &lot.may_give_on),
        text("What was promised", &lot.promises),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Returns the rights in a portrait, as a person judged them.
pub(super) fn rights(aid: &FindingAid<'_>, portrait: &Portrait) -> Markup {
    let judged = aid.record.rights_on(portrait);
    html! {
        section {
            h4 { "Rights" }
            @if judged.is_empty() { p.quiet { "Copyright not evaluated." } }
            @for one in judged { (ruled(&rights_lines(one))) }
        }
    }
}

fn rights_lines(rights: &Rights) -> Vec<Line> {
    let judged_by = rights.worked_out_by.text().map(|by| {
        let on = rights.worked_out_on.given().map(|on| on.edtf.in_words());
        html! { (said(by)) @if let Some(on) = on { ", " (on) } }
    });
    let statement = match rights.statement.text() {
        Some(statement) => said(statement),
        None => html! { "Copyright not evaluated" },
    };
    [
        Some(("Statement", statement)),
        text("Why", &rights.worked_out_why),
        judged_by.map(|words| ("Worked out by", words)),
        text("What you may do", &rights.receiver_may),
        date("Held back until", &rights.hold_until),
        text("Because", &rights.hold_reason),
        word("If not wanted", &rights.if_not_wanted),
        text("Credit line", &rights.credit_line),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn text(heading: &'static str, answer: &Answer<String>) -> Option<Line> {
    filled(heading, answer, |text| said(text))
}

fn exact(heading: &'static str, answer: &Answer<String>) -> Option<Line> {
    filled(
        heading,
        answer,
        |text| html! { span.exact { (said(text)) } },
    )
}

fn date(heading: &'static str, answer: &Answer<DateEntry>) -> Option<Line> {
    filled(heading, answer, |date| html! { (date.edtf.in_words()) })
}

fn word<T: Display>(heading: &'static str, answer: &Answer<T>) -> Option<Line> {
    filled(heading, answer, |word| html! { (word.to_string()) })
}

/// A blank answer says nothing; "not known" is a finding and is shown.
fn filled<T>(
    heading: &'static str,
    answer: &Answer<T>,
    show: impl FnOnce(&T) -> Markup,
) -> Option<Line> {
    match answer {
        Answer::Given(value) => Some((heading, show(value))),
        Answer::NotKnown => Some((heading, html! { span.quiet { "not known" } })),
        Answer::Blank | Answer::DoesNotApply => None,
    }
}
