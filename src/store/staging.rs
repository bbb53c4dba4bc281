//! Writing: a folder beside the target, every file forced to the disk, one rename at the end. Until that rename the target does
//! not exist; after it, the target is whole.

use super::error::DiskErrors;
use super::error::StoreError;
use super::source::exists;
use crate::portable_path::PortablePath;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

/// Bytes after which the system is asked to begin writing back, so that forcing the file at the end is short.
const WRITE_BACK_STEP: u64 = 8 * 1024 * 1024;

/// A folder that is being written beside its target. Dropped without [`Staging::commit`], it removes itself.
#[derive(Debug)]
#[must_use = "a staging folder that is dropped leaves nothing behind"]
pub struct Staging {
    folder: PathBuf,
    target: PathBuf,
    committed: bool,
}

/// A file that is being written into a staging folder.
#[derive(Debug)]
#[must_use = "a file that is not finished may not have reached the disk"]
pub struct StagedFile {
    file: File,
    path: PathBuf,
    written: u64,
    asked: u64,
}

impl Staging {
    /// Makes the staging folder `.NAME.partial` beside `target`.
    ///
    /// # Errors
    /// Refuses an existing target, and a staging folder that is there already: left by a run that was cut off, or being written
    /// by another run.
    pub fn beside(target: &Path) -> Result<Self, StoreError> {
        if exists(target) {
            return Err(StoreError::TargetExists {
                path: target.to_owned(),
            });
        }
        let parent = parent_of(target);
        std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
        let folder = staging_name(target);
        match std::fs::create_dir(&folder) {
            Ok(()) => Ok(Self {
                folder,
                target: target.to_owned(),
                committed: false,
            }),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                Err(StoreError::InProgress { path: folder })
            }
            Err(error) => Err(error).while_doing("make the folder", &folder),
        }
    }

    /// Returns where the folder is until it is renamed.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Returns where a file of the folder is until the folder is renamed.
    #[must_use]
    pub fn path_of(&self, path: &PortablePath) -> PathBuf {
        self.folder.join(path.as_str())
    }

    /// Makes a new file, and the folders above it; never opens one that exists.
    ///
    /// # Errors
    /// Gives the path when it exists or cannot be made.
    pub fn create(&self, path: &PortablePath) -> Result<StagedFile, StoreError> {
        let full = self.path_of(path);
        let parent = parent_of(&full);
        std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
        let file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&full)
            .while_doing("write", &full)?;
        Ok(StagedFile {
            file,
            path: full,
            written: 0,
            asked: 0,
        })
    }

    /// Writes a whole file.
    ///
    /// # Errors
    /// Gives the path when it exists or cannot be written.
    pub fn write(&self, path: &PortablePath, bytes: &[u8]) -> Result<(), StoreError> {
        let mut staged = self.create(path)?;
        staged.write_all(bytes).while_doing("write", &staged.path)?;
        staged.finish()
    }

    /// Takes a file out of the staging folder again.
    ///
    /// # Errors
    /// Gives the path when it cannot be removed.
    pub fn remove(&self, path: &PortablePath) -> Result<(), StoreError> {
        let full = self.path_of(path);
        std::fs::remove_file(&full).while_doing("remove", &full)
    }

    /// Makes a folder that stays empty.
    ///
    /// # Errors
    /// Gives the path when it cannot be made.
    pub fn make_folder(&self, path: &PortablePath) -> Result<(), StoreError> {
        let full = self.path_of(path);
        std::fs::create_dir_all(&full).while_doing("make the folder", &full)
    }

    /// Forces all folders to the disk and moves the whole into place by one rename that never replaces anything.
    ///
    /// # Errors
    /// Gives the target when it appeared meanwhile or the system refuses; the staging folder is then removed.
    pub fn commit(mut self) -> Result<PathBuf, StoreError> {
        sync_folders(&self.folder)?;
        rename_new(&self.folder, &self.target)?;
        self.committed = true;
        sync_folder(&parent_of(&self.target))?;
        Ok(self.target.clone())
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        if !self.committed {
            // Nothing more can be done when this fails; the next run names the folder that was left.
            let _ = std::fs::remove_dir_all(&self.folder);
        }
    }
}

