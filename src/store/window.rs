//! A stretch of a file that several threads read at once, each at its own place.

use std::fs::File;
use std::io;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::sync::Arc;

/// Reads a stretch of a shared file; the file's own position is never used.
#[derive(Debug, Clone)]
pub(super) struct Window {
    file: Arc<File>,
    start: u64,
    length: u64,
    position: u64,
}

impl Window {
    /// Returns the stretch of `length` bytes from `start` on.
    pub(super) const fn new(file: Arc<File>, start: u64, length: u64) -> Self {
        Self {
            file,
            start,
            length,
            position: 0,
        }
    }
}

impl Read for Window {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let left = self.length.saturating_sub(self.position);
        let wanted = usize::try_from(left)
            .unwrap_or(usize::MAX)
            .min(buffer.len());
        let Some(buffer) = buffer.get_mut(..wanted).filter(|part| !part.is_empty()) else {
            return Ok(0);
        };
        let at = self.start.saturating_add(self.position);
        let count = read_at(&self.file, buffer, at)?;
        self.position = self
            .position
            .saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
        Ok(count)
    }
}

impl Seek for Window {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let position = match to {
            SeekFrom::Start(position) => Some(position),
            SeekFrom::End(shift) => self.length.checked_add_signed(shift),
            SeekFrom::Current(shift) => self.position.checked_add_signed(shift),
        };
        self.position = position.ok_or_else(|| {
            io::Error::new(io::ErrorKind::InvalidInput, "a place before the beginning")
        })?;
        Ok(self.position)
    }
}

#[cfg(unix)]
pub(super) fn read_at(file: &File, buffer: &mut [u8], at: u64) -> io::Result<usize> {
    std::os::unix::fs::FileExt::read_at(file, buffer, at)
}

#[cfg(windows)]
pub(super) fn read_at(file: &File, buffer: &mut [u8], at: u64) -> io::Result<usize> {
    std::os::windows::fs::FileExt::seek_read(file, buffer, at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_is_all_that_is_seen() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, b"0123456789").unwrap();
        let file = Arc::new(File::open(&path).unwrap());
        let mut window = Window::new(file, 2, 5);
        let mut text = String::new();
        window.read_to_string(&mut text).unwrap();
        assert_eq!(text, "23456");
        assert_eq!(window.seek(SeekFrom::End(-2)).unwrap(), 3);
        text.clear();
        window.clone().read_to_string(&mut text).unwrap();
        assert_eq!(text, "56");
        assert!(window.seek(SeekFrom::Current(-4)).is_err());
        window.seek(SeekFrom::Start(99)).unwrap();
        assert_eq!(window.read(&mut [0; 4]).unwrap(), 0);
    }
}
