//! The finding aid: START-HERE.html and START-HERE.txt, and the print sheet of labels, from the record.
//!
//! The page is one file that opens by double click, reads completely without its script, asks nothing of any network, and
//! carries the checksums of the payload, so that it can check the package, or another copy of it, by itself.

mod closing;
mod data;
mod entry;
mod holdings;
mod labels;
mod masthead;
mod object;
mod shell;
mod start_here;
mod who;

pub use holdings::Holdings;
pub use holdings::PayloadFile;
pub use holdings::Picture;
pub use labels::LABELS_FILE;
pub use labels::labels;
pub use labels::pencil_text;
pub use shell::shell;
pub use shell::styled;
pub use start_here::start_here_text;

use crate::counting::counted;
use crate::fixity::Digest;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::caution::Circumstances;
use crate::record::wording;
use jiff::civil::Date;
use maud::Markup;
use maud::PreEscaped;
use maud::html;
use shell::Document;
use std::collections::BTreeMap;

/// The script of the page: search, filter, looking closely, and the check of the package.
const SCRIPT: &str = include_str!("check.js");

/// What a finding aid is made from. Everything in it may be shown: what an audience must not see is already left out.
#[derive(Debug, Clone, Copy)]
pub struct FindingAid<'a> {
    /// The record, as this audience may see it.
    pub record: &'a Register<'a>,
    /// The package's name: its folder.
    pub package: &'a str,
    /// Who the package is for.
    pub audience: Audience,
    /// The day that counts as the day of making.
    pub made_on: Date,
    /// What lies below `data/`.
    pub holdings: &'a Holdings<'a>,
    /// SHA-256 of `manifest-sha256.txt`.
    pub seal: &'a Digest,
    /// What was held back, in plain words.
    pub withheld: &'a [String],
    /// For a portrait, what its ranges of dates rest on and what else was weighed, one line each.
    pub weighing: &'a BTreeMap<PortraitNumber, Vec<String>>,
    /// What changed since earlier editions and which one this supersedes, one line each.
    pub history: &'a [String],
    /// When the package is one part of several: which one, and where the other portraits are, one line each.
    pub parts: &'a [String],
}

impl<'a> FindingAid<'a> {
    const fn collection(&self) -> &'a Collection {
        self.record.collection()
    }

    /// Returns the collection's name, or else the package's.
    #[must_use]
    pub fn title(&self) -> &str {
        self.collection().about.title.text().unwrap_or(self.package)
    }

    /// Returns what is known beside the record when cautions are chosen.
    #[must_use]
    pub fn circumstances(&self) -> Circumstances {
        Circumstances {
            audience: Some(self.audience),
            year: Some(i32::from(self.made_on.year())),
        }
    }

    /// Returns the day of making in words, for example "25 November 2026".
    #[must_use]
    pub fn made_on_in_words(&self) -> String {
        self.made_on.strftime("%-d %B %Y").to_string()
    }

    /// Returns how a portrait is to be cited.
    #[must_use]
    pub fn citation(&self, portrait: &Portrait) -> String {
        let title = wording::title(self.record, portrait);
        let keeper = match self.collection().about.kept_by.text() {
            Some(keeper) => format!(", kept by {keeper}"),
            None => String::new(),
        };
        let seal = self.seal.hex().get(..8).unwrap_or_default();
        format!(
            "{title}, no. {}, in {}{keeper}. Package {}, {}, seal {seal}….",
            portrait.number,
            self.title(),
            self.package,
            self.made_on.year(),
        )
    }

    /// Returns what the package holds, for example "5 portraits, 27 files, 1.2 MB".
    fn holds(&self) -> String {
        let portraits = self.collection().portraits.len();
        let portraits = counted(portraits, "portrait", "portraits");
        if !self.can_be_checked() {
            return portraits;
        }
        let files = counted(self.holdings.payload().len(), "file", "files");
        format!(
            "{portraits}, {files}, {}",
            size_in_words(self.total_bytes())
        )
    }

    /// Tells whether the page knows the checksums by which it can check the package.
    fn can_be_checked(&self) -> bool {
        !self.holdings.payload().is_empty()
    }

    fn total_bytes(&self) -> u64 {
        self.holdings
            .payload()
            .iter()
            .fold(0_u64, |sum, file| sum.saturating_add(file.bytes))
    }
}

