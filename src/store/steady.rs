//! The file under a zip that is being written: bytes are gathered, so that going back to a header among them costs nothing, and
//! begin their way to the disk early, so that forcing the file at the end is short.
//!
//! Large entries go past the system's memory, where the disk allows it. Small ones gain by being gathered: twenty thousand, each
//! completed by going back to its header, took five calls of the system each without it.

use super::past_memory::GATHERED;
use super::past_memory::Gathered;
use super::past_memory::LARGE;
use super::past_memory::PastMemory;
use super::past_memory::length;
use super::past_memory::split;
use super::past_memory::write_at;
use super::staged_file;
use super::staged_file::WRITE_BACK_STEP;
use std::fs::File;
use std::io;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

/// A file that is written from its beginning on.
///
/// Once the disk has refused, the refusal has been told and the zip is lost; what still comes is then only counted. The zip
/// library completes its file even when it is given up, and stops the whole program when positions no longer agree.
#[derive(Debug)]
pub(super) struct Steady {
    file: Arc<File>,
    past_memory: PastMemory,
    gathered: Gathered,
    /// Whether what came last was part of a large entry.
    is_large: bool,
    /// How many bytes are in the file.
    written: u64,
    /// Where the next byte goes.
    position: u64,
    /// Where the last going back to some place led: once an entry was begun, to its beginning.
    returned: u64,
    asked: u64,
    refused: Option<io::ErrorKind>,
}

impl Steady {
    /// Writes `file`, which lies at `path`.
    pub(super) fn new(file: Arc<File>, path: &Path) -> Self {
        Self {
            file,
            past_memory: PastMemory::of(path),
            gathered: Gathered::new(),
            is_large: false,
            written: 0,
            position: 0,
            returned: 0,
            asked: 0,
            refused: None,
        }
    }

    /// Writes what was gathered. Returns how long the file is.
    ///
    /// # Errors
    /// Gives the refusal, also one that was told before.
    pub(super) fn finish(mut self) -> io::Result<u64> {
        self.drain()?;
        self.refused
            .map_or(Ok(self.written), |kind| Err(kind.into()))
    }

    /// Returns how many bytes from the beginning on are in the file and stay as they are, when an entry was just begun: what
    /// comes may still go back to the header of that entry, and to nothing before it.
    pub(super) fn settled(&self) -> u64 {
        self.written.min(self.returned)
    }

    fn end(&self) -> u64 {
        self.written.saturating_add(length(self.gathered.bytes()))
    }

    fn drain(&mut self) -> io::Result<()> {
        let mut gathered = std::mem::take(&mut self.gathered);
        let result = self.append(gathered.bytes());
        gathered.clear();
        self.gathered = gathered;
        result
    }

    /// Writes behind what is in the file.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let result = if self.goes_past_memory(bytes) {
            Ok(())
        } else {
            self.put(bytes, self.written)
        };
        self.written = self.written.saturating_add(length(bytes));
        result?;
        if self.written.saturating_sub(self.asked) >= WRITE_BACK_STEP {
            staged_file::let_go(&self.file, self.asked, self.written);
            self.asked = self.written;
        }
        Ok(())
    }

    fn goes_past_memory(&mut self, bytes: &[u8]) -> bool {
        let may = self.is_large && bytes.len() == GATHERED && self.refused.is_none();
        may && self.past_memory.takes(bytes, self.written)
    }

    /// Writes into the file, unless the disk has refused before.
    fn put(&mut self, mut bytes: &[u8], mut at: u64) -> io::Result<()> {
        while !bytes.is_empty() && self.refused.is_none() {
            match write_at(&self.file, bytes, at) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Ok(count) if count > 0 => {
                    bytes = bytes.get(count..).unwrap_or_default();
                    at = at.saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
                }
                refused => {
                    let error = refused.err();
                    let error = error.unwrap_or_else(|| io::ErrorKind::WriteZero.into());
                    self.refused = Some(error.kind());
                    return Err(error);
                }
            }
        }
        Ok(())
    }

    /// Writes where something was written before; returns what goes beyond.
    fn overwrite<'a>(&mut self, bytes: &'a [u8]) -> io::Result<&'a [u8]> {
        let in_file = self.written.saturating_sub(self.position);
        let (old, bytes) = split(bytes, in_file);
        self.put(old, self.position)?;
        let at = self.position.saturating_add(length(old));
        let from = usize::try_from(at.saturating_sub(self.written)).unwrap_or(usize::MAX);
        let there = self.gathered.bytes_mut();
        let there = there.get_mut(from..).unwrap_or_default();
        let (same, beyond) = split(bytes, length(there));
        if let Some(there) = there.get_mut(..same.len()) {
            there.copy_from_slice(same);
        }
        Ok(beyond)
    }
}

