//! Reading everything back from the disk before the package gets its name.

use super::PackError;
use super::contents::Contents;
use super::contents::Packed;
use crate::crew;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Intake;
use crate::fixity::Room;
use crate::fixity::Running;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::SourceFile;
use std::cmp::Reverse;

/// Small files that one thread reads at a time, in bytes.
const TOGETHER: u64 = 1024 * 1024;

/// So many files at most are read in step by one thread.
const IN_STEP: usize = 8;

/// Reads every file of the staging folder and compares it with the checksums of what was written. The first algorithm suffices:
/// a disk that wrote something else shows in any of them.
pub(super) fn confirm(
    contents: &Contents<'_>,
    threads: usize,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    contents.force()?;
    let files = contents.files();
    let mut largest_first: Vec<(&String, &Packed)> = files.iter().collect();
    largest_first.sort_by_key(|(_, packed)| Reverse(packed.bytes));
    progress.begin(
        "Reading everything back",
        files.values().map(|packed| packed.bytes).sum(),
    );
    let algorithm = checked_with(contents.algorithms().iter().copied());
    let in_step = fixity::files_in_step(files.len(), threads, algorithm.as_slice(), IN_STEP);
    let alternates = contents.seek_freely();
    let results = crew::share_with(
        &stretches(&largest_first, in_step),
        threads,
        || Room::of(in_step, alternates),
        |room, some| confirm_some(contents, some, room, progress),
    );
    progress.end();
    results.into_iter().collect()
}

/// Cuts the files into stretches: as many as are read in step, of small ones more.
fn stretches<'a, 'f>(
    files: &'a [(&'f String, &'f Packed)],
    in_step: usize,
) -> Vec<&'a [(&'f String, &'f Packed)]> {
    let (mut count, mut bytes) = (1_usize, 0_u64);
    files
        .chunk_by(|(_, one), (_, next)| {
            bytes = bytes.saturating_add(one.bytes);
            let goes_on = count < in_step || bytes.saturating_add(next.bytes) <= TOGETHER;
            (count, bytes) = if goes_on {
                (count.saturating_add(1), bytes)
            } else {
                (1, 0)
            };
            goes_on
        })
        .collect()
}

fn confirm_some(
    contents: &Contents<'_>,
    files: &[(&String, &Packed)],
    room: &mut Room,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    let written = files.iter().filter_map(|(path, packed)| {
        let expected = quickest(packed)?;
        Some(Written::open(contents, path, expected, progress))
    });
    fixity::try_in_step(written, room, Written::agree)
}

/// A file that was written and is read back.
struct Written<'p> {
    path: &'p str,
    expected: &'p Digest,
    source: SourceFile,
    running: Running,
    progress: &'p dyn Progress,
}

impl<'p> Written<'p> {
    fn open(
        contents: &Contents<'_>,
        path: &'p str,
        expected: &'p Digest,
        progress: &'p dyn Progress,
    ) -> Result<Self, PackError> {
        let portable = PortablePath::new(path).map_err(|why| PackError::Name {
            name: path.to_owned(),
            why,
        })?;
        let source = store::open_again(&contents.place_of(&portable))?;
        source.forget_cached();
        Ok(Self {
            path,
            expected,
            source,
            running: Running::new(expected.algorithm()),
            progress,
        })
    }

    fn agree(self) -> Result<(), PackError> {
        agree(self.path, self.expected, Some(&self.running.finish()))
    }
}

impl Intake for Written<'_> {
    type Failure = PackError;

    fn read_on(&mut self, buffer: &mut [u8]) -> Result<usize, PackError> {
        let count = fixity::fill(&mut self.source, buffer)
            .map_err(|error| PackError::read(self.source.path(), error))?;
        self.progress
            .advance(u64::try_from(count).unwrap_or(u64::MAX));
        Ok(count)
    }

    fn checksums(&mut self) -> &mut [Running] {
        std::slice::from_mut(&mut self.running)
    }
}

pub(super) fn agree(
    path: &str,
    expected: &Digest,
    found: Option<&Digest>,
) -> Result<(), PackError> {
    if found == Some(expected) {
        return Ok(());
    }
    Err(PackError::ReadBack {
        path: path.to_owned(),
        expected: expected.to_string(),
        found: found.map(ToString::to_string).unwrap_or_default(),
    })
}

fn quickest(packed: &Packed) -> Option<&Digest> {
    packed.digest(checked_with(packed.digests.iter().map(Digest::algorithm))?)
}

/// Chooses what is read back with: SHA-256 is the quickest by far on processors of today; else whatever comes first.
pub(super) fn checked_with(algorithms: impl Iterator<Item = Algorithm>) -> Option<Algorithm> {
    algorithms.reduce(|chosen, one| match one {
        Algorithm::Sha256 => one,
        _ => chosen,
    })
}
