//! The stock: every file of every copy with its checksums.

use super::MendError;
use crate::audit::reading;
use crate::audit::reading::Crew;
use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::Part;
use crate::format::bagit::Version;
use crate::progress::Progress;
use crate::store;
use crate::store::Holding;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// One file of one copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    pub(super) copy: usize,
    pub(super) position: usize,
}

/// All files of all copies.
#[derive(Debug)]
pub(super) struct Stock {
    pub(super) copies: Vec<Box<dyn Holding>>,
    /// The checksums of each file, by copy and position; none when it could not be read.
    digests: Vec<Vec<Vec<Digest>>>,
    /// Where files of a checksum are, first copy first.
    places: BTreeMap<Digest, Vec<Place>>,
}

impl Stock {
    /// Reads every file of every copy.
    pub(super) fn take(
        paths: &[PathBuf],
        threads: usize,
        progress: &dyn Progress,
    ) -> Result<Self, MendError> {
        if paths.is_empty() {
            return Err(MendError::NoCopies);
        }
        let mut copies = Vec::new();
        for path in paths {
            copies.push(store::holding::open(path)?);
        }
        let algorithms = algorithms(&copies);
        let mut stock = Self {
            copies,
            digests: Vec::new(),
            places: BTreeMap::new(),
        };
        progress.begin("Reading the copies", 0);
        for copy in 0..stock.copies.len() {
            stock.read(copy, &algorithms, threads, progress);
        }
        progress.end();
        Ok(stock)
    }

    fn read(
        &mut self,
        copy: usize,
        algorithms: &[Algorithm],
        threads: usize,
        progress: &dyn Progress,
    ) {
        let Some(holding) = self.copies.get(copy) else {
            return;
        };
        let crew = Crew {
            holding: &**holding,
            threads,
            progress,
        };
        let positions: Vec<usize> = (0..holding.entries().len()).collect();
        let read = reading::each(
            &crew,
            &positions,
            |_| algorithms.to_vec(),
            // What cannot be read cannot be taken; the plan says what is then missing.
            |_, bytes| bytes.map_or_else(|_| Vec::new(), |bytes| bytes.digests),
        );
        for (position, digests) in read.iter().enumerate() {
            for digest in digests {
                let places = self.places.entry(digest.clone()).or_default();
                places.push(Place { copy, position });
            }
        }
        self.digests.push(read);
    }

    /// Returns the files that have all these checksums, first copy first. Without any checksum there are none.
    pub(super) fn with_all(&self, wanted: &[Digest]) -> Vec<Place> {
        let Some(first) = wanted.first() else {
            return Vec::new();
        };
        let places = self.places.get(first).map_or(&[][..], Vec::as_slice);
        places
            .iter()
            .filter(|place| {
                let digests = self.digests_at(**place);
                wanted.iter().all(|digest| digests.contains(digest))
            })
            .copied()
            .collect()
    }

    /// Returns the checksums of a file.
    pub(super) fn digests_at(&self, place: Place) -> &[Digest] {
        self.digests
            .get(place.copy)
            .and_then(|files| files.get(place.position))
            .map_or(&[], Vec::as_slice)
    }

    /// Returns the different contents that a path has in the copies, by one place each, first copy first.
    pub(super) fn variants(&self, path: &str) -> Vec<Place> {
        let mut seen: BTreeSet<&[Digest]> = BTreeSet::new();
        self.copies
            .iter()
            .enumerate()
            .filter_map(|(copy, holding)| {
                let position = holding.position(path)?;
                Some(Place { copy, position })
            })
            .filter(|place| {
                let digests = self.digests_at(*place);
                !digests.is_empty() && seen.insert(digests)
            })
            .collect()
    }

    /// Returns the paths outside the payload that any copy has, in their order.
    pub(super) fn tag_paths(&self) -> BTreeSet<&str> {
        let all = self.copies.iter().flat_map(|holding| holding.entries());
        all.map(|entry| &*entry.path)
            .filter(|path| !crate::audit::tag_files::is_payload(path))
            .collect()
    }

    /// Reads a file from its place.
    pub(super) fn bytes(&self, place: Place) -> Option<Vec<u8>> {
        let holding = self.copies.get(place.copy)?;
        let path = &holding.entries().get(place.position)?.path;
        crate::audit::tag_files::bytes(&**holding, path, &mut ConcernList::default())
    }

    /// Opens a file at its place.
    pub(super) fn holding(&self, place: Place) -> Option<&dyn Holding> {
        self.copies.get(place.copy).map(|holding| &**holding)
    }
}

/// Returns every algorithm that any manifest of any copy has, and SHA-256, by which copies of one file are told apart.
fn algorithms(copies: &[Box<dyn Holding>]) -> Vec<Algorithm> {
    let mut algorithms = BTreeSet::from([Algorithm::Sha256]);
    for entry in copies.iter().flat_map(|holding| holding.entries()) {
        match Part::of(&entry.path, Version::V1_0) {
            Part::PayloadManifest { algorithm } | Part::TagManifest { algorithm } => {
                algorithms.extend(Algorithm::named(algorithm));
            }
            _ => {}
        }
    }
    algorithms.into_iter().collect()
}