impl Write for Steady {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut beyond = if self.position < self.end() {
            self.overwrite(bytes)?
        } else {
            self.is_large = bytes.len() >= LARGE;
            bytes
        };
        while !beyond.is_empty() {
            beyond = self.gathered.take_in(beyond);
            if self.gathered.is_full() {
                self.drain()?;
            }
        }
        self.position = self.position.saturating_add(length(bytes));
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        // What was gathered is written in time, and at the latest by `finish`.
        Ok(())
    }
}

impl Seek for Steady {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(position) => Some(position),
            SeekFrom::End(by) => self.end().checked_add_signed(by),
            // The refusal may have come in a header to which the library had gone back. It asks where it is, and takes the
            // answer for the end of the entry.
            SeekFrom::Current(by) if self.refused.is_some() => self.end().checked_add_signed(by),
            SeekFrom::Current(by) => self.position.checked_add_signed(by),
        };
        // Nothing is ever left out: a file with holes is no zip.
        let position = position.filter(|position| *position <= self.end());
        self.position = position.ok_or(io::ErrorKind::InvalidInput)?;
        if matches!(to, SeekFrom::Start(_)) {
            self.returned = self.position;
        }
        Ok(self.position)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::io::Cursor;

    #[derive(Debug, Clone)]
    enum Step {
        Write(usize, u8),
        Seek(u64),
    }

    fn step() -> impl Strategy<Value = Step> {
        prop_oneof![
            3 => (0_usize..3000, any::<u8>()).prop_map(|(length, byte)| Step::Write(length, byte)),
            1 => (GATHERED - 5..GATHERED * 3, any::<u8>())
                .prop_map(|(length, byte)| Step::Write(length, byte)),
            2 => any::<u64>().prop_map(Step::Seek),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        /// The standard library's writer into memory is what it is compared with.
        #[test]
        fn whatever_is_written_where_stands_there(steps in prop::collection::vec(step(), 1..12)) {
            let file = tempfile::NamedTempFile::new().unwrap();
            let mut steady = Steady::new(Arc::new(file.reopen().unwrap()), file.path());
            let mut plain = Cursor::new(Vec::new());
            for step in steps {
                match step {
                    Step::Write(length, byte) => {
                        let bytes: Vec<u8> = (0..length).map(|at| byte ^ at.to_le_bytes()[0]).collect();
                        steady.write_all(&bytes).unwrap();
                        plain.write_all(&bytes).unwrap();
                    }
                    Step::Seek(anywhere) => {
                        let end = u64::try_from(plain.get_ref().len()).unwrap();
                        let to = SeekFrom::Start(anywhere.checked_rem(end).unwrap_or(0));
                        prop_assert_eq!(steady.seek(to).unwrap(), plain.seek(to).unwrap());
                    }
                }
                prop_assert_eq!(steady.stream_position().unwrap(), plain.position());
            }
            steady.finish().unwrap();
            prop_assert!(std::fs::read(file.path()).unwrap() == plain.into_inner());
        }
    }

    #[test]
    fn no_hole_is_left() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let mut steady = Steady::new(Arc::new(file.reopen().unwrap()), file.path());
        steady.write_all(b"abc").unwrap();
        assert!(steady.seek(SeekFrom::Start(4)).is_err());
        assert!(steady.seek(SeekFrom::Current(-4)).is_err());
        assert_eq!(steady.seek(SeekFrom::End(0)).unwrap(), 3);
    }

    /// `/dev/full` refuses every write with "no space left". [full(4)]
    #[cfg(target_os = "linux")]
    #[test]
    fn a_refusal_is_told_and_what_comes_after_it_is_counted() {
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .unwrap();
        let mut steady = Steady::new(Arc::new(full), Path::new("/dev/full"));
        steady.write_all(&[7; 100]).unwrap();
        let refused = steady.write_all(&vec![7; GATHERED]).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::StorageFull);
        steady.seek(SeekFrom::Start(14)).unwrap();
        steady.write_all(&[7; 12]).unwrap();
        let end = steady.stream_position().unwrap();
        assert_eq!(steady.seek(SeekFrom::Start(end)).unwrap(), end);
        let told = steady.finish().unwrap_err();
        assert_eq!(told.kind(), io::ErrorKind::StorageFull);
    }
}
