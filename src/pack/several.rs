//! Copying originals, several in step on one thread where their checksums gain by it.

use super::PackError;
use super::contents::Contents;
use super::contents::Writing;
use crate::fixity;
use crate::fixity::Intake;
use crate::fixity::Room;
use crate::fixity::Running;
use crate::progress::Progress;
use crate::store::SourceFile;

/// Copies originals to these paths, with the rights that they have, and makes sure that none changed meanwhile. As many are copied at once as
/// there is room for. After the first failure no more are begun.
pub(super) fn copy<'o>(
    contents: &Contents<'_>,
    originals: impl Iterator<Item = Result<(SourceFile, &'o str), PackError>>,
    room: &mut Room,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    let copies = originals.map(|opened| {
        let (original, path) = opened?;
        Copying::begin(contents, original, path)
    });
    fixity::try_in_step(copies, room, |copying| {
        copying.finish()?;
        progress.advance(1);
        Ok(())
    })
}

/// An original that is being copied.
struct Copying<'c, 'a> {
    original: SourceFile,
    writing: Writing<'c, 'a>,
}

impl<'c, 'a> Copying<'c, 'a> {
    fn begin(
        contents: &'c Contents<'a>,
        original: SourceFile,
        path: &str,
    ) -> Result<Self, PackError> {
        let writing = contents.begin(path, original.stamp().mode)?;
        Ok(Self { original, writing })
    }

    fn finish(self) -> Result<(), PackError> {
        self.original.confirm_unchanged()?;
        self.writing.finish()
    }
}

impl Intake for Copying<'_, '_> {
    type Failure = PackError;

    fn read_on(&mut self, buffer: &mut [u8]) -> Result<usize, PackError> {
        let count = fixity::fill(&mut self.original, buffer)
            .map_err(|error| PackError::read(self.original.path(), error))?;
        self.writing
            .write_only(buffer.get(..count).unwrap_or_default())?;
        Ok(count)
    }

    fn checksums(&mut self) -> &mut [Running] {
        &mut self.writing.running
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
    use crate::fixity::READ_BUFFER;
    use crate::progress::Silent;
    use crate::store;
    use crate::store::staging::Staging;

    /// Originals of all lengths that are copied in step are there byte for byte, with the checksums that each has by itself.
    #[test]
    fn in_step_as_one_by_one() {
        let folder = tempfile::tempdir().unwrap();
        let staging = Staging::beside(&folder.path().join("package")).unwrap();
        let algorithms = [Algorithm::Sha256, Algorithm::Sha512];
        let contents = Contents::new(&staging, &algorithms);
        let lengths = [2 * READ_BUFFER + 1, 3 * READ_BUFFER, READ_BUFFER, 5];
        let bytes =
            lengths.map(|length| (0..=250_u8).cycle().skip(length % 7).take(length).collect());
        let places = [0, 1, 2, 3].map(|number| format!("data/{number}"));
        let mut originals = Vec::new();
        for (place, bytes) in places.iter().zip::<&[Vec<u8>; 4]>(&bytes) {
            let from = folder.path().join(place.replace('/', "-"));
            std::fs::write(&from, bytes).unwrap();
            originals.push(Ok((store::open_again(&from).unwrap(), place.as_str())));
        }
        let mut room = Room::of(3, true);
        copy(&contents, originals.into_iter(), &mut room, &Silent).unwrap();
        for (place, bytes) in places.iter().zip(&bytes) {
            assert_eq!(&std::fs::read(staging.folder().join(place)).unwrap(), bytes);
            let packed = contents.files().get(place).unwrap().clone();
            let expected = algorithms.map(|algorithm| Digest::of(algorithm, bytes));
            assert_eq!(packed.digests, expected);
            assert_eq!(packed.bytes, u64::try_from(bytes.len()).unwrap());
        }
    }
}
