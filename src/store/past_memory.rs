//! Writing large files past the system's memory, where the disk allows it.
//!
//! Measured: 1.2 GB took 1.4 s so, and 4 to 5 s through the system's memory to the moment at which they were forced.

use crate::fixity::ReadBuffer;
use std::fs::File;
use std::io;
use std::path::Path;

/// Bytes that are gathered and written at once, always to a multiple of as many.
pub(super) const GATHERED: usize = 1024 * 1024;

/// From this length on a write is part of something large.
pub(super) const LARGE: usize = 128 * 1024;

/// A file, opened to go past the system's memory, as long as the disk takes what is written so.
#[derive(Debug)]
pub(super) struct PastMemory(Option<File>);

impl PastMemory {
    /// Opens the file at `path` a second time.
    pub(super) fn of(path: &Path) -> Self {
        Self(opened(path))
    }

    /// Tries to write. Whatever the reason is when it cannot be, writing as ever tells it.
    pub(super) fn takes(&mut self, bytes: &[u8], at: u64) -> bool {
        let Some(file) = &self.0 else {
            return false;
        };
        let done = matches!(write_at(file, bytes, at), Ok(count) if count == bytes.len());
        if !done {
            self.0 = None;
        }
        done
    }
}

/// Bytes that are not in the file yet; they belong behind those that are.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    room: ReadBuffer,
    filled: usize,
}

impl Gathered {
    pub(super) fn new() -> Self {
        Self {
            room: ReadBuffer::of(GATHERED),
            filled: 0,
        }
    }

    pub(super) fn bytes(&self) -> &[u8] {
        self.room.get(..self.filled).unwrap_or_default()
    }

    pub(super) fn bytes_mut(&mut self) -> &mut [u8] {
        self.room.get_mut(..self.filled).unwrap_or_default()
    }

    pub(super) const fn is_full(&self) -> bool {
        self.filled >= GATHERED
    }

    /// Forgets what was written.
    pub(super) const fn clear(&mut self) {
        self.filled = 0;
    }

    /// Takes in as many bytes as there is room for; returns the rest.
    pub(super) fn take_in<'a>(&mut self, bytes: &'a [u8]) -> &'a [u8] {
        let (taken, rest) = split(
            bytes,
            u64::try_from(GATHERED.saturating_sub(self.filled)).unwrap_or(0),
        );
        let from = self.filled;
        self.filled = self.filled.saturating_add(taken.len());
        if let Some(room) = self.bytes_mut().get_mut(from..) {
            room.copy_from_slice(taken);
        }
        rest
    }
}

/// Opens a file to go past the system's memory; nothing where the system or the disk has no such way.
#[cfg(target_os = "linux")]
fn opened(path: &Path) -> Option<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let flag = i32::try_from(rustix::fs::OFlags::DIRECT.bits()).ok()?;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).custom_flags(flag).open(path).ok()
}

#[cfg(not(target_os = "linux"))]
fn opened(_path: &Path) -> Option<File> {
    None
}

pub(super) fn length(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

/// Cuts bytes in two; the first part has at most `first` bytes.
pub(super) fn split(bytes: &[u8], first: u64) -> (&[u8], &[u8]) {
    let first = usize::try_from(first).unwrap_or(usize::MAX);
    bytes.split_at_checked(first).unwrap_or((bytes, &[]))
}

#[cfg(unix)]
pub(super) fn write_at(file: &File, bytes: &[u8], at: u64) -> io::Result<usize> {
    std::os::unix::fs::FileExt::write_at(file, bytes, at)
}

#[cfg(windows)]
pub(super) fn write_at(file: &File, bytes: &[u8], at: u64) -> io::Result<usize> {
    std::os::windows::fs::FileExt::seek_write(file, bytes, at)
}
