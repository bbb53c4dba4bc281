//! The page and the text that everybody opens first, and the print sheet of labels.

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::contents::Packed;
use super::viewing::Made;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::page;
use crate::format::page::FindingAid;
use crate::format::page::Holdings;
use crate::format::page::PayloadFile;
use crate::format::page::Picture;
use crate::record::Collection;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::View;
use std::collections::BTreeMap;

/// What the page tells beside the record.
#[derive(Debug, Default)]
pub(super) struct Story {
    /// What was held back, one plain line each.
    pub(super) withheld: Vec<String>,
    /// What the dates rest on, one line each.
    pub(super) weighing: BTreeMap<PortraitNumber, Vec<String>>,
    /// What changed since earlier editions.
    pub(super) history: Vec<String>,
    /// Which portrait and view each file of the payload shows.
    pub(super) shows: BTreeMap<String, (PortraitNumber, Option<View>)>,
    /// The viewing copies.
    pub(super) viewing: Vec<Made>,
    /// Which part of several the package is, one line each.
    pub(super) parts: Vec<String>,
}

/// Writes `START-HERE.html`, `START-HERE.txt` and the print sheet of labels.
pub(super) fn write(
    contents: &Contents<'_>,
    collection: &Collection,
    options: &PackOptions,
    name: &str,
    story: &Story,
    seals: &[(String, Digest)],
) -> Result<(), PackError> {
    let files = contents.files();
    let payload: Vec<PayloadFile> = files
        .iter()
        .filter_map(|(path, packed)| payload_file(path, packed, story))
        .collect();
    let by_sha256 = seals
        .iter()
        .map(|(_, seal)| seal)
        .find(|seal| seal.algorithm() == Algorithm::Sha256);
    let seal = by_sha256
        .cloned()
        .unwrap_or_else(|| Digest::of(Algorithm::Sha256, b""));
    let pictures: Vec<Picture> = story.viewing.iter().map(picture).collect();
    let aid = FindingAid {
        record: &Register::of(collection),
        package: name,
        audience: options.audience,
        made_on: options.as_of,
        holdings: &Holdings::of(&payload, &pictures),
        seal: &seal,
        withheld: &story.withheld,
        weighing: &story.weighing,
        history: &story.history,
        parts: &story.parts,
    };
    contents.write("START-HERE.html", page::finding_aid(&aid).as_bytes())?;
    contents.write("START-HERE.txt", page::start_here_text(&aid).as_bytes())?;
    contents.write(page::LABELS_FILE, page::labels(&aid).as_bytes())
}

fn payload_file(path: &str, packed: &Packed, story: &Story) -> Option<PayloadFile> {
    let sha256 = packed.digest(Algorithm::Sha256)?.clone();
    let shows = story.shows.get(path);
    path.starts_with("data/").then(|| PayloadFile {
        path: path.to_owned(),
        sha256,
        bytes: packed.bytes,
        portrait: shows.map(|(portrait, _)| portrait.clone()),
        view: shows.and_then(|(_, view)| *view),
    })
}

fn picture(made: &Made) -> Picture {
    Picture {
        scan: made.from.clone(),
        viewing: made.path.clone(),
        captioned: made.captioned.clone(),
        width: made.width,
        height: made.height,
    }
}
