//! Reading everything back from the disk before the package gets its name.

use super::PackError;
use super::contents::Contents;
use super::contents::Packed;
use crate::crew;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;

/// Small files that one thread reads at a time, in bytes.
const TOGETHER: u64 = 1024 * 1024;

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
    largest_first.sort_by_key(|(_, packed)| std::cmp::Reverse(packed.bytes));
    progress.begin(
        "Reading everything back",
        files.values().map(|packed| packed.bytes).sum(),
    );
    let results = crew::share_with(
        &stretches(&largest_first),
        threads,
        || ReadBuffer::of(READ_BUFFER),
        |buffer, some| {
            some.iter().try_for_each(|(path, packed)| {
                confirm_one(contents, path, packed, buffer)?;
                progress.advance(packed.bytes);
                Ok(())
            })
        },
    );
    progress.end();
    results.into_iter().collect()
}

/// Cuts the files into stretches: a large one alone, many small ones together.
fn stretches<'a, 'f>(files: &'a [(&'f String, &'f Packed)]) -> Vec<&'a [(&'f String, &'f Packed)]> {
    let mut bytes = 0_u64;
    files
        .chunk_by(|(_, one), (_, next)| {
            bytes = bytes.saturating_add(one.bytes);
            let goes_on = bytes.saturating_add(next.bytes) <= TOGETHER;
            if !goes_on {
                bytes = 0;
            }
            goes_on
        })
        .collect()
}

fn confirm_one(
    contents: &Contents<'_>,
    path: &str,
    packed: &Packed,
    buffer: &mut [u8],
) -> Result<(), PackError> {
    let Some(expected) = quickest(packed) else {
        return Ok(());
    };
    let portable = PortablePath::new(path).map_err(|why| PackError::Name {
        name: path.to_owned(),
        why,
    })?;
    let full = contents.place_of(&portable);
    let mut source = store::open_again(&full)?;
    source.forget_cached();
    let found = fixity::digest_with(&mut source, expected.algorithm(), buffer)
        .map_err(|error| PackError::read(&full, error))?;
    agree(path, expected, Some(&found))
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
