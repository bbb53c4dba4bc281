//! Where a package is cut into parts: between portraits, never through one, in the order of the catalogue.

use super::Job;
use super::PackError;
use super::contents::Contents;
use super::contents::Packed;
use super::payload;
use super::payload::Subject;
use super::viewing;
use crate::catalogue::json;
use crate::record::Excerpts;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Scan;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Room for the page without portraits, the manifests' own files and the like, in bytes; measured, and rounded up.
const ROOM_FOR_PAPERS: u64 = 160 * 1024;

/// Room for a portrait on the page and in the family tree beside its record, in bytes.
const ROOM_FOR_PORTRAIT: u64 = 8 * 1024;

/// How often the words of a portrait stand in the papers that differ from part to part: both pages, the description for programs.
const TIMES_TOLD: u64 = 4;

/// Room for a picture file in manifests, log, page and description for programs, in bytes.
const ROOM_FOR_FILE: u64 = 3 * 1024;

/// What is never cut through: a portrait with its scans, or one scan that belongs to none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Piece {
    /// The portrait.
    pub(super) portrait: Option<PortraitNumber>,
    /// The files of its scans, as the record names them.
    pub(super) scans: BTreeSet<String>,
    /// How much room it takes in a package at most.
    pub(super) bytes: u64,
}

/// Returns the pieces of each part: one part when everything fits or nobody asked.
pub(super) fn plan(job: &Job<'_>, contents: &Contents<'_>) -> Result<Vec<Vec<Piece>>, PackError> {
    let Some(limit) = job.options.split_at else {
        return Ok(Vec::new());
    };
    let subject = Subject {
        filtered: job.filtered,
        shown: &job.filtered.collection,
        whole: job.whole,
        pictures: job.pictures,
        removed: job.removed,
        weighed: job.weighed,
    };
    let papers = payload::documents(subject, job.options)?
        .iter()
        .fold(ROOM_FOR_PAPERS, |sum, (_, bytes)| {
            sum.saturating_add(length(bytes.len()))
        });
    Ok(cut(pieces(job, contents)?, limit.saturating_sub(papers)))
}

fn pieces(job: &Job<'_>, contents: &Contents<'_>) -> Result<Vec<Piece>, PackError> {
    let collection = &job.filtered.collection;
    let room = room_of_scans(job, &contents.files());
    let of = |scans: Vec<&Scan>, portrait: Option<&PortraitNumber>, words: u64| {
        let scans: BTreeSet<String> = scans.iter().map(|scan| scan.file.clone()).collect();
        let bytes = scans
            .iter()
            .filter_map(|scan| room.get(scan.as_str()))
            .fold(words, |sum, bytes| sum.saturating_add(*bytes));
        Piece {
            portrait: portrait.cloned(),
            scans,
            bytes,
        }
    };
    let excerpts = Excerpts::of(collection);
    let record = Register::of(collection);
    let mut pieces = Vec::new();
    for portrait in &collection.portraits {
        let words = json::write(&excerpts.excerpt(&portrait.number, None))?.len();
        let words = length(words)
            .saturating_mul(TIMES_TOLD)
            .saturating_add(ROOM_FOR_PORTRAIT);
        let scans = record.scans_of(&portrait.number).to_vec();
        pieces.push(of(scans, Some(&portrait.number), words));
    }
    let belongs = |scan: &Scan| {
        let portrait = scan.portrait.given();
        portrait.is_some_and(|number| record.portrait(number.as_str()).is_some())
    };
    let lone = collection.scans.iter().filter(|scan| !belongs(scan));
    pieces.extend(lone.map(|scan| of(vec![scan], None, 0)));
    Ok(pieces)
}

/// Adds up what the files made from each scan take. Viewing pictures may stand in the family tree once more.
fn room_of_scans<'a>(job: &'a Job<'_>, files: &BTreeMap<String, Packed>) -> BTreeMap<&'a str, u64> {
    let mut room: BTreeMap<&str, u64> = BTreeMap::new();
    for (path, scan) in job.pictures.paths() {
        let bytes = files.get(path).map_or(0, |packed| packed.bytes);
        let is_viewing = path.starts_with(viewing::FOLDER);
        let again = if is_viewing && !path.starts_with(viewing::CAPTIONED_FOLDER) {
            bytes
        } else {
            0
        };
        let sum = room.entry(scan).or_default();
        *sum = sum
            .saturating_add(bytes)
            .saturating_add(again)
            .saturating_add(ROOM_FOR_FILE);
    }
    room
}

/// Fills one part after the other. A piece that is larger than a part gets one of its own.
fn cut(pieces: Vec<Piece>, room: u64) -> Vec<Vec<Piece>> {
    let mut parts: Vec<Vec<Piece>> = Vec::new();
    // Nothing is added to a part that is too large already, be it ever so small.
    let mut left = None;
    for piece in pieces {
        let rest = left.and_then(|left: u64| left.checked_sub(piece.bytes));
        match parts.last_mut() {
            Some(part) if rest.is_some() => {
                left = rest;
                part.push(piece);
            }
            _ => {
                left = room.checked_sub(piece.bytes);
                parts.push(vec![piece]);
            }
        }
    }
    parts
}

fn length(list: usize) -> u64 {
    u64::try_from(list).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sizes(pieces: &[u64], room: u64) -> Vec<Vec<u64>> {
        let pieces = pieces.iter().map(|bytes| Piece {
            portrait: None,
            scans: BTreeSet::new(),
            bytes: *bytes,
        });
        let parts = cut(pieces.collect(), room);
        let sizes = |part: &Vec<Piece>| part.iter().map(|piece| piece.bytes).collect();
        parts.iter().map(sizes).collect()
    }

    #[test]
    fn parts_are_filled_in_order() {
        assert_eq!(
            sizes(&[4, 6, 1, 9, 2], 10),
            [vec![4, 6], vec![1, 9], vec![2]]
        );
        assert_eq!(sizes(&[4, 6], 10), [[4, 6]]);
        assert_eq!(sizes(&[1, 20, 1], 10), [[1], [20], [1]]);
        assert_eq!(sizes(&[1, 2], 0), [[1], [2]]);
        assert!(sizes(&[], 10).is_empty());
    }

    proptest! {
        /// Nothing is lost or put in another order, and no part that could have been cut is too large.
        #[test]
        fn every_part_fits_or_is_one_piece(pieces in proptest::collection::vec(0_u64..40, 0..30), room in 0_u64..60) {
            let parts = sizes(&pieces, room);
            prop_assert_eq!(parts.concat(), pieces);
            for part in parts {
                prop_assert!(part.len() == 1 || part.iter().sum::<u64>() <= room);
            }
        }
    }
}
