//! One file that is being read.

use super::Bytes;
use crate::fixity::Algorithm;
use crate::fixity::Intake;
use crate::fixity::Running;
use crate::fixity::fill;
use crate::progress::Progress;
use crate::store::DiskErrors;
use crate::store::Holding;
use crate::store::StoreError;
use std::cell::Cell;
use std::io::Read;

/// From this length on a file is put aside, in bytes.
pub(super) const LARGE: u64 = 8 * 1024 * 1024;

/// Progress is told after this many bytes.
const PROGRESS_STEP: u64 = 1024 * 1024;

/// A file that is to be read.
#[derive(Clone)]
pub(super) struct Asked {
    /// Its place among those asked for.
    pub(super) index: usize,
    /// Its place in the holding.
    pub(super) position: usize,
    pub(super) algorithms: Vec<Algorithm>,
}

/// Why a file was not read.
pub(super) enum NotRead {
    /// It is large, so many bytes, and waits for the others.
    Large(u64),
    Failed(StoreError),
}

/// A file that is being read.
pub(super) struct Reading<'a> {
    holding: &'a dyn Holding,
    asked: Asked,
    reader: Box<dyn Read + Send>,
    tally: Tally,
    /// Whether it has to be looked whether the file is large.
    may_be_large: bool,
    untold: &'a Untold<'a>,
}

impl<'a> Reading<'a> {
    /// Opens a file. `put_aside` tells whether it is read only if it is not large.
    pub(super) fn begin(
        holding: &'a dyn Holding,
        asked: Asked,
        put_aside: bool,
        untold: &'a Untold<'a>,
    ) -> Result<Self, (Asked, NotRead)> {
        match holding.open(asked.position) {
            Ok(reader) => Ok(Self {
                tally: Tally::new(&asked.algorithms, has_crc(holding, asked.position)),
                holding,
                asked,
                reader,
                may_be_large: put_aside,
                untold,
            }),
            Err(error) => Err((asked, NotRead::Failed(error))),
        }
    }

    pub(super) fn finish(self) -> (Asked, Bytes) {
        (self.asked, self.tally.finish())
    }

    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, NotRead> {
        let position = self.asked.position;
        let count =
            read_from(&mut self.reader, self.holding, position, buffer).map_err(NotRead::Failed)?;
        let is_full = count == buffer.len();
        if std::mem::take(&mut self.may_be_large) && is_full {
            let length = self.holding.length(position).map_err(NotRead::Failed)?;
            if length >= LARGE {
                return Err(NotRead::Large(length));
            }
        }
        self.tally.count(buffer.get(..count).unwrap_or_default());
        self.untold.add(count);
        Ok(count)
    }
}

impl Intake for Reading<'_> {
    type Failure = (Asked, NotRead);

    fn read_on(&mut self, buffer: &mut [u8]) -> Result<usize, Self::Failure> {
        self.read(buffer).map_err(|why| (self.asked.clone(), why))
    }

    fn checksums(&mut self) -> &mut [Running] {
        &mut self.tally.running
    }
}

/// Fills a buffer with the next bytes of a file of a holding.
pub(super) fn read_from(
    reader: &mut dyn Read,
    holding: &dyn Holding,
    position: usize,
    buffer: &mut [u8],
) -> Result<usize, StoreError> {
    fill(reader, buffer).while_doing("read", &holding.location().join(path(holding, position)))
}

fn path(holding: &dyn Holding, position: usize) -> &str {
    holding
        .entries()
        .get(position)
        .map_or("", |entry| &entry.path)
}

/// Tells whether the holding states a CRC-32 of a file.
pub(super) fn has_crc(holding: &dyn Holding, position: usize) -> bool {
    holding.stated_crc(position).is_some()
}

/// What is counted while a file is read.
pub(super) struct Tally {
    running: Vec<Running>,
    crc: Option<crc32fast::Hasher>,
    length: u64,
}

impl Tally {
    pub(super) fn new(algorithms: &[Algorithm], with_crc: bool) -> Self {
        Self {
            running: algorithms.iter().copied().map(Running::new).collect(),
            crc: with_crc.then(crc32fast::Hasher::new),
            length: 0,
        }
    }

    /// Takes in all but the checksums.
    pub(super) fn count(&mut self, read: &[u8]) {
        if let Some(crc) = self.crc.as_mut() {
            crc.update(read);
        }
        let count = u64::try_from(read.len()).unwrap_or(u64::MAX);
        self.length = self.length.saturating_add(count);
    }

    pub(super) fn finish(self) -> Bytes {
        Bytes {
            digests: self.running.into_iter().map(Running::finish).collect(),
            length: self.length,
            crc: self.crc.map(crc32fast::Hasher::finalize),
        }
    }
}

/// Bytes that one thread has read and not yet told of: telling of each small file would take longer than reading it.
pub(super) struct Untold<'a> {
    bytes: Cell<u64>,
    progress: &'a dyn Progress,
}

impl<'a> Untold<'a> {
    pub(super) const fn new(progress: &'a dyn Progress) -> Self {
        Self {
            bytes: Cell::new(0),
            progress,
        }
    }

    fn add(&self, count: usize) {
        let count = u64::try_from(count).unwrap_or(u64::MAX);
        self.bytes.set(self.bytes.get().saturating_add(count));
        if self.bytes.get() >= PROGRESS_STEP {
            self.progress.advance(self.bytes.take());
        }
    }
}

impl Drop for Untold<'_> {
    fn drop(&mut self) {
        self.progress.advance(self.bytes.get());
    }
}