/// Returns a script without its indentation and without lines that are only comment: what the page carries. The script has no
/// text that runs over several lines, so nothing that it says is changed.
fn lean(script: &str) -> String {
    let lines: Vec<&str> = script
        .lines()
        .map(str::trim)
        .filter(|line| !(line.is_empty() || line.starts_with("//") || line.starts_with("/**")))
        .collect();
    lines.join("\n")
}

/// Returns START-HERE.html.
#[must_use]
pub fn finding_aid(aid: &FindingAid<'_>) -> String {
    let script = lean(SCRIPT);
    let seal_foot = format!("seal {}", aid.seal.in_groups());
    shell::document(&Document {
        title: aid.title(),
        style: None,
        sheet_foot: aid.can_be_checked().then_some(seal_foot.as_str()),
        script: Some(&script),
        holds_pictures: false,
        body: &html! {
            (masthead::masthead(aid))
            main id="main" {
                (masthead::check(aid))
                (masthead::controls(aid))
                (portraits(aid))
            }
            (closing::closing(aid))
            (closing::look_closely())
            (data::island(aid))
        },
    })
}

fn portraits(aid: &FindingAid<'_>) -> Markup {
    html! {
        section.portraits aria-labelledby="portraits" {
            h2.quiet id="portraits" { "The portraits" }
            @for (position, portrait) in aid.collection().portraits.iter().enumerate() {
                (without_needless_ends(&entry::entry(aid, position, portrait)))
            }
            (without_needless_ends(&html! {
                p.none-found id="none-found" hidden { "No portrait matches. Clear the search to see them all." }
            }))
        }
    }
}

/// Returns markup without the ends of items, lines and paragraphs, which whatever follows them here ends as well. In a page of
/// a thousand portraits they are a twentieth of it. No text can hold a bare `<`, so only ends are met. [HTML 13.1.2.4]
fn without_needless_ends(markup: &Markup) -> Markup {
    let ends = ["</li>", "</dt>", "</dd>", "</p>"];
    let text = ends
        .into_iter()
        .fold(markup.0.clone(), |text, end| text.replace(end, ""));
    PreEscaped(text)
}

/// Returns what stands above a portrait: its sitter by the rule of [`wording`], or what else it is.
fn heading(aid: &FindingAid<'_>, portrait: &Portrait) -> String {
    if portrait.kind.given() == Some(&PortraitKind::Paper) {
        return "Paper that came with the portraits".to_owned();
    }
    wording::naming(aid.record, portrait).words()
}

/// Returns the anchor of the portrait at this position.
fn anchor(position: usize) -> String {
    format!("p{}", position.saturating_add(1))
}

/// Returns text that a person wrote, so that neither its markup nor its direction of writing can reach beyond itself.
fn said(text: &str) -> Markup {
    html! { bdi { (shell::printable(text)) } }
}

/// Returns a number of bytes in words, for example "4.2 MB" (millions of bytes).
fn size_in_words(bytes: u64) -> String {
    const UNITS: [(u64, &str); 3] = [(1_000_000_000, "GB"), (1_000_000, "MB"), (1_000, "kB")];
    for (unit, name) in UNITS {
        if bytes >= unit {
            let tenths = bytes.saturating_mul(10).checked_div(unit).unwrap_or(0);
            let whole = tenths.checked_div(10).unwrap_or(0);
            let rest = tenths.checked_rem(10).unwrap_or(0);
            return format!("{whole}.{rest} {name}");
        }
    }
    counted(bytes, "byte", "bytes")
}

#[cfg(test)]
mod tests;
