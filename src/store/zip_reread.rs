//! Reading a zip back, entry by entry in the order in which they were written, while the rest of it is still being written.
//!
//! Everything is read: the header of each entry, its bytes, and at the end the list of contents, which has to say of every entry what
//! its header says, and of no other.

use super::behind::Behind;
use super::behind::Reached;
use super::error::DiskErrors;
use super::error::StoreError;
use super::window::Window;
use super::zip_holding::into_io;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::Running;
use crate::format::zip_directory;
use crate::format::zip_directory::Local;
use crate::format::zip_directory::Method;
use flate2::bufread::DeflateDecoder;
use std::io;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

/// An entry as it was read back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadEntry {
    /// Its path in the package.
    pub path: String,
    /// How many bytes it has.
    pub length: u64,
    /// The checksum of its bytes.
    pub digest: Digest,
    /// Whether length and check value in the zip are those of its bytes.
    pub is_as_stated: bool,
}

/// A zip that is being read back.
#[derive(Debug)]
pub struct ZipReread {
    reader: BufReader<Behind>,
    path: PathBuf,
    top: String,
    position: u64,
    /// What the headers said.
    said: Running,
}

impl ZipReread {
    pub(super) fn new(path: &Path, top: &str, reached: Arc<Reached>) -> Result<Self, StoreError> {
        Ok(Self {
            reader: BufReader::with_capacity(READ_BUFFER, Behind::new(path, reached)?),
            path: path.to_owned(),
            top: top.to_owned(),
            position: 0,
            said: Running::new(Algorithm::Sha256),
        })
    }

    /// Reads the next entry, and works out a checksum of its bytes; waits until it was written and forced to the disk. Nothing when
    /// that was the last one.
    ///
    /// # Errors
    /// Gives the path when it cannot be read, is damaged, or the writer gave up.
    pub fn next_entry(&mut self, algorithm: Algorithm) -> Result<Option<ReadEntry>, StoreError> {
        let header = zip_directory::local_header(&mut self.reader).map_err(into_io);
        let Some(local) = header.while_doing("read", &self.path)? else {
            return Ok(None);
        };
        self.said.update(local.line(self.position).as_bytes());
        let read = self.entry(&local, algorithm);
        let read = read.while_doing("read", &self.path.join(&local.name))?;
        self.position = self
            .position
            .saturating_add(local.header)
            .saturating_add(local.kept);
        Ok(Some(read))
    }

    fn entry(&mut self, local: &Local, algorithm: Algorithm) -> io::Result<ReadEntry> {
        let mut kept = (&mut self.reader).take(local.kept);
        let (digest, crc, length) = match local.method {
            Method::Stored => digest_of(&mut kept, algorithm),
            Method::Deflated => {
                let inflated = DeflateDecoder::new(&mut kept);
                digest_of(BufReader::with_capacity(READ_BUFFER, inflated), algorithm)
            }
            Method::Other(_) => Err(io::ErrorKind::InvalidData.into()),
        }?;
        let is_all = kept.limit() == 0;
        let top = if self.top.is_empty() { "" } else { "/" };
        let path = local.name.strip_prefix(self.top.as_str());
        let path = path.and_then(|path| path.strip_prefix(top));
        Ok(ReadEntry {
            path: path.unwrap_or(&local.name).to_owned(),
            length,
            digest,
            is_as_stated: is_all && crc == local.crc && length == local.length,
        })
    }

    /// Reads the list of contents, when the last entry was read.
    ///
    /// # Errors
    /// Gives the path when it cannot be read, or says anything else than the entries do.
    pub fn confirm_directory(self) -> Result<(), StoreError> {
        let file = self.reader.get_ref().file();
        let mut listed = Running::new(Algorithm::Sha256);
        let length = self.reader.get_ref().length();
        let there = file.metadata().while_doing("read", &self.path)?.len();
        let mut window = Window::new(Arc::clone(file), 0, length);
        let start = zip_directory::each(&mut window, |entry| {
            listed.update(entry.line().as_bytes());
        });
        let start = start.map_err(into_io).while_doing("read", &self.path)?;
        if (there, start) == (length, self.position) && listed.finish() == self.said.finish() {
            return Ok(());
        }
        let told = "its list of contents says something else than its entries";
        Err(io::Error::new(io::ErrorKind::InvalidData, told)).while_doing("read", &self.path)
    }
}

