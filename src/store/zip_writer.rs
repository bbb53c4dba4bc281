//! Writing a package as one zip file: one folder at the top, the same bytes for the same contents, written beside its target,
//! forced to the disk and moved into place by one rename.
//!
//! Entries have a fixed time (the first that zips know) and fixed rights, no matter when and where they are written, so that
//! a package made twice is the same file twice. [PKWARE APPNOTE 6.3]

use super::behind::Reached;
use super::error::DiskErrors;
use super::error::StoreError;
use super::source::exists;
use super::staging;
use super::steady::Steady;
use super::zip_reread::ZipReread;
use crate::portable_path::PortablePath;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use zip::CompressionMethod;
use zip::ZipWriter;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;

/// From this length on, lengths of eight bytes are written: 16 MiB below the limit of four bytes.
const LARGE: u64 = 0xFEFF_FFFF;

/// Rights of every entry: all may read, the owner may write.
const RIGHTS: u32 = 0o644;

/// How an entry is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// As it is: scans, and whatever is compressed already. It can be read even when part of the zip is damaged.
    Stored,
    /// Deflated: text.
    Deflated,
}

/// A zip file that is being written. Dropped without [`ZipPackage::commit`], it removes itself.
#[must_use = "a zip that is dropped leaves nothing behind"]
pub struct ZipPackage {
    writer: Option<ZipWriter<Steady>>,
    file: Arc<File>,
    reached: Arc<Reached>,
    staged: PathBuf,
    target: PathBuf,
    top: String,
    /// The entry being written: its path, and how many of its bytes are still to come.
    open: Option<(String, u64)>,
    committed: bool,
}

impl std::fmt::Debug for ZipPackage {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("ZipPackage")
            .field("target", &self.target)
            .finish_non_exhaustive()
    }
}