impl StagedFile {
    /// Returns where the file is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
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

    /// Forces the file to the disk.
    ///
    /// # Errors
    /// Gives the path when the disk is full or fails.
    pub fn finish(self) -> Result<(), StoreError> {
        self.file.sync_data().while_doing("write", &self.path)
    }

    fn begin_write_back(&mut self) {
        let due = self.written.saturating_sub(self.asked) >= WRITE_BACK_STEP;
        if due {
            write_back(&self.file, self.asked, self.written);
            self.asked = self.written;
        }
    }
}

impl Write for StagedFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = self.file.write(bytes)?;
        self.written = self
            .written
            .saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
        self.begin_write_back();
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

/// Asks the system to begin writing back without waiting. A refusal does not matter: the file is forced at the end.
#[cfg(target_os = "linux")]
pub(super) fn write_back(file: &File, from: u64, to: u64) {
    let length = std::num::NonZeroU64::new(to.saturating_sub(from));
    let _ = rustix::fs::fadvise(file, from, length, rustix::fs::Advice::DontNeed);
}

#[cfg(not(target_os = "linux"))]
pub(super) fn write_back(_file: &File, _from: u64, _to: u64) {}

/// Writes one whole file under its final name: beside it first, then one rename that never replaces anything.
///
/// # Errors
/// Refuses an existing target; gives the path when the disk is full or fails.
pub fn write_new(target: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    if exists(target) {
        return Err(StoreError::TargetExists {
            path: target.to_owned(),
        });
    }
    let staged = stage_beside(target, bytes)?;
    staged
        .persist_noclobber(target)
        .map_err(|error| error.error)
        .while_doing("write", target)?;
    sync_folder(&parent_of(target))
}

/// Replaces one file of kithbag's own by one rename, so that a reader sees the old or the new one and never half of it.
///
/// # Errors
/// Gives the path when the disk is full or fails; the old file is then still there.
pub fn replace(target: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let staged = stage_beside(target, bytes)?;
    staged
        .persist(target)
        .map_err(|error| error.error)
        .while_doing("write", target)?;
    sync_folder(&parent_of(target))
}

/// Moves a file to a new name beside it; never replaces anything.
///
/// # Errors
/// Gives the new path when something stands there or the system refuses.
pub fn move_aside(from: &Path, to: &Path) -> Result<(), StoreError> {
    rename_new(from, to)?;
    sync_folder(&parent_of(to))
}

fn stage_beside(target: &Path, bytes: &[u8]) -> Result<tempfile::NamedTempFile, StoreError> {
    let parent = parent_of(target);
    std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
    let mut staged = tempfile::Builder::new()
        .prefix(".kithbag-")
        .tempfile_in(&parent)
        .while_doing("write", target)?;
    staged.write_all(bytes).while_doing("write", target)?;
    open_to_others(staged.as_file()).while_doing("write", target)?;
    staged.as_file().sync_data().while_doing("write", target)?;
    Ok(staged)
}

/// Temporary files are made readable by their owner alone; a catalogue is an ordinary file.
#[cfg(unix)]
fn open_to_others(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn open_to_others(_file: &File) -> io::Result<()> {
    Ok(())
}

/// Returns the name of the staging folder of a target.
#[must_use]
pub fn staging_name(target: &Path) -> PathBuf {
    let name = target.file_name().map_or_else(
        || "package".to_owned(),
        |name| name.to_string_lossy().into_owned(),
    );
    parent_of(target).join(format!(".{name}.partial"))
}

pub(super) fn parent_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}

