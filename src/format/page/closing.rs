//! The end of the finding aid: index, what is held back, how sure each word is, cautions, checking by hand.

use super::FindingAid;
use super::anchor;
use super::heading;
use super::labels::LABELS_FILE;
use super::said;
use super::shell;
use crate::record::Certainty;
use crate::record::caution;
use crate::record::caution::Caution;
use maud::Markup;
use maud::html;
use unicode_normalization::UnicodeNormalization;

/// Returns everything that follows the portraits.
pub(super) fn closing(aid: &FindingAid<'_>) -> Markup {
    html! {
        footer.closing {
            (index(aid))
            (withheld(aid))
            (ladder())
            (cautions(aid))
            (handling(aid))
            (labels(aid))
            @if aid.can_be_checked() { (by_hand(aid)) }
            (history(aid))
            (other_files(aid))
            p.colophon { "Nobody needs a special program to read, check or reuse this package. The pictures are ordinary picture files; the whole record lies beside them in data/catalogue, for people as sheets and for programs as record.json." }
            @if aid.can_be_checked() { p.sheet-foot aria-hidden="true" { "seal " (aid.seal.in_groups()) } }
        }
    }
}

fn index(aid: &FindingAid<'_>) -> Markup {
    let mut lines: Vec<(bool, String, String, usize)> = aid
        .collection()
        .portraits
        .iter()
        .enumerate()
        .map(|(position, portrait)| {
            let words = heading(aid, portrait);
            (
                words.starts_with("Unidentified"),
                sorting_form(&words),
                words,
                position,
            )
        })
        .collect();
    lines.sort();
    html! {
        section.index aria-labelledby="index" {
            h2 id="index" { "Index of sitters" }
            ul {
                @for (_, _, words, position) in &lines {
                    @if let Some(portrait) = aid.collection().portraits.get(*position) {
                        li {
                            a href={ "#" (anchor(*position)) } {
                                span { (said(words)) } " "
                                b { (said(portrait.number.as_str())) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Accents and case do not count in the order; "probably" does not either.
fn sorting_form(words: &str) -> String {
    words
        .nfd()
        .filter(|one| one.is_alphanumeric() || one.is_whitespace())
        .collect::<String>()
        .to_lowercase()
        .trim_start_matches("probably ")
        .to_owned()
}

fn withheld(aid: &FindingAid<'_>) -> Markup {
    html! {
        section.withheld aria-labelledby="withheld" {
            h2 id="withheld" { "What is not in this package" }
            @if aid.withheld.is_empty() {
                p { "Nothing was held back." }
            } @else {
                p { "These things exist, and were held back from this package on purpose:" }
                ul { @for one in aid.withheld { li { (said(one)) } } }
            }
        }
    }
}

fn ladder() -> Markup {
    let steps = [
        (
            Certainty::Proved,
            "written reasoning convinces a careful outsider. Only then does a name stand alone.",
        ),
        (
            Certainty::Probable,
            "better than any rival. The name always carries the word “probably”.",
        ),
        (
            Certainty::Possible,
            "fits, but so might others. The portrait stays “unidentified”; the name is found only among the reasons.",
        ),
        (
            Certainty::Suggested,
            "an idea to test: family talk, likeness, sold together.",
        ),
        (Certainty::Doubtful, "the evidence leans against."),
        (Certainty::RuledOut, "cannot be."),
    ];
    html! {
        section.ladder aria-labelledby="ladder" {
            h2 id="ladder" { "How sure each word is" }
            dl {
                @for (certainty, meaning) in steps {
                    dt { (shell::certainty(Some(certainty))) } dd { (meaning) }
                }
            }
        }
    }
}

fn cautions(aid: &FindingAid<'_>) -> Markup {
    let cautions = caution::collection_cautions(aid.collection(), &aid.circumstances());
    html! {
        @if !cautions.is_empty() {
            section.cautions aria-labelledby="cautions" {
                h2 id="cautions" { "Please keep in mind" }
                ul { @for one in cautions { li { span.lead { (sentence_case(one.about)) ". " } (one.text) } } }
                p.quiet { (caution::GENERAL) }
            }
        }
    }
}

/// The full text of every caution that some portrait calls for, with the numbers of those portraits.
fn handling(aid: &FindingAid<'_>) -> Markup {
    let mut called: Vec<(&'static Caution, Vec<usize>)> =
        caution::all().iter().map(|one| (one, Vec::new())).collect();
    for (position, portrait) in aid.collection().portraits.iter().enumerate() {
        let calls = caution::cautions_in(aid.record, portrait, &aid.circumstances());
        for (one, positions) in &mut called {
            if calls.contains(one) {
                positions.push(position);
            }
        }
    }
    called.retain(|(_, positions)| !positions.is_empty());
    html! {
        @if !called.is_empty() {
            section.cautions.handling aria-labelledby="handling" {
                h2 id="handling" { "Taking care of the portraits" }
                ul {
                    @for (one, positions) in &called {
                        li id={ "caution-" (one.id) } {
                            span.lead { (sentence_case(one.about)) ". " } (one.text)
                            span.source { " — " (whom_it_concerns(aid, positions)) }
                        }
                    }
                }
                p.quiet { (caution::GENERAL) }
            }
        }
    }
}

/// The longest list of numbers that is still read.
const LONGEST_LIST: usize = 12;

fn whom_it_concerns(aid: &FindingAid<'_>, positions: &[usize]) -> Markup {
    html! {
        @if positions.len() > LONGEST_LIST {
            (positions.len()) " portraits"
        } @else {
            @for (place, position) in positions.iter().enumerate() {
                @if let Some(portrait) = aid.collection().portraits.get(*position) {
                    @if place > 0 { ", " }
                    a href={ "#" (anchor(*position)) } { (said(portrait.number.as_str())) }
                }
            }
        }
    }
}

/// The way to the sheet of labels, which only a package has.
fn labels(aid: &FindingAid<'_>) -> Markup {
    html! {
        @if aid.can_be_checked() {
            section.labels-link aria-labelledby="labels" {
                h2 id="labels" { "Labels for folders and boxes" }
                p { "A sheet to print and cut apart lies beside this page: " a href=(LABELS_FILE) { (LABELS_FILE) } ". It also holds, for each portrait, the few words that are worth copying in soft pencil." }
            }
        }
    }
}

/// Returns words with a capital first letter.
pub(super) fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// The sentence for everybody who opens a picture.
pub(super) const LOOKING_IS_SAFE: &str = "Looking is safe. Typing in a picture’s properties, rotating or “enhancing” it changes the file: make a copy first.";

/// How to check on each system: its name, what to do, the command.
pub(super) const COMMANDS: [(&str, &str, &str); 4] = [
    (
        "Linux",
        "In a terminal, inside this folder. No output means that every file is as it was.",
        "sha256sum --quiet -c manifest-sha256.txt",
    ),
    (
        "macOS",
        "In Terminal, inside this folder. Each file is followed by OK or FAILED.",
        "shasum -a 256 -c manifest-sha256.txt",
    ),
    (
        "Windows, all files",
        "In PowerShell, inside this folder. Only files that are missing or changed are listed.",
        "Get-Content manifest-sha256.txt -Encoding UTF8 | ForEach-Object { $sum, $name = $_ -split '  ', 2; if (-not (Test-Path -LiteralPath $name)) { \"missing: $name\" } elseif ((Get-FileHash -LiteralPath $name -Algorithm SHA256).Hash -ne $sum) { \"changed: $name\" } }",
    ),
    (
        "Windows, one file",
        "In a command window, inside this folder; compare with the line in manifest-sha256.txt.",
        "certutil -hashfile manifest-sha256.txt SHA256",
    ),
];

fn by_hand(aid: &FindingAid<'_>) -> Markup {
    html! {
        section.by-hand aria-labelledby="by-hand" {
            h2 id="by-hand" { "Checking with what is already on every computer" }
            p { "The file manifest-sha256.txt lists every file below data/ with its SHA-256 checksum; tagmanifest-sha256.txt does the same for the other files, this page among them. The same commands check both." }
            dl {
                @for (system, how, command) in COMMANDS {
                    dt { (system) }
                    dd { (how) pre tabindex="0" aria-label={ "Command for " (system) } { code { (command) } } }
                }
            }
            p { "The checksum of manifest-sha256.txt itself is the seal: " span.digest { (aid.seal.hex()) } }
            p { strong { (LOOKING_IS_SAFE) } }
        }
    }
}

/// What lies in the package beside the pictures that is made for reading or loading: where, and what it is.
const OTHER_FILES: [(&str, &str); 3] = [
    (
        "data/family/family.gdz",
        "the proved sitters with their pictures, for programs that keep family trees (GEDCOM 7)",
    ),
    (
        "data/rights.html",
        "what is known of copyright, portrait by portrait",
    ),
    ("data/withheld.txt", "what was held back from this package"),
];

/// Returns those of them that are there.
pub(super) fn other_files_of(aid: &FindingAid<'_>) -> Vec<(&'static str, &'static str)> {
    let is_there = |path: &str| aid.holdings.payload().iter().any(|file| file.path == path);
    OTHER_FILES
        .into_iter()
        .filter(|(path, _)| is_there(path))
        .collect()
}

fn other_files(aid: &FindingAid<'_>) -> Markup {
    let files = other_files_of(aid);
    html! {
        @if !files.is_empty() {
            section.history aria-labelledby="other-files" {
                h2 id="other-files" { "What else is in it" }
                ul { @for (path, about) in files { li { a href=(path) { (path) } ": " (about) } } }
            }
        }
    }
}

fn history(aid: &FindingAid<'_>) -> Markup {
    html! {
        @if !aid.history.is_empty() {
            section.history aria-labelledby="history" {
                h2 id="history" { "Editions" }
                ul { @for line in aid.history { li { (said(line)) } } }
            }
        }
    }
}

/// Returns the empty frame in which the script shows front and back large.
pub(super) fn look_closely() -> Markup {
    html! {
        dialog.closely id="closely" aria-labelledby="closely-title" {
            div.closely-bar {
                h2 id="closely-title" {}
                button type="button" id="closely-before" { "Previous" }
                button type="button" id="closely-after" { "Next" }
                button type="button" id="closely-larger" aria-pressed="false" { "Larger" }
                button type="button" id="closely-close" { "Close" }
            }
            div.closely-pictures id="closely-pictures" {}
        }
    }
}
