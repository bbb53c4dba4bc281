//! One file of a staging folder: new, or taken up from a run that was cut off.
//!
//! What an earlier run left is never trusted. While the same file is written again, every byte that is there already is read and
//! compared; from the first difference on the file is written anew. So a file that was taken up holds exactly what a new one would.
//!
//! What proves to be a large file goes past the system's memory from there on, where the disk allows it.

use super::error::DiskErrors;
use super::error::StoreError;
use super::past_memory::GATHERED;
use super::past_memory::Gathered;
use super::past_memory::PastMemory;
use super::past_memory::split;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

/// Bytes after which the system is asked to begin writing back, so that forcing the file at the end is short.
pub(super) const WRITE_BACK_STEP: u64 = 8 * 1024 * 1024;

/// From this length on the rest of a file that waits is asked for at its end, in bytes. Small files are written faster all at once.
const WORTH_ASKING: u64 = 1024 * 1024;

/// From this length on a file counts as large.
const LARGE_FILE: u64 = 2 * 1024 * 1024;

/// Most bytes compared at once.
const COMPARE_STEP: usize = 64 * 1024;

/// A file that is being written into a staging folder.
#[derive(Debug)]
#[must_use = "a file that is not finished may not have reached the disk"]
pub struct StagedFile {
    file: File,
    path: PathBuf,
    /// How many bytes are in the file: what is gathered is not yet.
    written: u64,
    asked: u64,
    /// Whether somebody reads the file while it is written.
    is_read: bool,
    /// For a large file.
    past_memory: Option<(PastMemory, Gathered)>,
    /// Whether the file was there, and has agreed so far.
    agrees: bool,
    /// Whether all files are forced at once before anything relies on them.
    waits: bool,
}

