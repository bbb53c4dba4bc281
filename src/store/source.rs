//! Reading. This is the only place that opens a person's files, and it opens them read-only.

use super::error::DiskErrors;
use super::error::StoreError;
use std::fs::File;
use std::fs::Metadata;
use std::io;
use std::io::Read;
use std::io::Seek;
use std::path::Path;
use std::path::PathBuf;
use std::time::SystemTime;

/// A file opened for reading.
#[derive(Debug)]
pub struct SourceFile {
    file: File,
    path: PathBuf,
    stamp: Stamp,
    /// Where the next byte is read.
    position: u64,
}

/// What tells whether a file is still the same: length, time of change, and its number on the disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Length in bytes.
    pub length: u64,
    /// Time of the last change, in nanoseconds since 1970, 0 when the system does not say.
    pub changed: u128,
    /// The file's number on its disk, 0 where there is none.
    pub number: u64,
    /// Who may read and write it, as the system's bits; 0 where there are none.
    pub mode: u32,
}

/// Opens a file for reading; following a link is allowed, a folder or special file is not.
///
/// # Errors
/// Gives the path when it cannot be opened or is no ordinary file.
pub fn open(path: &Path) -> Result<SourceFile, StoreError> {
    // A pipe or device would block or never end: look before opening.
    let before = std::fs::metadata(path).while_doing("read", path)?;
    refuse_special(&before).while_doing("read", path)?;
    open_again(path)
}

/// Does the same for a file that was looked at before, when it was listed or opened. Should it have become a pipe since, opening does
/// not wait for what never comes, and it is refused. Of many small files, looking at each once more costs a twentieth of the time.
///
/// # Errors
/// Gives the path when it cannot be opened or is no ordinary file.
pub fn open_again(path: &Path) -> Result<SourceFile, StoreError> {
    let file = open_without_waiting(path).while_doing("read", path)?;
    let metadata = file.metadata().while_doing("read", path)?;
    refuse_special(&metadata).while_doing("read", path)?;
    Ok(SourceFile {
        file,
        path: path.to_owned(),
        stamp: stamp(&metadata),
        position: 0,
    })
}

#[cfg(unix)]
fn open_without_waiting(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let flags = rustix::fs::OFlags::NONBLOCK | rustix::fs::OFlags::NOCTTY;
    let opened = File::options()
        .read(true)
        .custom_flags(i32::try_from(flags.bits()).unwrap_or_default())
        .open(path);
    match opened {
        // A file that a server lends to another computer takes a moment to be given back. [fcntl(2), leases]
        Err(error) if error.kind() == io::ErrorKind::WouldBlock => File::open(path),
        opened => opened,
    }
}

#[cfg(not(unix))]
fn open_without_waiting(path: &Path) -> io::Result<File> {
    File::open(path)
}

fn refuse_special(metadata: &Metadata) -> io::Result<()> {
    if metadata.is_file() {
        Ok(())
    } else {
        Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "it is not an ordinary file",
        ))
    }
}

impl SourceFile {
    /// Returns the length in bytes when it was opened.
    #[must_use]
    pub const fn length(&self) -> u64 {
        self.stamp.length
    }

    /// Returns the path.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Returns what tells whether the file is still the same.
    #[must_use]
    pub const fn stamp(&self) -> Stamp {
        self.stamp
    }

    /// Asks the system to forget what it holds of this file in memory, so that reading it reads the disk. A wish, not a promise.
    #[cfg(target_os = "linux")]
    pub fn forget_cached(&self) {
        let _ = rustix::fs::fadvise(&self.file, 0, None, rustix::fs::Advice::DontNeed);
    }

    /// Does nothing: this system has no such wish.
    #[cfg(not(target_os = "linux"))]
    pub fn forget_cached(&self) {}

    /// Makes sure that the file has not changed since it was opened.
    ///
    /// # Errors
    /// Gives [`StoreError::Changed`] when length or time of change differ, or the system's error.
    pub fn confirm_unchanged(&self) -> Result<(), StoreError> {
        let now = self.file.metadata().while_doing("read", &self.path)?;
        let same = stamp(&now) == self.stamp;
        if same {
            Ok(())
        } else {
            Err(StoreError::Changed {
                path: self.path.clone(),
            })
        }
    }
}

