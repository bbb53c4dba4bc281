//! What an earlier survey saw of each file, in one file beside the catalogue, so that unchanged files need not be read again.
//!
//! A file counts as unchanged when its length, its time of change and its number on the disk are the same. That is good enough
//! to draft rows, and for `pack` to see that the very same package stands there already; `audit` never looks here, and what `pack`
//! writes was always read anew. Deleting the file is always safe. Its first line is
//! a heading; every other one is a JSON object of the form `schemas/survey-memory.schema.json`.

use super::look::Look;
use super::pictures::Front;
use super::seen::FileSeen;
use super::seen::Survey;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::store;
use crate::store::source;
use crate::store::source::Stamp;
use crate::store::staging;
use crate::store::tree::TreeFile;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;
use std::path::PathBuf;

/// The name of the file; hidden, so that no survey takes it for the person's.
const NAME: &str = ".kithbag-cache";

/// The first line. Another program version may see and say other things, so its memory is not used.
const HEADING: &str = concat!("kithbag survey memory 1, ", env!("CARGO_PKG_VERSION"));

/// What was seen of one picture: a line of the memory.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Remembered<'a> {
    /// When the file last changed, in nanoseconds since 1970-01-01T00:00:00Z.
    changed: u64,
    /// The file's number on the disk (inode); 0 where the system has none.
    number: u64,
    /// What was seen, its path and length among it.
    seen: Cow<'a, FileSeen>,
    /// What was noticed.
    #[serde(default, skip_serializing_if = "is_none")]
    concerns: Cow<'a, [Concern]>,
    /// What is alike in prints of one negative, when the picture is the front of a portrait.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fingerprint: Option<u64>,
}

/// The published schema of a line: the file's name in `schemas/`, its committed text, and what makes it anew from the type.
pub const PUBLISHED_SCHEMA: (&str, &str, fn() -> serde_json::Value) = (
    "survey-memory.schema.json",
    include_str!("../../schemas/survey-memory.schema.json"),
    || schemars::schema_for!(Remembered<'static>).to_value(),
);

fn is_none(concerns: &[Concern]) -> bool {
    concerns.is_empty()
}

impl Remembered<'_> {
    fn fits(&self, stamp: &Stamp) -> bool {
        self.seen.bytes == stamp.length
            && u128::from(self.changed) == stamp.changed
            && self.number == stamp.number
    }
}

/// What an earlier survey saw, by file.
#[derive(Debug, Default)]
pub(super) struct Memory {
    entries: BTreeMap<String, Remembered<'static>>,
    /// The checksum of the file as it was read, when there was one.
    sha256: Option<Digest>,
}

impl Memory {
    /// Reads the memory of an earlier survey; a missing or damaged one is none.
    pub(super) fn read(root: &Path) -> Self {
        let bytes = store::read_all(&root.join(NAME)).unwrap_or_default();
        let mut lines = bytes.split(|byte| *byte == b'\n');
        let mut entries = BTreeMap::new();
        if lines.next() == Some(HEADING.as_bytes()) {
            let entry = |line| serde_json::from_slice::<Remembered<'static>>(line).ok();
            for entry in lines.filter_map(entry) {
                entries.insert(entry.seen.file.clone(), entry);
            }
        }
        let sha256 = (!bytes.is_empty()).then(|| Digest::of(Algorithm::Sha256, &bytes));
        Self { entries, sha256 }
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
            seen: Some(entry.seen.clone().into_owned()),
            concerns,
            record: None,
            stamp: Some(stamp),
        })
    }

    /// Returns the fingerprints of files that are now what they were, and the checksum of what was read. What was seen is let
    /// go: it was taken over or is out of date.
    pub(super) fn let_go(self, now: &Notes) -> (BTreeMap<String, u64>, Option<Digest>) {
        let fingerprints = self
            .entries
            .into_iter()
            .filter_map(|(file, entry)| {
                let same = now.files.get(&file)?;
                let is_unchanged = same.changed == entry.changed
                    && same.number == entry.number
                    && same.length == entry.seen.bytes;
                is_unchanged.then_some((file, entry.fingerprint?))
            })
            .collect();
        (fingerprints, self.sha256)
    }
}

/// The checksums of an earlier survey, for files that are unchanged since. Good enough to find out that nothing is to be done;
/// it proves nothing.
#[derive(Debug)]
pub struct Known {
    memory: Memory,
    root: PathBuf,
}

impl Known {
    /// Reads what the last survey of a collection remembered, if anything.
    #[must_use]
    pub fn read(root: &Path) -> Self {
        Self {
            memory: Memory::read(root),
            root: root.to_owned(),
        }
    }

    /// Returns the SHA-256 of a file of the collection, hexadecimal, if the file is unchanged since it was worked out.
    #[must_use]
    pub fn sha256(&self, file: &str) -> Option<String> {
        let entry = self.memory.entries.get(file)?;
        let stamp = source::stamp_of(&self.root.join(file)).ok()?;
        entry.fits(&stamp).then(|| entry.seen.sha256.clone())?
    }
}

/// What is to be remembered of each file beside what the survey tells of it anyway.
#[derive(Debug, Default)]
pub(super) struct Notes {
    files: BTreeMap<String, Note>,
}

#[derive(Debug)]
struct Note {
    changed: u64,
    number: u64,
    length: u64,
    concerns: Vec<Concern>,
    fingerprint: Option<u64>,
}

impl Notes {
    /// Takes down what was seen. Described copies are read each time, for their records.
    pub(super) fn of(looks: &[Look]) -> Self {
        let files = looks.iter().filter_map(|look| {
            let (seen, stamp) = (look.seen.as_ref()?, look.stamp?);
            let note = Note {
                // A file without a time of change, or of the far future, is never known again.
                changed: u64::try_from(stamp.changed)
                    .ok()
                    .filter(|changed| *changed > 0)?,
                number: stamp.number,
                length: seen.bytes,
                concerns: look.concerns.iter().cloned().collect(),
                fingerprint: None,
            };
            (!seen.is_described).then(|| (seen.file.clone(), note))
        });
        Self {
            files: files.collect(),
        }
    }

    /// Takes down the fingerprints of the fronts.
    pub(super) fn add_fingerprints(&mut self, fronts: &[Front]) {
        for front in fronts {
            if let Some(note) = self.files.get_mut(&front.file) {
                note.fingerprint = front.fingerprint;
            }
        }
    }

    /// Writes the memory, unless it is what was read. A folder that cannot be written to costs time, nothing else.
    pub(super) fn write(&self, root: &Path, read: Option<&Digest>, survey: &mut Survey) {
        let mut bytes = HEADING.as_bytes().to_vec();
        for seen in &survey.files {
            let Some(note) = self.files.get(&seen.file) else {
                continue;
            };
            let line = Remembered {
                changed: note.changed,
                number: note.number,
                seen: Cow::Borrowed(seen),
                concerns: Cow::Borrowed(&note.concerns),
                fingerprint: note.fingerprint,
            };
            bytes.push(b'\n');
            bytes.extend(serde_json::to_vec(&line).unwrap_or_default());
        }
        bytes.push(b'\n');
        let is_same = read.is_some_and(|read| *read == Digest::of(Algorithm::Sha256, &bytes));
        if is_same || (self.files.is_empty() && read.is_none()) {
            return;
        }
        if staging::replace(&root.join(NAME), &bytes).is_err() {
            survey.concerns.note(
                "not-remembered",
                Place::file(NAME),
                "What was seen could not be taken down for the next time.",
                "Nothing need be done; the next survey will read every file again.",
            );
        }
    }
}