impl StagedFile {
    /// Makes a new file with these rights, as far as the system grants them; never opens one that exists.
    pub(super) fn create(path: PathBuf, mode: u32) -> Result<Self, StoreError> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        with_mode(&mut options, mode);
        let file = options.open(&path).while_doing("write", &path)?;
        Ok(Self::new(file, path, false))
    }

    /// Opens what an earlier run left, to be compared and completed.
    pub(super) fn take_up(path: PathBuf) -> Result<Self, StoreError> {
        let file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(&path)
            .while_doing("write", &path)?;
        Ok(Self::new(file, path, true))
    }

    const fn new(file: File, path: PathBuf, agrees: bool) -> Self {
        Self {
            file,
            path,
            written: 0,
            asked: 0,
            is_read: false,
            past_memory: None,
            agrees,
            waits: false,
        }
    }

    /// Lets the file wait until the staging folder is forced as a whole.
    pub(super) const fn waiting(mut self, waits: bool) -> Self {
        self.waits = waits;
        self
    }

    /// Returns where the file is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns a reader of the file that begins at its first byte and sees everything that is written meanwhile. So nothing is
    /// gathered from here on.
    ///
    /// # Errors
    /// Gives the path when the system refuses.
    pub fn reader(&mut self) -> Result<impl Read + Send + use<>, StoreError> {
        self.flush().while_doing("write", &self.path)?;
        (self.is_read, self.past_memory) = (true, None);
        File::open(&self.path).while_doing("read", &self.path)
    }

    /// Gives the file the reading and writing rights of an original, as the system's bits; 0 leaves them alone.
    ///
    /// # Errors
    /// Gives the path when the system refuses.
    #[cfg(unix)]
    pub fn set_mode(&self, mode: u32) -> Result<(), StoreError> {
        use std::os::unix::fs::PermissionsExt;
        if mode == 0 {
            return Ok(());
        }
        let permissions = std::fs::Permissions::from_mode(mode & 0o777);
        self.file
            .set_permissions(permissions)
            .while_doing("set the rights of", &self.path)
    }

    /// Does nothing: this system has no such bits.
    ///
    /// # Errors
    /// Never.
    #[cfg(not(unix))]
    pub fn set_mode(&self, _mode: u32) -> Result<(), StoreError> {
        Ok(())
    }

    /// Forces the file to the disk, or leaves that to [`super::staging::Staging::force`] where the disk can do it for all at once.
    ///
    /// # Errors
    /// Gives the path when the disk is full or fails.
    pub fn finish(mut self) -> Result<(), StoreError> {
        if self.agrees {
            // What is longer than it should be loses its end.
            self.write_anew().while_doing("write", &self.path)?;
        }
        self.flush().while_doing("write", &self.path)?;
        if self.waits {
            if self.written >= WORTH_ASKING {
                let_go(&self.file, self.asked, self.written);
            }
            return Ok(());
        }
        self.file.sync_data().while_doing("write", &self.path)
    }

    /// Reads as many bytes as are to be written and tells how many of them are there already. Stops comparing at the first
    /// difference and at the end of what was left.
    fn compare(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut there = [0_u8; COMPARE_STEP];
        let mut same = 0;
        while same < bytes.len() {
            let wanted = bytes.get(same..).unwrap_or_default();
            let room = there.len().min(wanted.len());
            let count = self.file.read(there.get_mut(..room).unwrap_or_default())?;
            let alike = there.iter().take(count).zip(wanted);
            let alike = alike.take_while(|(one, other)| one == other).count();
            same = same.saturating_add(alike);
            self.count(alike);
            if count == 0 || alike < count {
                self.write_anew()?;
                break;
            }
        }
        Ok(same)
    }

    /// Cuts off what does not agree. From here on the file is written.
    fn write_anew(&mut self) -> io::Result<()> {
        self.agrees = false;
        self.file.set_len(self.written)?;
        self.file.seek(SeekFrom::Start(self.written))?;
        Ok(())
    }

    fn count(&mut self, bytes: usize) {
        let bytes = u64::try_from(bytes).unwrap_or(u64::MAX);
        self.written = self.written.saturating_add(bytes);
    }

    fn begin_write_back(&mut self) {
        let due = self.written.saturating_sub(self.asked) >= WRITE_BACK_STEP;
        if due {
            let_go(&self.file, self.asked, self.written);
            self.asked = self.written;
        }
    }

    /// Writes through the system's memory. A file that is now large goes past it from the next multiple of what is gathered on.
    fn write_through(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let is_large = self.written >= LARGE_FILE && !self.is_read;
        let gathered = u64::try_from(GATHERED).unwrap_or(u64::MAX);
        let before = self.written.next_multiple_of(gathered);
        let before = before.saturating_sub(self.written);
        if is_large && before == 0 {
            self.past_memory = Some((PastMemory::of(&self.path), Gathered::new()));
            return self.gather(bytes);
        }
        let (bytes, _) = split(bytes, if is_large { before } else { u64::MAX });
        let count = self.file.write(bytes)?;
        self.count(count);
        self.begin_write_back();
        Ok(count)
    }

    /// Takes in as many bytes as there is room for, and writes them once there is no more.
    fn gather(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let Some((_, gathered)) = &mut self.past_memory else {
            return Ok(0);
        };
        let rest = gathered.take_in(bytes).len();
        if gathered.is_full() {
            self.drain()?;
        }
        Ok(bytes.len().saturating_sub(rest))
    }

    /// Writes what was gathered.
    fn drain(&mut self) -> io::Result<()> {
        let at = self.written;
        let Some((past_memory, gathered)) = &mut self.past_memory else {
            return Ok(());
        };
        if !(gathered.is_full() && past_memory.takes(gathered.bytes(), at)) {
            self.file.seek(SeekFrom::Start(at))?;
            self.file.write_all(gathered.bytes())?;
        }
        let count = gathered.bytes().len();
        gathered.clear();
        self.count(count);
        Ok(())
    }
}

impl Write for StagedFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.agrees {
            let same = self.compare(bytes)?;
            if same > 0 {
                return Ok(same);
            }
        }
        match self.past_memory {
            Some(_) => self.gather(bytes),
            None => self.write_through(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.drain()
    }
}