/// A file ends where it ended when it was opened: the system is not asked for its end once more, which counts where files are small.
/// Should it have grown since, [`SourceFile::confirm_unchanged`] tells. One that is empty is asked all the same, since some file
/// systems do not know lengths.
impl Read for SourceFile {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.position == self.stamp.length && self.stamp.length > 0 {
            return Ok(0);
        }
        let count = self.file.read(buffer)?;
        let passed = u64::try_from(count).unwrap_or(u64::MAX);
        self.position = self.position.saturating_add(passed);
        Ok(count)
    }
}

impl Seek for SourceFile {
    fn seek(&mut self, to: io::SeekFrom) -> io::Result<u64> {
        self.position = self.file.seek(to)?;
        Ok(self.position)
    }
}

/// Returns the stamp of a file without opening it.
///
/// # Errors
/// Gives the path when the system cannot tell.
pub fn stamp_of(path: &Path) -> Result<Stamp, StoreError> {
    Ok(stamp(&std::fs::metadata(path).while_doing("read", path)?))
}

fn stamp(metadata: &Metadata) -> Stamp {
    let since = metadata
        .modified()
        .ok()
        .and_then(|time| time.duration_since(SystemTime::UNIX_EPOCH).ok());
    let (number, mode) = platform(metadata);
    Stamp {
        length: metadata.len(),
        changed: since.map_or(0, |duration| duration.as_nanos()),
        number,
        mode,
    }
}

#[cfg(unix)]
fn platform(metadata: &Metadata) -> (u64, u32) {
    use std::os::unix::fs::MetadataExt;
    (metadata.ino(), metadata.mode())
}

#[cfg(not(unix))]
fn platform(_metadata: &Metadata) -> (u64, u32) {
    (0, 0)
}

/// Most bytes that [`read_all`] holds: sheets, tag files and records are far smaller, scans are never read whole.
pub const WHOLE_FILE_LIMIT: u64 = 512 * 1024 * 1024;

/// Reads a whole file.
///
/// # Errors
/// Gives the path when it cannot be read or is longer than [`WHOLE_FILE_LIMIT`].
pub fn read_all(path: &Path) -> Result<Vec<u8>, StoreError> {
    read_limited(path, WHOLE_FILE_LIMIT)
}

/// Reads a whole file of at most `limit` bytes.
///
/// # Errors
/// Gives the path when it cannot be read or is longer.
pub fn read_limited(path: &Path, limit: u64) -> Result<Vec<u8>, StoreError> {
    let source = open(path)?;
    if source.length() > limit {
        return Err(StoreError::TooLong {
            path: path.to_owned(),
            length: source.length(),
            limit,
        });
    }
    let mut bytes = Vec::with_capacity(usize::try_from(source.length()).unwrap_or_default());
    // A file may grow while it is read; the limit holds all the same.
    source
        .file
        .take(limit)
        .read_to_end(&mut bytes)
        .while_doing("read", path)?;
    Ok(bytes)
}

/// Tells whether something is there, even a link that leads nowhere.
#[must_use]
pub fn exists(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}

/// Tells whether a folder is there.
#[must_use]
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// Returns the name of a folder, also when it is given as `.` or through a link.
#[must_use]
pub fn folder_name(folder: &Path) -> Option<String> {
    let real = std::fs::canonicalize(folder).ok()?;
    real.file_name()
        .map(|name| name.to_string_lossy().into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_grows_ends_where_it_ended_and_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, b"hello").unwrap();
        let mut source = open(&path).unwrap();
        assert!(source.confirm_unchanged().is_ok());
        let mut bytes = [0; 5];
        source.read_exact(&mut bytes).unwrap();
        std::fs::write(&path, b"hello world").unwrap();
        assert_eq!(source.read(&mut bytes).unwrap(), 0);
        assert!(matches!(
            source.confirm_unchanged(),
            Err(StoreError::Changed { .. })
        ));
        source.seek(io::SeekFrom::Start(1)).unwrap();
        source.read_exact(&mut bytes[..4]).unwrap();
        assert_eq!(&bytes[..4], b"ello");
    }

    #[cfg(unix)]
    #[test]
    fn a_pipe_is_refused_without_waiting() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("pipe");
        let made = std::process::Command::new("mkfifo").arg(&path).status();
        assert!(made.unwrap().success());
        assert!(open(&path).is_err());
        assert!(open_again(&path).is_err());
        assert!(open_again(folder.path()).is_err());
    }
}