/// Reads to the end, without copying what is in the reader's memory already.
fn digest_of(mut reader: impl BufRead, algorithm: Algorithm) -> io::Result<(Digest, u32, u64)> {
    let mut running = Running::new(algorithm);
    let mut crc = crc32fast::Hasher::new();
    let mut length = 0_u64;
    loop {
        let bytes = match reader.fill_buf() {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            bytes => bytes?,
        };
        let count = bytes.len();
        if count == 0 {
            return Ok((running.finish(), crc.finalize(), length));
        }
        running.update(bytes);
        crc.update(bytes);
        length = length.saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
        reader.consume(count);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::portable_path::PortablePath;
    use crate::store::zip_writer::Keep;
    use crate::store::zip_writer::ZipPackage;
    use std::io::Write as _;

    /// Times and rights of entries, and numbers of versions and disks, are the same in every zip of ours and are not looked at.
    const NOT_LOOKED_AT: [&[std::ops::Range<usize>]; 2] =
        [&[4..6, 10..14], &[4..8, 12..16, 34..42]];
    const MARKS: [[u8; 4]; 2] = [*b"PK\x03\x04", *b"PK\x01\x02"];

    fn begin(folder: &Path) -> ZipPackage {
        ZipPackage::beside(&folder.join("p.zip"), "top").unwrap()
    }

    fn portable(path: &str) -> PortablePath {
        PortablePath::new(path).unwrap()
    }

    fn all(mut reread: ZipReread) -> Result<Vec<ReadEntry>, StoreError> {
        let mut entries = Vec::new();
        while let Some(entry) = reread.next_entry(Algorithm::Sha256)? {
            entries.push(entry);
        }
        reread.confirm_directory()?;
        Ok(entries)
    }

    fn expected(path: &str, bytes: &[u8]) -> ReadEntry {
        ReadEntry {
            path: path.to_owned(),
            length: u64::try_from(bytes.len()).unwrap(),
            digest: Digest::of(Algorithm::Sha256, bytes),
            is_as_stated: true,
        }
    }

    #[test]
    fn no_byte_changes_unnoticed_between_writing_and_reading_back() {
        let folder = tempfile::tempdir().unwrap();
        let mut zip = begin(folder.path());
        let contents: [(&str, &[u8], Keep); 4] = [
            ("data/a.tif", b"some bytes", Keep::Stored),
            ("data/empty", b"", Keep::Stored),
            ("bagit.txt", b"hello hello hello hello\n", Keep::Deflated),
            ("data/Zo\u{eb}.tif", b"more", Keep::Stored),
        ];
        for (path, bytes, keep) in contents {
            zip.write(&portable(path), bytes, keep).unwrap();
        }
        let wanted = contents.map(|(path, bytes, _)| expected(path, bytes));
        let staged = zip.complete().unwrap().to_owned();
        assert_eq!(all(zip.read_back().unwrap()).unwrap(), wanted);
        let sound = std::fs::read(&staged).unwrap();
        let headers: Vec<(usize, &[std::ops::Range<usize>])> = (0..sound.len())
            .flat_map(|at| {
                MARKS
                    .iter()
                    .zip(NOT_LOOKED_AT)
                    .map(move |(mark, skipped)| (at, mark, skipped))
            })
            .filter(|(at, mark, _)| sound[*at..].starts_with(*mark))
            .map(|(at, _, skipped)| (at, skipped))
            .collect();
        assert_eq!(headers.len(), 8);
        let is_looked_at = |place: usize| {
            let within = |(at, skipped): &(usize, &[std::ops::Range<usize>])| {
                let here = place.wrapping_sub(*at);
                skipped.iter().any(|range| range.contains(&here))
            };
            !headers.iter().any(within)
        };
        // What stands behind the list is read as far as finding the list needs it. [APPNOTE 4.3.16]
        let list_ends = sound.len().checked_sub(22).unwrap();
        for place in (0..list_ends).filter(|place| is_looked_at(*place)) {
            let mut damaged = sound.clone();
            damaged[place] ^= 0x10;
            std::fs::write(&staged, &damaged).unwrap();
            let read = all(zip.read_back().unwrap());
            assert!(!read.is_ok_and(|read| read == wanted), "byte {place}");
        }
        for length in 0..sound.len() {
            std::fs::write(&staged, &sound[..length]).unwrap();
            assert!(all(zip.read_back().unwrap()).is_err(), "cut at {length}");
        }
    }

    #[test]
    fn a_zip_is_read_back_while_it_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let mut zip = begin(folder.path());
        let reread = zip.read_back().unwrap();
        let reader = std::thread::spawn(move || all(reread));
        let mut wanted = Vec::new();
        for (number, length) in [3, 9_000_000, 0, 40_000_000, 8192, 30_000_000, 70_000]
            .into_iter()
            .enumerate()
        {
            let path = format!("data/{number}");
            let bytes: Vec<u8> = (0..length).map(|at: u32| at.to_le_bytes()[1]).collect();
            zip.begin(&portable(&path), u64::from(length), Keep::Stored)
                .unwrap();
            bytes
                .chunks(250_000)
                .for_each(|chunk| zip.write_all(chunk).unwrap());
            wanted.push(expected(&path, &bytes));
        }
        zip.complete().unwrap();
        assert_eq!(reader.join().unwrap().unwrap(), wanted);
        zip.commit().unwrap();
    }

    #[test]
    fn a_zip_that_is_given_up_leaves_nobody_waiting() {
        let folder = tempfile::tempdir().unwrap();
        let mut zip = begin(folder.path());
        let reread = zip.read_back().unwrap();
        let reader = std::thread::spawn(move || all(reread));
        zip.write(&portable("a"), b"1", Keep::Stored).unwrap();
        drop(zip);
        assert!(reader.join().unwrap().is_err());
    }

    #[test]
    fn only_what_stays_as_it_is_counts_as_settled() {
        let folder = tempfile::tempdir().unwrap();
        let mut zip = begin(folder.path());
        let long = vec![7; 3 * 1024 * 1024];
        zip.write(&portable("a"), &long, Keep::Stored).unwrap();
        assert_eq!(zip.settled(), 0, "its header is still to be completed");
        zip.begin(&portable("b"), 0, Keep::Stored).unwrap();
        // What was gathered last is not in the file yet.
        assert_eq!(zip.settled(), 3 * 1024 * 1024);
    }
}
