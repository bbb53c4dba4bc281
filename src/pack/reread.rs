//! Reading everything back from the disk before the package gets its name.

use super::PackError;
use super::contents::Contents;
use super::contents::Packed;
use crate::crew;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;

/// Reads every file of the staging folder and compares it with the checksums of what was written. The first algorithm suffices:
/// a disk that wrote something else shows in any of them.
pub(super) fn confirm(
    contents: &Contents<'_>,
    threads: usize,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    let files = contents.files();
    let mut largest_first: Vec<(&String, &Packed)> = files.iter().collect();
    largest_first.sort_by_key(|(_, packed)| std::cmp::Reverse(packed.bytes));
    progress.begin(
        "Reading everything back",
        files.values().map(|packed| packed.bytes).sum(),
    );
    let results = crew::share(&largest_first, threads, |(path, packed)| {
        let result = confirm_one(contents, path, packed);
        progress.advance(packed.bytes);
        result
    });
    progress.end();
    results.into_iter().collect()
}

fn confirm_one(contents: &Contents<'_>, path: &str, packed: &Packed) -> Result<(), PackError> {
    let Some(expected) = quickest(packed) else {
        return Ok(());
    };
    let portable = PortablePath::new(path).map_err(|why| PackError::Name {
        name: path.to_owned(),
        why,
    })?;
    let full = contents.place_of(&portable);
    let source = store::open(&full)?;
    source.forget_cached();
    let length = source.length();
    let (digests, _) = fixity::digest_all_of(source, &[expected.algorithm()], length)
        .map_err(|error| PackError::read(&full, error))?;
    match digests.first() {
        Some(found) if found == expected => Ok(()),
        found => Err(PackError::ReadBack {
            path: path.to_owned(),
            expected: expected.to_string(),
            found: found.map(ToString::to_string).unwrap_or_default(),
        }),
    }
}

/// SHA-256 is the quickest by far on processors of today; else whatever was worked out first.
fn quickest(packed: &Packed) -> Option<&fixity::Digest> {
    packed
        .digest(Algorithm::Sha256)
        .or_else(|| packed.digests.first())
}
