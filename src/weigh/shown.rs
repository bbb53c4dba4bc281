//! What people will see who open the described copies in an ordinary viewer, and where older words in the file say something else.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::appearance;
use crate::format::appearance::Inside;
use crate::format::appearance::Shown;
use crate::format::xmp;
use crate::format::xmp::Embedded;
use crate::format::xmp::PacketContext;
use crate::record::Collection;
use crate::record::Excerpts;
use crate::record::Portrait;
use crate::record::Scan;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What an ordinary viewer will show of one scan's described copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ScanAppearance {
    /// The file.
    pub file: String,
    /// The title.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// The description.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<String>,
    /// The tags.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tags: Vec<String>,
    /// The date by which pictures are sorted: often that of the scan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Where older words in the file disagree, a sentence each. They are left alone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub disagreements: Vec<String>,
    /// What the file says already.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub already: Vec<AlreadySaid>,
}

impl ScanAppearance {
    /// Returns what viewers show as pairs of name and text; what is not there is left out.
    #[must_use]
    pub fn lines(&self) -> Vec<(&'static str, String)> {
        let tags = (!self.tags.is_empty()).then(|| self.tags.join(", "));
        let all = [
            ("title", self.title.clone()),
            ("description", self.description.clone()),
            ("tags", tags),
            ("date", self.date.clone()),
        ];
        all.into_iter()
            .filter_map(|(name, text)| Some((name, text?)))
            .collect()
    }
}

/// A text that stands in a file already.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AlreadySaid {
    /// What it speaks of: title, description, maker, rights, date, tag.
    pub what: String,
    /// The text.
    pub text: String,
    /// Where it stands, in plain words.
    pub place: String,
}

/// Looks at the scans of a portrait whose files were read.
pub(super) fn check(
    record: &Excerpts<'_>,
    portrait: &Portrait,
    scans: &[&Scan],
    inside: &BTreeMap<String, Inside>,
    concerns: &mut ConcernList,
) -> Vec<ScanAppearance> {
    let mut seen = Vec::new();
    for scan in scans {
        if let Some(inside) = inside.get(&scan.file) {
            seen.push(look(record, portrait, scan, inside, concerns));
        }
    }
    seen
}

fn look(
    record: &Excerpts<'_>,
    portrait: &Portrait,
    scan: &Scan,
    inside: &Inside,
    concerns: &mut ConcernList,
) -> ScanAppearance {
    let excerpt = record.excerpt(&portrait.number, Some(scan));
    let theirs = inside
        .packet
        .as_deref()
        .and_then(|text| xmp::read(text).ok());
    let joined = joined(inside.packet.as_deref(), &excerpt);
    let places = (inside.exif.as_ref(), inside.caption.as_ref());
    let seen = appearance::what_others_see(places.0, places.1, joined.as_ref().or(theirs.as_ref()));
    let told: Vec<String> = seen
        .differences
        .iter()
        .filter(|one| one.what != "date")
        .map(appearance::Difference::in_words)
        .collect();
    if !told.is_empty() {
        concerns.note(
            "older-words-differ",
            Place::file(&scan.file).of_portrait(&portrait.number),
            format!("The file holds older words that differ from the record. {}", told.join(" ")),
            "They are kept as they are, since they may be somebody's testimony. If one is wrong, correct it with the program that wrote it.",
        );
    }
    let already = appearance::all_that_is_said(places.0, places.1, theirs.as_ref());
    let text = |shown: Option<Shown>| shown.map(|shown| shown.text);
    ScanAppearance {
        file: scan.file.clone(),
        title: text(seen.title),
        description: text(seen.description),
        tags: seen.tags.into_iter().map(|tag| tag.text).collect(),
        date: text(seen.date),
        disagreements: seen
            .differences
            .iter()
            .map(appearance::Difference::in_words)
            .collect(),
        already: already.into_iter().map(said).collect(),
    }
}

fn said((what, shown): (&'static str, Shown)) -> AlreadySaid {
    AlreadySaid {
        what: what.to_owned(),
        text: shown.text,
        place: shown.origin.words().to_owned(),
    }
}

/// Returns the packet as it will be: theirs with ours put in.
fn joined(packet: Option<&str>, excerpt: &Collection) -> Option<Embedded> {
    let written = xmp::draft(packet, excerpt, &PacketContext::default()).ok()?;
    let text = xmp::screen(written.packet.as_bytes()).ok()?;
    xmp::read(&text).ok()
}