#[cfg(unix)]
fn with_mode(options: &mut OpenOptions, mode: u32) {
    use std::os::unix::fs::OpenOptionsExt;
    options.mode(mode);
}

#[cfg(not(unix))]
fn with_mode(_options: &mut OpenOptions, _mode: u32) {}

/// Asks the system to let go of a stretch: it begins to write what is not on the disk yet, without waiting, and forgets what is. A wish, not
/// a promise, and a refusal does not matter: the file is forced at the end.
#[cfg(target_os = "linux")]
pub(super) fn let_go(file: &File, from: u64, to: u64) {
    let length = std::num::NonZeroU64::new(to.saturating_sub(from));
    let _ = rustix::fs::fadvise(file, from, length, rustix::fs::Advice::DontNeed);
}

#[cfg(not(target_os = "linux"))]
pub(super) fn let_go(_file: &File, _from: u64, _to: u64) {}

#[cfg(test)]
mod tests {
    use super::super::past_memory::LARGE;
    use super::*;
    use proptest::prelude::*;

    fn rewritten(left: &[u8], bytes: &[u8], chunk: usize) -> Vec<u8> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, left).unwrap();
        let mut staged = StagedFile::take_up(path.clone()).unwrap();
        for part in bytes.chunks(chunk) {
            staged.write_all(part).unwrap();
        }
        staged.finish().unwrap();
        std::fs::read(path).unwrap()
    }

    #[test]
    fn a_file_cut_short_is_completed_and_one_too_long_is_cut() {
        assert_eq!(rewritten(b"hel", b"hello", 2), b"hello");
        assert_eq!(rewritten(b"hello world", b"hello", 2), b"hello");
        assert_eq!(rewritten(b"hello", b"", 2), b"");
    }

    #[test]
    fn a_difference_is_found_in_a_large_file() {
        let right = vec![7_u8; 200_000];
        let mut wrong = right.clone();
        wrong[150_000] = 8;
        assert_eq!(rewritten(&wrong, &right, 90_000), right);
    }

    const ALL_SIZES: [usize; 5] = [70_000, LARGE - 1, LARGE, 300_001, GATHERED];

    /// A large file goes another way from some place on, whatever the pieces that it comes in, and wherever an earlier run ended.
    #[test]
    fn a_large_file_is_what_was_written() {
        let long = usize::try_from(LARGE_FILE).unwrap() + 2 * GATHERED;
        for length in [long, long + 4096, long + 5] {
            let bytes: Vec<u8> = (0..=250_u8).cycle().take(length).collect();
            for chunk in ALL_SIZES {
                let mut wrong = bytes.get(..length - GATHERED - 7).unwrap().to_vec();
                assert!(rewritten(&wrong, &bytes, chunk) == bytes);
                wrong[100] ^= 1;
                assert!(rewritten(&wrong, &bytes, chunk) == bytes);
                assert!(rewritten(&[], &bytes, chunk) == bytes);
            }
        }
    }

    /// Whoever reads along finds everything, also from a file that was large already.
    #[test]
    fn what_is_read_along_is_in_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let mut staged = StagedFile::create(folder.path().join("a"), 0o600).unwrap();
        staged.write_all(&vec![7; 3 * GATHERED + 5]).unwrap();
        let mut reader = staged.reader().unwrap();
        let mut read = Vec::new();
        for size in [0, 9, 2 * GATHERED, LARGE + 1] {
            staged.write_all(&vec![7; size]).unwrap();
            reader.read_to_end(&mut read).unwrap();
            assert_eq!(u64::try_from(read.len()).unwrap(), staged.written);
        }
        assert_eq!(read, vec![7; 5 * GATHERED + LARGE + 15]);
    }

    proptest! {
        #[test]
        fn whatever_was_left_the_file_is_what_was_written(
            left in proptest::collection::vec(0_u8..3, 0..40),
            bytes in proptest::collection::vec(0_u8..3, 0..40),
            chunk in 1_usize..9,
        ) {
            prop_assert_eq!(rewritten(&left, &bytes, chunk), bytes);
        }
    }
}
