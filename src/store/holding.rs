//! A holding: the files of one package, read-only, whether it is a folder or a zip file.

use super::error::StoreError;
use super::folder_holding::FolderHolding;
use super::zip_holding::ZipHolding;
use crate::concern::ConcernList;
use std::fmt;
use std::io::Read;
use std::io::Seek;
use std::path::Path;

/// One ordinary file of a holding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    /// Its path in the package, `/` between folders.
    pub path: Box<str>,
}

/// Bytes that can be read from any place on.
pub trait ReadSeek: Read + Seek + Send {}

impl<T: Read + Seek + Send> ReadSeek for T {}

/// The files of one package. All threads may read at once.
pub trait Holding: Send + Sync + fmt::Debug {
    /// Returns the name of the package: that of its folder, also inside a zip.
    fn name(&self) -> &str;

    /// Returns where it is on the disk.
    fn location(&self) -> &Path;

    /// Tells whether it is a zip file.
    fn is_zip(&self) -> bool;

    /// Returns the ordinary files in the order of their paths.
    fn entries(&self) -> &[Entry];

    /// Tells whether it has a folder `data`, even an empty one.
    fn has_payload_folder(&self) -> bool;

    /// Returns what is wrong with the names, links and form; what leads out of the package is left out of the entries.
    fn concerns(&self) -> &ConcernList;

    /// Opens the file at a position of [`Holding::entries`].
    ///
    /// # Errors
    /// Gives the path when it cannot be read.
    fn open(&self, position: usize) -> Result<Box<dyn Read + Send>, StoreError>;

    /// Opens the file at a position for reading from any place on.
    ///
    /// # Errors
    /// Gives the path when it cannot be read.
    fn open_anywhere(&self, position: usize) -> Result<Box<dyn ReadSeek>, StoreError>;

    /// Returns the length of the file at a position in bytes, as it is stated without reading.
    ///
    /// # Errors
    /// Gives the path when the system cannot tell.
    fn length(&self, position: usize) -> Result<u64, StoreError>;

    /// Returns the zip's own check value (CRC-32) of the file at a position.
    fn stated_crc(&self, _position: usize) -> Option<u32> {
        None
    }

    /// Returns the position of a path.
    fn position(&self, path: &str) -> Option<usize> {
        self.entries()
            .binary_search_by(|entry| (*entry.path).cmp(path))
            .ok()
    }
}

/// Opens a folder or zip file as a holding.
///
/// # Errors
/// Gives the path when it cannot be listed, or is a file and no sound zip.
pub fn open(path: &Path) -> Result<Box<dyn Holding>, StoreError> {
    if path.is_dir() {
        Ok(Box::new(FolderHolding::open(path)?))
    } else {
        Ok(Box::new(ZipHolding::open(path)?))
    }
}

/// Tells whether a file begins as zip files do, or is called one although it does not.
///
/// # Errors
/// Gives the path when it cannot be read.
pub fn is_zip(path: &Path) -> Result<bool, StoreError> {
    use super::error::DiskErrors;
    let mut head = Vec::new();
    super::source::open(path)?
        .take(4)
        .read_to_end(&mut head)
        .while_doing("read", path)?;
    Ok(head == b"PK\x03\x04" || head == b"PK\x05\x06" || super::packages::is_called_zip(path))
}
