//! What a package holds, found by what it shows.

use crate::fixity::Digest;
use crate::record::PortraitNumber;
use crate::record::View;
use std::collections::HashMap;
use std::collections::HashSet;

/// A file below `data/`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PayloadFile {
    /// Its path from the package's root, for example `data/portraits/A-001/A-001-front.tif`.
    pub path: String,
    /// Its SHA-256.
    pub sha256: Digest,
    /// Its length in bytes.
    pub bytes: u64,
    /// The portrait that it shows.
    pub portrait: Option<PortraitNumber>,
    /// The view that it shows.
    pub view: Option<View>,
}

/// The viewing picture that belongs to a scan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The scan's file, as the record names it.
    pub scan: String,
    /// The viewing picture, from the package's root, for example `data/viewing/A-001-front.jpg`.
    pub viewing: String,
    /// The same picture with its caption under it, for example `data/viewing/captioned/A-001-front.jpg`.
    pub captioned: Option<String>,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
}

/// The files of a package, gone through once, so that a page of many portraits takes no longer for each of them.
#[derive(Debug)]
pub struct Holdings<'a> {
    payload: &'a [PayloadFile],
    of_portraits: HashMap<&'a str, Vec<&'a PayloadFile>>,
    pictures: HashMap<&'a str, &'a Picture>,
    viewed: HashSet<&'a str>,
}

impl<'a> Holdings<'a> {
    /// Takes every file below `data/`, in the order of the manifest, and the viewing picture of each scan that has one.
    #[must_use]
    pub fn of(payload: &'a [PayloadFile], pictures: &'a [Picture]) -> Self {
        let mut of_portraits: HashMap<&str, Vec<&PayloadFile>> = HashMap::new();
        for file in payload {
            if let Some(portrait) = &file.portrait {
                of_portraits
                    .entry(portrait.as_str())
                    .or_default()
                    .push(file);
            }
        }
        // The first of a scan counts.
        let by_scan = pictures.iter().rev().map(|one| (one.scan.as_str(), one));
        let viewed = pictures
            .iter()
            .flat_map(|one| [Some(one.viewing.as_str()), one.captioned.as_deref()]);
        Self {
            payload,
            of_portraits,
            pictures: by_scan.collect(),
            viewed: viewed.flatten().collect(),
        }
    }

    /// Returns every file below `data/`, in the order of the manifest.
    #[must_use]
    pub const fn payload(&self) -> &'a [PayloadFile] {
        self.payload
    }

    /// Returns the files that show a portrait, in the order of the manifest.
    pub(super) fn files_of(&self, portrait: &PortraitNumber) -> &[&'a PayloadFile] {
        self.of_portraits
            .get(portrait.as_str())
            .map_or(&[], Vec::as_slice)
    }

    /// Returns the viewing picture of a scan.
    pub(super) fn picture_of(&self, scan_file: &str) -> Option<&'a Picture> {
        self.pictures.get(scan_file).copied()
    }

    /// Tells whether this path is that of a viewing picture or of a captioned one.
    pub(super) fn is_for_viewing(&self, path: &str) -> bool {
        self.viewed.contains(path)
    }
}