#[cfg(target_os = "linux")]
pub(super) fn rename_new(from: &Path, to: &Path) -> Result<(), StoreError> {
    use rustix::fs::CWD;
    use rustix::fs::RenameFlags;
    match rustix::fs::renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE) {
        Ok(()) => Ok(()),
        Err(rustix::io::Errno::EXIST) => Err(StoreError::TargetExists {
            path: to.to_owned(),
        }),
        // Some file systems cannot promise it; look first and rename then.
        Err(rustix::io::Errno::INVAL | rustix::io::Errno::NOSYS) => rename_after_looking(from, to),
        Err(error) => Err(error).while_doing("rename to", to),
    }
}

#[cfg(not(target_os = "linux"))]
pub(super) fn rename_new(from: &Path, to: &Path) -> Result<(), StoreError> {
    rename_after_looking(from, to)
}

fn rename_after_looking(from: &Path, to: &Path) -> Result<(), StoreError> {
    if exists(to) {
        return Err(StoreError::TargetExists {
            path: to.to_owned(),
        });
    }
    std::fs::rename(from, to).while_doing("rename to", to)
}

fn sync_folders(root: &Path) -> Result<(), StoreError> {
    for entry in walkdir::WalkDir::new(root).contents_first(true) {
        let entry = entry.map_err(io::Error::from).while_doing("write", root)?;
        if entry.file_type().is_dir() {
            sync_folder(entry.path())?;
        }
    }
    Ok(())
}

/// Forces a folder's list of names to the disk. Systems that cannot open a folder keep it safe in their own way.
pub(super) fn sync_folder(folder: &Path) -> Result<(), StoreError> {
    if cfg!(unix) {
        File::open(folder)
            .and_then(|handle| handle.sync_all())
            .while_doing("write", folder)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn portable(text: &str) -> PortablePath {
        PortablePath::new(text).unwrap()
    }

    #[test]
    fn nothing_is_there_until_the_commit() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("package");
        let staging = Staging::beside(&target).unwrap();
        staging.write(&portable("data/a.txt"), b"hello").unwrap();
        assert!(!target.exists());
        staging.commit().unwrap();
        assert_eq!(std::fs::read(target.join("data/a.txt")).unwrap(), b"hello");
        assert_eq!(std::fs::read_dir(parent.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_dropped_staging_folder_leaves_nothing() {
        let parent = tempfile::tempdir().unwrap();
        let staging = Staging::beside(&parent.path().join("package")).unwrap();
        staging.write(&portable("a"), b"1").unwrap();
        drop(staging);
        assert_eq!(std::fs::read_dir(parent.path()).unwrap().count(), 0);
    }

    #[test]
    fn an_existing_target_is_refused_before_and_after() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("package");
        let staging = Staging::beside(&target).unwrap();
        std::fs::create_dir(&target).unwrap();
        assert!(matches!(
            staging.commit(),
            Err(StoreError::TargetExists { .. })
        ));
        assert!(matches!(
            Staging::beside(&target),
            Err(StoreError::TargetExists { .. })
        ));
    }

    #[test]
    fn two_runs_at_once_refuse_each_other() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("package");
        let first = Staging::beside(&target).unwrap();
        assert!(matches!(
            Staging::beside(&target),
            Err(StoreError::InProgress { .. })
        ));
        drop(first);
    }

    #[test]
    fn a_file_is_never_opened_twice() {
        let parent = tempfile::tempdir().unwrap();
        let staging = Staging::beside(&parent.path().join("package")).unwrap();
        staging.write(&portable("a"), b"1").unwrap();
        assert!(staging.write(&portable("a"), b"2").is_err());
    }

    #[test]
    fn write_new_never_replaces_and_replace_does() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("catalogue.csv");
        write_new(&target, b"one").unwrap();
        assert!(write_new(&target, b"two").is_err());
        replace(&target, b"three").unwrap();
        assert_eq!(std::fs::read(&target).unwrap(), b"three");
    }
}
