//! Copying several large originals in step on one thread, so that their checksums are worked out side by side.

use super::PackError;
use super::contents::Contents;
use super::contents::Writing;
use crate::fixity;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::store::SourceFile;

/// Copies originals to these paths, with the rights that they have, and makes sure that none changed meanwhile.
pub(super) fn copy(
    contents: &Contents<'_>,
    originals: Vec<(SourceFile, &str)>,
) -> Result<(), PackError> {
    let mut open = Vec::with_capacity(originals.len());
    for (original, path) in originals {
        open.push(Copying::begin(contents, original, path)?);
    }
    while !open.is_empty() {
        open.iter_mut().try_for_each(Copying::step)?;
        fixity::update_several(open.iter_mut().map(Copying::checksums_and_bytes));
        let (more, ended): (Vec<_>, Vec<_>) = open.into_iter().partition(Copying::is_full);
        ended.into_iter().try_for_each(Copying::finish)?;
        open = more;
    }
    Ok(())
}

/// An original that is being copied.
struct Copying<'c, 'a> {
    original: SourceFile,
    writing: Writing<'c, 'a>,
    buffer: ReadBuffer,
    /// Bytes of the buffer that were read last.
    count: usize,
}

impl<'c, 'a> Copying<'c, 'a> {
    fn begin(
        contents: &'c Contents<'a>,
        original: SourceFile,
        path: &str,
    ) -> Result<Self, PackError> {
        let mode = original.stamp().mode;
        Ok(Self {
            original,
            writing: contents.begin_with(path, mode, Running::beside_others)?,
            buffer: ReadBuffer::of(READ_BUFFER),
            count: 0,
        })
    }

    fn step(&mut self) -> Result<(), PackError> {
        self.count = fixity::fill(&mut self.original, &mut self.buffer)
            .map_err(|error| PackError::read(self.original.path(), error))?;
        let read = self.buffer.get(..self.count).unwrap_or_default();
        self.writing.write_only(read)
    }

    fn checksums_and_bytes(&mut self) -> (&mut [Running], &[u8]) {
        let read = self.buffer.get(..self.count).unwrap_or_default();
        (&mut self.writing.running, read)
    }

    /// A buffer that is not full shows the end.
    fn is_full(&self) -> bool {
        self.count == self.buffer.len()
    }

    fn finish(self) -> Result<(), PackError> {
        self.original.confirm_unchanged()?;
        self.writing.finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
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
            originals.push((store::open_again(&from).unwrap(), place.as_str()));
        }
        copy(&contents, originals).unwrap();
        for (place, bytes) in places.iter().zip(&bytes) {
            assert_eq!(&std::fs::read(staging.folder().join(place)).unwrap(), bytes);
            let packed = contents.files().get(place).unwrap().clone();
            let expected = algorithms.map(|algorithm| Digest::of(algorithm, bytes));
            assert_eq!(packed.digests, expected);
            assert_eq!(packed.bytes, u64::try_from(bytes.len()).unwrap());
        }
    }
}