impl ZipPackage {
    /// Begins the zip file `target`, whose entries all lie in the folder `top`.
    ///
    /// # Errors
    /// Refuses an existing target, and a file that is left from a run that was cut off.
    pub fn beside(target: &Path, top: &str) -> Result<Self, StoreError> {
        if exists(target) {
            return Err(StoreError::TargetExists {
                path: target.to_owned(),
            });
        }
        let parent = staging::parent_of(target);
        std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
        let staged = staging::staging_name(target);
        let file = match OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&staged)
        {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                return Err(StoreError::InProgress { path: staged });
            }
            opened => opened.while_doing("write", &staged)?,
        };
        let file = Arc::new(file);
        Ok(Self {
            writer: Some(ZipWriter::new(Steady::new(Arc::clone(&file), &staged))),
            file,
            reached: Arc::default(),
            staged,
            target: target.to_owned(),
            top: top.to_owned(),
            open: None,
            committed: false,
        })
    }

    /// Begins a zip file whose entries lie in no common folder, for forms that ask for certain names at the top.
    ///
    /// # Errors
    /// As [`ZipPackage::beside`].
    pub fn without_folder(target: &Path) -> Result<Self, StoreError> {
        Self::beside(target, "")
    }

    /// Returns where the zip lies until it gets its name.
    #[must_use]
    pub fn staged(&self) -> &Path {
        &self.staged
    }

    /// Begins to read the zip back, while it is being written: to be done on a thread of its own.
    ///
    /// # Errors
    /// Gives the path when it cannot be opened.
    pub fn read_back(&self) -> Result<ZipReread, StoreError> {
        ZipReread::new(&self.staged, &self.top, Arc::clone(&self.reached))
    }

    /// Begins an entry of `length` bytes, which are then written to `self`.
    ///
    /// # Errors
    /// Gives the path when the entry before it is not whole, when the name was used before, or the disk fails.
    pub fn begin(
        &mut self,
        path: &PortablePath,
        length: u64,
        keep: Keep,
    ) -> Result<(), StoreError> {
        self.end_entry()?;
        let name = if self.top.is_empty() {
            path.to_string()
        } else {
            format!("{}/{path}", self.top)
        };
        let options = SimpleFileOptions::default()
            .compression_method(match keep {
                Keep::Stored => CompressionMethod::Stored,
                Keep::Deflated => CompressionMethod::Deflated,
            })
            .last_modified_time(zip::DateTime::default())
            .unix_permissions(RIGHTS)
            // Both lengths must fit into 32 bits, and deflating may lengthen a little. // [APPNOTE 4.3.9.2]
            .large_file(length >= LARGE);
        self.zip(|writer| writer.start_file(name, options))?;
        self.reached.settle(self.settled());
        self.open = Some((path.as_str().to_owned(), length));
        Ok(())
    }

    /// Returns how many bytes will not change, when an entry was begun.
    pub(super) fn settled(&self) -> u64 {
        let steady = self.writer.as_ref().and_then(ZipWriter::get_ref);
        steady.map_or(0, Steady::settled)
    }

    /// Writes a whole entry.
    ///
    /// # Errors
    /// Gives the path when the name was used before or the disk fails.
    pub fn write(
        &mut self,
        path: &PortablePath,
        bytes: &[u8],
        keep: Keep,
    ) -> Result<(), StoreError> {
        let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        self.begin(path, length, keep)?;
        self.write_all(bytes).while_doing("write", &self.staged)
    }

    /// Completes the zip, forces it to the disk and moves it into place by one rename that never replaces anything.
    ///
    /// # Errors
    /// Gives the path when the last entry is not whole, when the target appeared meanwhile, or the disk fails.
    pub fn commit(mut self) -> Result<PathBuf, StoreError> {
        if self.writer.is_some() {
            self.complete()?;
        }
        staging::rename_new(&self.staged, &self.target)?;
        self.committed = true;
        staging::sync_folder(&staging::parent_of(&self.target))?;
        Ok(self.target.clone())
    }

    /// Completes the zip and forces it to the disk, without giving it its name yet: it can then be read back where it lies. Returns
    /// that place.
    ///
    /// # Errors
    /// Gives the path when the last entry is not whole, or the disk fails.
    pub fn complete(&mut self) -> Result<&Path, StoreError> {
        self.end_entry()?;
        let Some(writer) = self.writer.take() else {
            return Err(self.fault(io::Error::other("it is closed already")));
        };
        let steady = writer.finish().map_err(|error| self.fault(plain(error)))?;
        let length = steady.finish().map_err(|error| self.fault(error))?;
        self.file.sync_all().while_doing("write", &self.staged)?;
        self.reached.complete(length);
        Ok(&self.staged)
    }

    /// Makes sure that as many bytes came as were announced: the source may have changed while it was copied.
    fn end_entry(&mut self) -> Result<(), StoreError> {
        match self.open.take() {
            Some((path, left)) if left > 0 => Err(StoreError::Changed {
                path: PathBuf::from(path),
            }),
            _ => Ok(()),
        }
    }

    fn zip<T>(
        &mut self,
        act: impl FnOnce(&mut ZipWriter<Steady>) -> Result<T, ZipError>,
    ) -> Result<T, StoreError> {
        let result = match self.writer.as_mut() {
            Some(writer) => act(writer).map_err(plain),
            None => Err(io::Error::other("it is closed already")),
        };
        result.while_doing("write", &self.staged)
    }

    fn fault(&self, source: io::Error) -> StoreError {
        StoreError::Disk {
            act: "write",
            path: self.staged.clone(),
            source,
        }
    }
}

/// Takes away the half zip of a run that was cut off. Only for a person who asked to go on.
///
/// # Errors
/// Gives the path when it cannot be removed.
pub fn remove_left_over(target: &Path) -> Result<(), StoreError> {
    let left = staging::staging_name(target);
    if exists(&left) {
        std::fs::remove_file(&left).while_doing("remove", &left)?;
    }
    Ok(())
}

fn plain(error: ZipError) -> io::Error {
    match error {
        ZipError::Io(error) => error,
        other => io::Error::other(other),
    }
}

