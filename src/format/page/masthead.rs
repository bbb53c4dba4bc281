//! The head of the finding aid: what the package is, the check, search and filter.

use super::FindingAid;
use super::said;
use super::shell;
use super::who;
use crate::counting::counted;
use crate::record::Audience;
use crate::record::Certainty;
use maud::Markup;
use maud::html;

/// Returns the title, the story and what the package holds.
pub(super) fn masthead(aid: &FindingAid<'_>) -> Markup {
    let about = &aid.collection().about;
    html! {
        a.skip href="#portraits" { "To the portraits" }
        header.masthead {
            p.kicker { (ovals()) "A finding aid" }
            h1 { (said(aid.title())) }
            @if let Some(story) = about.story.text() { p.story { (said(story)) } }
            @for line in aid.parts { p.part { (said(line)) } }
            dl.facts.holding {
                dt { "Made" } dd { (aid.made_on_in_words()) }
                @if let Some(keeper) = about.kept_by.text() { dt { "Kept by" } dd { (said(keeper)) } }
                @if let Some(contact) = about.contact.text() { dt { "To reach them" } dd { (said(contact)) } }
                dt { "Made for" } dd { (made_for(aid.audience)) }
                dt { "Holds" } dd { (aid.holds()) }
                dt { "Named" } dd { (named(aid)) }
            }
        }
    }
}

/// Two ovals side by side: front and back.
fn ovals() -> Markup {
    html! {
        svg.ovals aria-hidden="true" focusable="false" width="34" height="22" viewBox="0 0 34 22" {
            ellipse cx="9" cy="11" rx="7.5" ry="10" {}
            ellipse cx="25" cy="11" rx="7.5" ry="10" {}
        }
    }
}

fn made_for(audience: Audience) -> &'static str {
    match audience {
        Audience::Keeping => "own storage: everything is in it",
        Audience::Archive => "an archive",
        Audience::Family => "the family",
        Audience::Public => "everybody",
    }
}

/// Returns how many portraits have a sitter of each certainty, for example "1 proved, 1 probable, 3 not identified".
fn named(aid: &FindingAid<'_>) -> String {
    let surest: Vec<Option<Certainty>> = aid
        .collection()
        .portraits
        .iter()
        .map(|portrait| who::surest(aid, portrait))
        .collect();
    let count = |wanted: Certainty| surest.iter().filter(|one| **one == Some(wanted)).count();
    let (proved, probable) = (count(Certainty::Proved), count(Certainty::Probable));
    let rest = surest.len().saturating_sub(proved).saturating_sub(probable);
    let parts: Vec<String> = [
        (proved, "proved"),
        (probable, "probable"),
        (rest, "not identified"),
    ]
    .into_iter()
    .filter(|(number, _)| *number > 0)
    .map(|(number, word)| counted(number, word, word))
    .collect();
    if parts.is_empty() {
        return "nobody".to_owned();
    }
    parts.join(", ")
}

/// Returns the place where the package is checked. Without the script it points to the stock commands.
pub(super) fn check(aid: &FindingAid<'_>) -> Markup {
    if !aid.can_be_checked() {
        return html! {
            section.check { p { "This package was made without SHA-256 checksums, so this page cannot check it. Its other manifests serve any program that reads BagIt packages." } }
        };
    }
    html! {
        section.check aria-labelledby="check" {
            div.check-what {
                h2 id="check" { "Is everything still here, and unchanged?" }
                div.live id="check-live" hidden {
                    p { "Choose the folder in which this page lies. Every file in it is read and compared with the checksums that were written down on " (aid.made_on_in_words()) "." }
                    div.drop id="drop" {
                        button.choose type="button" id="choose" { "Choose the folder and check it" }
                        span { " or drop the folder here" }
                        input.chooser type="file" id="chooser" webkitdirectory multiple tabindex="-1" aria-hidden="true";
                    }
                    p.before { "Your browser will now ask whether to “upload” the files, and offers “Cancel” first. Answer “Upload”: it is only its word for letting this page read them. The page can reach no network, and nothing leaves this computer. Dropping the folder asks nothing." }
                    div.progress id="progress" hidden {
                        progress id="progress-bar" max="1000" value="0" aria-label="How much of the package has been read" {}
                        p id="progress-words" {}
                        button type="button" id="stop" { "Stop" }
                    }
                    p.spoken id="spoken" role="status" {}
                    div.verdict id="verdict" tabindex="-1" hidden {}
                }
                p.no-live id="check-no-live" { "It can be checked without this page too: " a href="#by-hand" { "with what is already on every computer" } "." }
                p.limit { "A check finds damage, loss and change. It cannot find out who made the package: somebody able to rewrite every file could rewrite this page too. Only a seal that is kept elsewhere, on paper or in a letter, shows that." }
            }
            (seal(aid))
        }
    }
}

fn seal(aid: &FindingAid<'_>) -> Markup {
    let groups = aid.seal.in_groups();
    html! {
        aside.seal aria-labelledby="seal" {
            h3 id="seal" { "The seal" }
            p.digest { @for group in groups.split(' ') { span { (group) } " " } }
            p.quiet { "SHA-256 of the file manifest-sha256.txt. It should be the same on the paper that came with this package, and on every copy." }
        }
    }
}

/// Returns search and filter, which show themselves only when the script runs.
pub(super) fn controls(aid: &FindingAid<'_>) -> Markup {
    let number = counted(aid.collection().portraits.len(), "portrait", "portraits");
    html! {
        div.controls role="search" aria-label="The portraits" id="controls" hidden {
            p.field {
                label for="search" { "Find a name, place, number or word" }
                input type="search" id="search" autocomplete="off" spellcheck="false";
            }
            p.field {
                label for="sure" { "How sure the name is" }
                select id="sure" {
                    option value="" { "Any" }
                    @for certainty in certainties(aid) {
                        option value=(shell::certainty_name(certainty)) { (certainty.map_or("nobody is named", Certainty::word)) }
                    }
                }
            }
            p.field.buttons {
                button type="button" id="clear" { "Clear" }
                button type="button" id="print" { "Print" }
            }
            p.count id="count" role="status" { (number) }
        }
    }
}

/// Returns the certainties that occur, surest first, then "nobody is named".
fn certainties(aid: &FindingAid<'_>) -> Vec<Option<Certainty>> {
    let mut seen: Vec<Option<Certainty>> = aid
        .collection()
        .portraits
        .iter()
        .map(|portrait| who::surest(aid, portrait))
        .collect();
    seen.sort_by_key(|one| (one.is_none(), *one));
    seen.dedup();
    seen
}
