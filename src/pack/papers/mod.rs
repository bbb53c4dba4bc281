//! The papers of a package: rights and what was held back, in it; and beside it what is filled in, signed or sent with it.
//!
//! Papers to be written on lie beside the package, not in it: what is written into a package would change its checksums, and the
//! receipt shows the checksum of the very list that a file in the package would have to be on.

mod gift;
mod handing_over;
mod rights;

use super::PackError;
use super::PackOptions;
use super::tags::audience_words;
use crate::counting::counted;
use crate::fixity::Digest;
use crate::format::bagit::oxum::Oxum;
use crate::format::paper;
use crate::format::paper::Paper;
use crate::portable_path::PortablePath;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::audience::Withheld;
use crate::store::staging::Staging;
use std::collections::BTreeMap;
use std::path::Path;

pub(super) use rights::worksheet as rights;

/// What the papers beside a package tell of it.
pub(super) struct Shipment<'a> {
    /// The record as the audience may see it.
    pub(super) shown: &'a Collection,
    /// The whole record: for the giver's own eyes.
    pub(super) whole: &'a Collection,
    /// The package's name.
    pub(super) name: &'a str,
    /// The day of its making.
    pub(super) made_on: &'a str,
    /// What its payload holds.
    pub(super) oxum: Oxum,
    /// The digest of each manifest.
    pub(super) seals: &'a [(String, Digest)],
}

impl Shipment<'_> {
    /// Returns what the package holds, in words.
    fn holds(&self) -> String {
        let portraits = u64::try_from(self.shown.portraits.len()).unwrap_or(u64::MAX);
        format!(
            "{} in {}, {}",
            counted(portraits, "portrait", "portraits"),
            counted(self.oxum.files, "file", "files"),
            counted(self.oxum.bytes, "byte", "bytes")
        )
    }
}

/// Writes the papers that belong beside a package for this audience into a folder of their own. Tells whether there are any.
pub(super) fn beside(
    folder: &Path,
    audience: Audience,
    shipment: &Shipment<'_>,
) -> Result<bool, PackError> {
    let receipt = || {
        (
            "receipt-to-send-back",
            handing_over::transfer_receipt(shipment),
        )
    };
    let papers = match audience {
        Audience::Archive => vec![
            ("worksheet-for-the-giver", gift::worksheet(shipment)),
            receipt(),
        ],
        Audience::Family => vec![
            ("letter-to-a-descendant", handing_over::letter(shipment)),
            receipt(),
        ],
        Audience::Keeping | Audience::Public => return Ok(false),
    };
    let staging = Staging::beside(folder)?;
    for (name, paper) in &papers {
        for (ending, content) in both_forms(paper) {
            let name = format!("{name}.{ending}");
            let path = PortablePath::new(&name).map_err(|why| PackError::Name { name, why })?;
            staging.write(&path, content.as_bytes())?;
        }
    }
    staging.commit()?;
    Ok(true)
}

/// Returns a paper as plain text and as a page, each with the ending of its name.
pub(super) fn both_forms(paper: &Paper) -> [(&'static str, String); 2] {
    [("txt", paper::text(paper)), ("html", paper::page(paper))]
}

/// Writes `withheld.txt`: what was held back for this audience, without saying the thing itself.
pub(super) fn withheld(
    options: &PackOptions,
    withheld: &[Withheld],
    from_files: &[String],
) -> String {
    let mut lines = vec![
        format!("What was held back from this package for {}", audience_words(options.audience)),
        String::new(),
        "The sender keeps a full package. Ask the sender if you need something that is listed here.".to_owned(),
        String::new(),
    ];
    lines.extend(withheld_lines(withheld));
    if !from_files.is_empty() {
        lines.push(String::new());
        lines.push("Taken out of the described copies (the pictures are unchanged):".to_owned());
        lines.extend(from_files.iter().map(|line| format!("    {line}")));
    }
    if withheld.is_empty() && from_files.is_empty() {
        lines.push("Nothing.".to_owned());
    }
    as_paper(&lines)
}

/// Returns what was held back, one plain line for each thing: what, whose, why, without saying the thing itself. Whole portraits and
/// people come first.
#[must_use]
pub fn withheld_lines(withheld: &[Withheld]) -> Vec<String> {
    let mut groups: BTreeMap<(usize, &str, &str), Vec<String>> = BTreeMap::new();
    for one in withheld {
        let key = (weight(&one.what), one.what.as_str(), one.why.as_str());
        groups.entry(key).or_default().extend(named(one));
    }
    groups
        .into_iter()
        .map(|((_, what, why), of)| {
            if of.is_empty() {
                format!("{}, since {why}", sentence(what))
            } else {
                format!("{} ({}), since {why}", sentence(what), of.join(", "))
            }
        })
        .collect()
}

fn named(one: &Withheld) -> Option<String> {
    match (one.of.as_str(), one.times) {
        ("", 1) => None,
        ("", times) => Some(format!("{times} times")),
        (of, 1) => Some(of.to_owned()),
        (of, times) => Some(format!("{of}: {times} times")),
    }
}

/// What is missing as a whole comes before details.
fn weight(what: &str) -> usize {
    [
        "the whole portrait",
        "an altered version",
        "a scan",
        "a person",
    ]
    .iter()
    .position(|first| *first == what)
    .unwrap_or(usize::MAX)
}

fn sentence(what: &str) -> String {
    let mut letters = what.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

fn as_paper(lines: &[String]) -> String {
    let mut text = String::from("\u{feff}");
    for line in lines {
        text.push_str(line);
        text.push_str("\r\n");
    }
    text
}
