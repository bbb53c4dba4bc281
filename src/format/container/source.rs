//! Reading a file at any place, with every length checked before it is believed.

use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

/// The most bytes of one piece of metadata that kithbag holds in memory. Real ones stay far below 1 MiB; several of this size at once
/// must fit into the memory that one file may take.
pub(super) const PIECE_LIMIT: u64 = 16 * 1024 * 1024;

/// Size of the buffer for long runs, in bytes.
pub(super) const RUN_BUFFER: usize = 64 * 1024;

/// Bytes that follow each other in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Range {
    /// The first byte, counted from 0.
    pub offset: u64,
    /// How many bytes.
    pub length: u64,
}

impl Range {
    /// Returns the bytes from `offset` on.
    #[must_use]
    pub const fn new(offset: u64, length: u64) -> Self {
        Self { offset, length }
    }

    /// Returns the position just after the last byte.
    #[must_use]
    pub const fn end(self) -> u64 {
        self.offset.saturating_add(self.length)
    }
}

/// A file that is read at any place.
pub(super) struct Source<'a, R> {
    reader: &'a mut R,
    length: u64,
}

impl<'a, R: Read + Seek> Source<'a, R> {
    /// Looks how long the file is.
    pub(super) fn new(reader: &'a mut R) -> Result<Self, ContainerError> {
        let length = reader.seek(SeekFrom::End(0))?;
        Ok(Self { reader, length })
    }

    /// Returns the length of the file in bytes.
    pub(super) const fn length(&self) -> u64 {
        self.length
    }

    /// Tells whether the bytes are inside the file.
    pub(super) fn holds(&self, range: Range) -> bool {
        range
            .offset
            .checked_add(range.length)
            .is_some_and(|end| end <= self.length)
    }

    /// Reads exactly the bytes of a range; `what` names the fault when the file ends earlier.
    pub(super) fn read(
        &mut self,
        range: Range,
        what: &'static str,
    ) -> Result<Vec<u8>, ContainerError> {
        if !self.holds(range) {
            return Err(broken(range.offset, what));
        }
        within(
            range.offset,
            "one piece is too large (bytes)",
            range.length,
            PIECE_LIMIT,
        )?;
        let length = usize::try_from(range.length).map_err(|_| broken(range.offset, what))?;
        let mut bytes = vec![0_u8; length];
        self.reader.seek(SeekFrom::Start(range.offset))?;
        self.reader.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    /// Reads up to `length` bytes from `offset` on: fewer at the end of the file, none behind it.
    pub(super) fn peek(&mut self, offset: u64, length: usize) -> Result<Vec<u8>, ContainerError> {
        let wanted = u64::try_from(length).unwrap_or(u64::MAX);
        let there = self.length.saturating_sub(offset).min(wanted);
        self.read(
            Range::new(offset, there),
            "the file ended while it was read",
        )
    }

    /// Gives the bytes of a range to `take`, piece by piece with the position of each, until it says stop.
    pub(super) fn run(
        &mut self,
        range: Range,
        mut take: impl FnMut(u64, &[u8]) -> Flow,
    ) -> Result<(), ContainerError> {
        let mut at = range.offset;
        self.reader.seek(SeekFrom::Start(at))?;
        let mut buffer = vec![0_u8; RUN_BUFFER];
        while at < range.end() {
            let left = usize::try_from(range.end().saturating_sub(at)).unwrap_or(usize::MAX);
            let wanted = left.min(RUN_BUFFER);
            let count = match self
                .reader
                .read(buffer.get_mut(..wanted).unwrap_or_default())
            {
                Ok(0) => return Err(broken(at, "the file ended while it was read")),
                Ok(count) => count,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error.into()),
            };
            if take(at, buffer.get(..count).unwrap_or_default()) == Flow::Stop {
                return Ok(());
            }
            at = at.saturating_add(count_of(count));
        }
        Ok(())
    }
}

/// Whether a run goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Flow {
    /// Give more.
    On,
    /// Enough.
    Stop,
}

/// Which byte of a number comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    /// The highest: "MM".
    Big,
    /// The lowest: "II".
    Little,
}

impl Order {
    /// Reads an unsigned number of up to eight bytes.
    pub(super) fn number(self, bytes: &[u8]) -> u64 {
        let join = |sum: u64, byte: &u8| sum.wrapping_shl(8) | u64::from(*byte);
        match self {
            Self::Big => bytes.iter().fold(0, join),
            Self::Little => bytes.iter().rev().fold(0, join),
        }
    }

    /// Writes the lowest `width` bytes of a number.
    pub(super) fn bytes(self, number: u64, width: usize) -> Vec<u8> {
        let little = number.to_le_bytes();
        let mut bytes: Vec<u8> = little.iter().copied().take(width).collect();
        if self == Self::Big {
            bytes.reverse();
        }
        bytes
    }

    /// Reads the number of `width` bytes at a place, if it is there.
    pub(super) fn at(self, bytes: &[u8], at: usize, width: usize) -> Option<u64> {
        let end = at.checked_add(width)?;
        bytes.get(at..end).map(|field| self.number(field))
    }
}

/// Returns a count of bytes in memory as a count of bytes in a file.
pub(super) fn count_of(count: usize) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}