impl Write for ZipPackage {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let Some((writer, (path, left))) = self.writer.as_mut().zip(self.open.as_mut()) else {
            return Err(io::Error::other("no entry was begun"));
        };
        let coming = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        let Some(after) = left.checked_sub(coming) else {
            return Err(io::Error::other(format!("{path} grew while it was copied")));
        };
        writer.write_all(bytes)?;
        *left = after;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        // Everything is forced to the disk at the end, in `commit`.
        Ok(())
    }
}

impl Drop for ZipPackage {
    fn drop(&mut self) {
        if !self.committed {
            self.writer = None;
            self.reached.give_up();
            // Nothing more can be done when this fails; the next run names the file that was left.
            let _ = std::fs::remove_file(&self.staged);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::zip_directory;

    fn portable(text: &str) -> PortablePath {
        PortablePath::new(text).unwrap()
    }

    fn write_sample(target: &Path) -> Result<PathBuf, StoreError> {
        let mut package = ZipPackage::beside(target, "top")?;
        package.write(&portable("bagit.txt"), b"hello\n", Keep::Deflated)?;
        package.begin(&portable("data/Zo\u{eb}.tif"), 6, Keep::Stored)?;
        package.write_all(b"hel").unwrap();
        package.write_all(b"lo\n").unwrap();
        package.commit()
    }

    #[test]
    fn the_same_contents_make_the_same_file() {
        let folder = tempfile::tempdir().unwrap();
        let one = write_sample(&folder.path().join("one.zip")).unwrap();
        let two = write_sample(&folder.path().join("two.zip")).unwrap();
        let bytes = std::fs::read(one).unwrap();
        assert_eq!(bytes, std::fs::read(two).unwrap());
        let entries = zip_directory::read(&mut io::Cursor::new(&bytes)).unwrap();
        let names: Vec<&str> = entries.iter().map(|entry| &*entry.name).collect();
        assert_eq!(names, ["top/bagit.txt", "top/data/Zo\u{eb}.tif"]);
        assert_eq!(entries[1].crc, crc32fast::hash(b"hello\n"));
    }

    #[test]
    fn nothing_is_there_until_the_commit() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("p.zip");
        let mut package = ZipPackage::beside(&target, "top").unwrap();
        package.write(&portable("a"), b"1", Keep::Stored).unwrap();
        assert!(!target.exists());
        assert!(matches!(
            ZipPackage::beside(&target, "top"),
            Err(StoreError::InProgress { .. })
        ));
        drop(package);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        write_sample(&target).unwrap();
        assert!(matches!(
            write_sample(&target),
            Err(StoreError::TargetExists { .. })
        ));
    }

    #[test]
    fn without_a_folder_names_stand_at_the_top() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("p.gdz");
        let mut package = ZipPackage::without_folder(&target).unwrap();
        package
            .write(&portable("media/a.jpg"), b"1", Keep::Stored)
            .unwrap();
        let bytes = std::fs::read(package.commit().unwrap()).unwrap();
        let entries = zip_directory::read(&mut io::Cursor::new(&bytes)).unwrap();
        assert_eq!(&*entries[0].name, "media/a.jpg");
    }

    /// `/dev/full` refuses every write with "no space left". [full(4)]
    #[cfg(target_os = "linux")]
    #[test]
    fn a_disk_that_refuses_is_told_and_nothing_stops_the_program() {
        let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut writer = ZipWriter::new(Steady::new(Arc::new(full), Path::new("/dev/full")));
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        let refused = writer
            .start_file("a", options)
            .map_err(plain)
            .and_then(|()| writer.write_all(&vec![7; 2 * 1024 * 1024]));
        assert_eq!(refused.unwrap_err().kind(), io::ErrorKind::StorageFull);
        drop(writer);
    }

    #[test]
    fn an_entry_of_another_length_than_announced_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("p.zip");
        let mut package = ZipPackage::beside(&target, "top").unwrap();
        package.begin(&portable("a"), 2, Keep::Stored).unwrap();
        package.write_all(b"1").unwrap();
        assert!(package.begin(&portable("b"), 1, Keep::Stored).is_err());
        package.begin(&portable("c"), 1, Keep::Stored).unwrap();
        assert!(package.write_all(b"12").is_err());
        assert!(package.commit().is_err());
        assert!(!target.exists());
    }
}
