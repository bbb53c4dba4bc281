//! What a survey tells.

use crate::catalogue::ColumnGuess;
use crate::concern::ConcernList;
use crate::record::Collection;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

/// What a survey tells.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub struct Survey {
    /// The record: the catalogue as it was, what was found in the files, and what was added.
    pub collection: Collection,
    /// The pictures that were looked at, in the order of their names.
    pub files: Vec<FileSeen>,
    /// What was noticed.
    pub concerns: ConcernList,
    /// The files that were written, relative to the collection, `/` between folders.
    pub wrote: Vec<String>,
    /// The number of scans that the catalogue did not have.
    pub new_scans: usize,
    /// The number of portraits that the catalogue did not have.
    pub new_portraits: usize,
    /// The number of blank cells that were filled.
    pub filled_cells: usize,
    /// Files of the catalogue that are no longer there.
    pub vanished: Vec<String>,
    /// Described copies of pictures that are in the catalogue: looked at and left out of it.
    pub described_copies: Vec<String>,
    /// The number of scans whose rows come out of the records in described copies.
    pub rebuilt_scans: usize,
    /// What a person's own sheet was taken for, when the catalogue was started from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken_over: Option<TakenOver>,
    /// What came from a family tree file, when one was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub people: Option<TreePeople>,
}

/// What came from a family tree file into the People sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TreePeople {
    /// The version of its form, as the file names it.
    pub version: String,
    /// How many people stand in it.
    pub people: usize,
    /// How many of them got a row of their own.
    pub new: usize,
    /// In how many rows blank cells were filled.
    pub completed: usize,
    /// How many rows had everything, or differ and were left alone.
    pub unchanged: usize,
}

/// What a person's own sheet was taken for.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TakenOver {
    /// The file's name.
    pub file: String,
    /// The number of rows.
    pub rows: usize,
    /// Each column: where it goes, and why.
    pub mapping: Vec<ColumnGuess>,
    /// The headings of the person's own that are carried along on the sheet "Portraits".
    pub kept: Vec<String>,
    /// Words above the headings: the first became the collection's title.
    pub above: Vec<String>,
}

/// One picture file that was looked at.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct FileSeen {
    /// Where it is, relative to the collection, `/` between folders.
    pub file: String,
    /// Its length in bytes.
    pub bytes: u64,
    /// Its format in plain words, by its content.
    pub format: String,
    /// Whether a record can be written into a copy of it.
    pub can_be_described: bool,
    /// Width in pixels, as stored.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<u32>,
    /// Height in pixels, as stored.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<u32>,
    /// Colour and depth in plain words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Whether it has no colours.
    pub is_grey: bool,
    /// The dots per inch that the file claims, rounded, the lower of both directions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub claimed_ppi: Option<u32>,
    /// Which way is up, when the file says so, 1 to 8.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orientation: Option<u16>,
    /// SHA-256 of the whole file, hexadecimal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sha256: Option<String>,
    /// The picture digest, hexadecimal (SHA-256).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub picture_digest: Option<String>,
    /// The day on which it was scanned or photographed, as the device says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made_on: Option<String>,
    /// The device, as it calls itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made_with: Option<String>,
    /// Private facts in it, in plain words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub private_found: Vec<String>,
    /// Whether it carries a record of kithbag's.
    pub is_described: bool,
}

impl FileSeen {
    /// Returns what the catalogue keeps of it.
    #[must_use]
    pub fn facts(&self) -> crate::record::ScanFacts {
        crate::record::ScanFacts {
            format: Some(self.format.clone()),
            width: self.width,
            height: self.height,
            colour: self.colour.clone(),
            true_ppi: None,
            bytes: Some(self.bytes),
            sha256: self.sha256.clone(),
            picture_digest: self.picture_digest.clone(),
            private_found: self.private_found.clone(),
        }
    }
}
