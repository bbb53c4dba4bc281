//! What an earlier survey saw of each file, in one file beside the catalogue, so that unchanged files need not be read again.
//!
//! A file counts as unchanged when its length, its time of change and its number on the disk are the same. That is good enough
//! to draft rows; nothing that proves anything (`pack`, `audit`) looks here. Deleting the file is always safe.

use super::look::Look;
use super::pictures::Front;
use super::seen::FileSeen;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::store;
use crate::store::source;
use crate::store::source::Stamp;
use crate::store::staging;
use crate::store::tree::TreeFile;
use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

/// The name of the file; hidden, so that no survey takes it for the person's.
const NAME: &str = ".kithbag-cache";

/// The first line. Another program version may see and say other things, so its memory is not used.
const HEADING: &str = concat!("kithbag survey memory 1, ", env!("CARGO_PKG_VERSION"));

/// What was seen, by file.
#[derive(Debug, Default)]
pub(super) struct Memory {
    entries: BTreeMap<String, Entry>,
    /// The file as it was read.
    bytes: Vec<u8>,
}

/// What was seen of one picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Entry {
    changed: u64,
    number: u64,
    seen: FileSeen,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    concerns: Vec<Concern>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fingerprint: Option<u64>,
}

impl Entry {
    fn fits(&self, stamp: &Stamp) -> bool {
        self.seen.bytes == stamp.length
            && u128::from(self.changed) == stamp.changed
            && self.number == stamp.number
    }
}

impl Memory {
    /// Reads the memory of an earlier survey; a missing or damaged one is none.
    pub(super) fn read(root: &Path) -> Self {
        let bytes = store::read_all(&root.join(NAME)).unwrap_or_default();
        let mut lines = bytes.split(|byte| *byte == b'\n');
        let mut entries = BTreeMap::new();
        if lines.next() == Some(HEADING.as_bytes()) {
            for entry in lines.filter_map(|line| serde_json::from_slice::<Entry>(line).ok()) {
                entries.insert(entry.seen.file.clone(), entry);
            }
        }
        Self { entries, bytes }
    }

    /// Takes down what was seen. Described copies are read each time, for their records.
    pub(super) fn of(looks: &[Look]) -> Self {
        let entries = looks.iter().filter_map(|look| {
            let (seen, stamp) = (look.seen.as_ref()?, look.stamp?);
            let entry = Entry {
                // A file without a time of change, or of the far future, is never known again.
                changed: u64::try_from(stamp.changed)
                    .ok()
                    .filter(|changed| *changed > 0)?,
                number: stamp.number,
                seen: seen.clone(),
                concerns: look.concerns.iter().cloned().collect(),
                fingerprint: None,
            };
            (!seen.is_described).then(|| (seen.file.clone(), entry))
        });
        Self {
            entries: entries.collect(),
            bytes: Vec::new(),
        }
    }

    /// Returns what was seen of a file, if it is unchanged.
    pub(super) fn look(&self, file: &TreeFile) -> Option<Look> {
        let entry = self.entries.get(&file.path)?;
        let stamp = source::stamp_of(&file.full_path).ok()?;
        if !entry.fits(&stamp) {
            return None;
        }
        let mut concerns = ConcernList::default();
        entry
            .concerns
            .iter()
            .for_each(|concern| concerns.push(concern.clone()));
        Some(Look {
            seen: Some(entry.seen.clone()),
            concerns,
            record: None,
            stamp: Some(stamp),
        })
    }

    /// Returns the fingerprints of files that are in `now` what they were.
    pub(super) fn fingerprints(&self, now: &Self) -> BTreeMap<String, u64> {
        self.entries
            .iter()
            .filter_map(|(file, entry)| {
                let same = now.entries.get(file)?;
                let unchanged = same.changed == entry.changed
                    && same.number == entry.number
                    && same.seen.bytes == entry.seen.bytes;
                unchanged.then_some((file.clone(), entry.fingerprint?))
            })
            .collect()
    }

    /// Takes down the fingerprints of the fronts.
    pub(super) fn add_fingerprints(&mut self, fronts: &[Front]) {
        for front in fronts {
            if let Some(entry) = self.entries.get_mut(&front.file) {
                entry.fingerprint = front.fingerprint;
            }
        }
    }

    /// Writes the memory, unless it is what was read. A folder that cannot be written to costs time, nothing else.
    pub(super) fn write(&self, root: &Path, read: &Self, concerns: &mut ConcernList) {
        let mut bytes = HEADING.as_bytes().to_vec();
        for entry in self.entries.values() {
            bytes.push(b'\n');
            bytes.extend(serde_json::to_vec(entry).unwrap_or_default());
        }
        bytes.push(b'\n');
        if bytes == read.bytes || (self.entries.is_empty() && read.bytes.is_empty()) {
            return;
        }
        if staging::replace(&root.join(NAME), &bytes).is_err() {
            concerns.note(
                "not-remembered",
                Place::file(NAME),
                "What was seen could not be taken down for the next time.",
                "Nothing need be done; the next survey will read every file again.",
            );
        }
    }
}
