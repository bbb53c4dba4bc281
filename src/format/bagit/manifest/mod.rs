//! Manifests: which file has which checksum. [RFC8493 2.1.3, 2.2.1]

mod line;
mod read;
mod write;

pub use line::decode_path;
pub use read::read;
pub use write::encode_path;
pub use write::file_name;
pub use write::tag_file_name;
pub use write::write;

use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::hexadecimal;

/// A manifest. Paths and checksums lie packed, because bags of a hundred thousand files are ordinary.
#[derive(Debug, Clone)]
pub struct Manifest {
    file: String,
    algorithm: Option<Algorithm>,
    /// All paths, one after another.
    paths: String,
    /// All checksums, one after another, each as long as the algorithm's.
    digests: Vec<u8>,
    /// Where each path ends in `paths`, where it begins, and the place of its checksum; in the order of the paths.
    entries: Vec<Entry>,
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    start: usize,
    end: usize,
    digest: usize,
}

impl Manifest {
    /// Returns the name of the file.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Returns the algorithm, `None` when it is not known here.
    #[must_use]
    pub const fn algorithm(&self) -> Option<Algorithm> {
        self.algorithm
    }

    /// Returns the number of files listed.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.entries.len()
    }

    /// Tells whether no file is listed.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// Returns the paths listed, in their order, decoded.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| self.path_of(entry))
    }

    /// Returns the path at a position.
    #[must_use]
    pub fn path(&self, position: usize) -> Option<&str> {
        Some(self.path_of(self.entries.get(position)?))
    }

    /// Returns the position of a path.
    #[must_use]
    pub fn position(&self, path: &str) -> Option<usize> {
        self.entries
            .binary_search_by(|entry| self.path_of(entry).cmp(path))
            .ok()
    }

    /// Returns the checksum at a position, `None` when the algorithm is not known here.
    #[must_use]
    pub fn digest(&self, position: usize) -> Option<Digest> {
        let algorithm = self.algorithm?;
        let entry = self.entries.get(position)?;
        Digest::from_hex(algorithm, &hexadecimal(self.digest_bytes(entry)))
    }

    /// Returns the checksum of a path.
    #[must_use]
    pub fn digest_of(&self, path: &str) -> Option<Digest> {
        self.digest(self.position(path)?)
    }

    fn path_of(&self, entry: &Entry) -> &str {
        self.paths.get(entry.start..entry.end).unwrap_or_default()
    }

    fn digest_bytes(&self, entry: &Entry) -> &[u8] {
        let width = self.width();
        let start = entry.digest.saturating_mul(width);
        self.digests
            .get(start..start.saturating_add(width))
            .unwrap_or_default()
    }

    fn width(&self) -> usize {
        self.algorithm.map_or(0, |one| one.hex_length() / 2)
    }
}

#[cfg(test)]
mod tests;
