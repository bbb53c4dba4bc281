//! Writing: a folder beside the target, every file forced to the disk, one rename at the end. Until that rename the target does
//! not exist; after it, the target is whole.

use super::error::DiskErrors;
use super::error::StoreError;
use super::forcing::Forcing;
pub use super::single_file::move_aside;
pub use super::single_file::replace;
pub use super::single_file::write_new;
use super::source::exists;
pub use super::staged_file::StagedFile;
use crate::portable_path::PortablePath;
use std::collections::BTreeSet;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::PoisonError;

/// The rights that a new file is asked for; what the system keeps back it takes off. [umask(2)]
const NEW_FILE: u32 = 0o666;

/// A folder that is being written beside its target. Dropped without [`Staging::commit`], it removes itself.
#[derive(Debug)]
#[must_use = "a staging folder that is dropped leaves nothing behind"]
pub struct Staging {
    folder: PathBuf,
    target: PathBuf,
    committed: bool,
    /// Holds the folder, locked, while this run is at work, so that no other takes it for a left-over one.
    forcing: Forcing,
    /// The rights that new files in the folder may have: those that the folder itself got when it was made for all.
    granted: u32,
    /// What this run has written, when it goes on in a folder that an earlier one left.
    taken_up: Option<Mutex<BTreeSet<PathBuf>>>,
}

impl Staging {
    /// Makes the staging folder `.NAME.partial` beside `target`.
    ///
    /// # Errors
    /// Refuses an existing target, and a staging folder that is there already: left by a run that was cut off, or being written
    /// by another run.
    pub fn beside(target: &Path) -> Result<Self, StoreError> {
        let folder = ready_for(target)?;
        match std::fs::create_dir(&folder) {
            Ok(()) => Self::locked(folder, target, None),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                Err(StoreError::InProgress { path: folder })
            }
            Err(error) => Err(error).while_doing("make the folder", &folder),
        }
    }

    /// Goes on in the staging folder that a run left which was cut off; makes it when there is none. Nothing in it is trusted:
    /// each file is compared while it is written again, and what is not written again is taken out before the commit.
    ///
    /// # Errors
    /// Refuses an existing target, and a folder in which another run is at work.
    pub fn taken_up(target: &Path) -> Result<Self, StoreError> {
        let folder = ready_for(target)?;
        match std::fs::create_dir(&folder) {
            Ok(()) => Self::locked(folder, target, None),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
                Self::locked(folder, target, Some(Mutex::default()))
            }
            Err(error) => Err(error).while_doing("make the folder", &folder),
        }
    }

    fn locked(
        folder: PathBuf,
        target: &Path,
        taken_up: Option<Mutex<BTreeSet<PathBuf>>>,
    ) -> Result<Self, StoreError> {
        let held = held(&folder).inspect_err(|error| {
            // What was just made and cannot be opened holds nothing; another run's folder is its own.
            if taken_up.is_none() && !matches!(error, StoreError::InProgress { .. }) {
                let _ = std::fs::remove_dir(&folder);
            }
        })?;
        // Whoever left a folder may have changed its rights since.
        let new = held.as_ref().filter(|_| taken_up.is_none());
        Ok(Self {
            granted: new.map_or(0, rights_of),
            forcing: Forcing::of(held),
            folder,
            target: target.to_owned(),
            committed: false,
            taken_up,
        })
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
        self.create_as(path, 0)
    }

    /// Does the same, and gives the file the reading and writing rights of an original, as the system's bits; 0 leaves them alone.
    ///
    /// # Errors
    /// Gives the path when it exists, cannot be made, or the system refuses the rights.
    pub fn create_as(&self, path: &PortablePath, mode: u32) -> Result<StagedFile, StoreError> {
        let full = self.path_of(path);
        let wanted = mode & 0o777;
        let is_granted = mode != 0 && wanted & !self.granted == 0;
        let file = self.open(&full, if is_granted { wanted } else { NEW_FILE })?;
        if !is_granted {
            file.set_mode(mode)?;
        }
        Ok(file.waiting(self.forcing.at_once()))
    }

    fn open(&self, full: &Path, mode: u32) -> Result<StagedFile, StoreError> {
        if self.note_new(full) && exists(full) {
            match StagedFile::take_up(full.to_owned()) {
                // A copy of a protected original is protected too: it cannot be compared, and is made again.
                Err(refused) if refused.is_permission() => {
                    std::fs::remove_file(full).while_doing("remove", full)?;
                }
                taken_up => return taken_up,
            }
        }
        match StagedFile::create(full.to_owned(), mode) {
            // Looking for the folder before each file would cost more than small files do.
            Err(StoreError::Disk { source, .. }) if source.kind() == io::ErrorKind::NotFound => {
                let parent = parent_of(full);
                std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
                StagedFile::create(full.to_owned(), mode)
            }
            created => created,
        }
    }

    /// Notes that this run writes a path. Tells whether something there may be from an earlier run.
    fn note_new(&self, full: &Path) -> bool {
        self.taken_up.as_ref().is_some_and(|written| {
            let mut written = written.lock().unwrap_or_else(PoisonError::into_inner);
            written.insert(full.to_owned())
        })
    }

    /// Writes a whole file.
    ///
    /// # Errors
    /// Gives the path when it exists or cannot be written.
    pub fn write(&self, path: &PortablePath, bytes: &[u8]) -> Result<(), StoreError> {
        let mut staged = self.create(path)?;
        let full = self.path_of(path);
        staged.write_all(bytes).while_doing("write", &full)?;
        staged.finish()
    }

    /// Makes way for a file that is written by other means, and returns its place: what an earlier run left there is taken out.
    ///
    /// # Errors
    /// Gives the path when it cannot be removed.
    pub fn make_way(&self, path: &PortablePath) -> Result<PathBuf, StoreError> {
        let full = self.path_of(path);
        if self.note_new(&full) {
            for left in [full.clone(), staging_name(&full)] {
                if exists(&left) {
                    std::fs::remove_file(&left).while_doing("remove", &left)?;
                }
            }
        }
        Ok(full)
    }

    /// Takes a file out of the staging folder again.
    ///
    /// # Errors
    /// Gives the path when it cannot be removed.
    pub fn remove(&self, path: &PortablePath) -> Result<(), StoreError> {
        let full = self.path_of(path);
        std::fs::remove_file(&full).while_doing("remove", &full)
    }

    /// Moves a file within the staging folder, and makes the folders above its new place.
    ///
    /// # Errors
    /// Gives the new path when something stands there or the system refuses.
    pub fn move_file(&self, from: &PortablePath, to: &PortablePath) -> Result<(), StoreError> {
        let target = self.path_of(to);
        let parent = parent_of(&target);
        std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
        rename_new(&self.path_of(from), &target)?;
        self.note_new(&target);
        Ok(())
    }

    /// Notes a file that is written into the folder by other means, so that it is not taken for one that an earlier run left.
    pub fn expect(&self, full: &Path) {
        self.note_new(full);
    }

    /// When an earlier run's folder was taken up, takes out what lies at its top, but for one folder at most.
    ///
    /// # Errors
    /// Gives the path when something cannot be removed.
    pub fn take_out_all_but(&self, kept: Option<&str>) -> Result<(), StoreError> {
        if self.taken_up.is_none() {
            return Ok(());
        }
        for entry in std::fs::read_dir(&self.folder).while_doing("list", &self.folder)? {
            let at = entry.while_doing("list", &self.folder)?.path();
            if kept.is_some_and(|kept| at.ends_with(kept)) {
                continue;
            }
            let removed = if at.is_dir() {
                std::fs::remove_dir_all(&at)
            } else {
                std::fs::remove_file(&at)
            };
            removed.while_doing("remove", &at)?;
        }
        Ok(())
    }

    /// Takes a folder with everything in it out of the staging folder again.
    ///
    /// # Errors
    /// Gives the path when it cannot be removed.
    pub fn remove_folder(&self, path: &PortablePath) -> Result<(), StoreError> {
        let full = self.path_of(path);
        std::fs::remove_dir_all(&full).while_doing("remove", &full)
    }

    /// Makes a folder that stays empty.
    ///
    /// # Errors
    /// Gives the path when it cannot be made.
    pub fn make_folder(&self, path: &PortablePath) -> Result<(), StoreError> {
        let full = self.path_of(path);
        self.note_new(&full);
        std::fs::create_dir_all(&full).while_doing("make the folder", &full)
    }

    /// Forces every file that was written until now to the disk, so that reading it again can read the disk.
    ///
    /// # Errors
    /// Gives the staging folder when the disk is full or fails.
    pub fn force(&self) -> Result<(), StoreError> {
        self.forcing.all(&self.folder).map(|_| ())
    }

    /// Forces everything to the disk and moves the whole into place by one rename that never replaces anything.
    ///
    /// # Errors
    /// Gives the target when it appeared meanwhile or the system refuses; the staging folder is then removed.
    pub fn commit(mut self) -> Result<PathBuf, StoreError> {
        self.take_out_what_was_not_written()?;
        if !self.forcing.all(&self.folder)? {
            sync_folders(&self.folder)?;
        }
        rename_new(&self.folder, &self.target)?;
        self.committed = true;
        sync_folder(&parent_of(&self.target))?;
        Ok(self.target.clone())
    }

    /// Takes out what only the earlier run wrote: the collection may have changed since.
    fn take_out_what_was_not_written(&self) -> Result<(), StoreError> {
        let Some(written) = &self.taken_up else {
            return Ok(());
        };
        let written = written.lock().unwrap_or_else(PoisonError::into_inner);
        let walk = walkdir::WalkDir::new(&self.folder).min_depth(1);
        for entry in walk.contents_first(true) {
            let entry = entry
                .map_err(io::Error::from)
                .while_doing("read", &self.folder)?;
            let at = entry.path();
            if written.contains(at) {
                continue;
            }
            if entry.file_type().is_dir() {
                // Refused when something is in it, which is right.
                let _ = std::fs::remove_dir(at);
            } else {
                std::fs::remove_file(at).while_doing("remove", at)?;
            }
        }
        Ok(())
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

/// Returns the staging folder's name when nothing stands in the way of the target.
fn ready_for(target: &Path) -> Result<PathBuf, StoreError> {
    if exists(target) {
        return Err(StoreError::TargetExists {
            path: target.to_owned(),
        });
    }
    let parent = parent_of(target);
    std::fs::create_dir_all(&parent).while_doing("make the folder", &parent)?;
    Ok(staging_name(target))
}

/// Opens a staging folder, and locks it for this run where the disk has such locks. Nothing where the system opens no folders.
fn held(folder: &Path) -> Result<Option<File>, StoreError> {
    if !cfg!(unix) {
        return Ok(None);
    }
    let handle = File::open(folder).while_doing("read", folder)?;
    match handle.try_lock() {
        Ok(()) => Ok(Some(handle)),
        Err(std::fs::TryLockError::WouldBlock) => Err(StoreError::InProgress {
            path: folder.to_owned(),
        }),
        Err(std::fs::TryLockError::Error(_)) => Ok(Some(handle)),
    }
}

#[cfg(unix)]
fn rights_of(folder: &File) -> u32 {
    use std::os::unix::fs::MetadataExt;
    folder.metadata().map_or(0, |found| found.mode() & 0o777)
}

#[cfg(not(unix))]
fn rights_of(_folder: &File) -> u32 {
    0
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
    fn what_a_cut_off_run_left_is_taken_up_and_never_trusted() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("package");
        let left = parent.path().join(".package.partial/data");
        std::fs::create_dir_all(&left).unwrap();
        std::fs::write(left.join("half.txt"), b"hel").unwrap();
        std::fs::write(left.join("wrong.txt"), b"other").unwrap();
        std::fs::write(left.join("gone.txt"), b"no more").unwrap();
        assert!(matches!(
            Staging::beside(&target),
            Err(StoreError::InProgress { .. })
        ));
        let staging = Staging::taken_up(&target).unwrap();
        for name in ["data/half.txt", "data/wrong.txt", "data/new.txt"] {
            staging.write(&portable(name), b"hello").unwrap();
        }
        assert!(staging.write(&portable("data/new.txt"), b"again").is_err());
        staging.commit().unwrap();
        for name in ["half.txt", "wrong.txt", "new.txt"] {
            let found = std::fs::read(target.join("data").join(name)).unwrap();
            assert_eq!(found, b"hello", "{name}");
        }
        assert_eq!(std::fs::read_dir(target.join("data")).unwrap().count(), 3);
    }

    #[test]
    fn a_folder_in_which_a_run_is_at_work_is_not_taken_up() {
        let parent = tempfile::tempdir().unwrap();
        let target = parent.path().join("package");
        let first = Staging::beside(&target).unwrap();
        assert!(matches!(
            Staging::taken_up(&target),
            Err(StoreError::InProgress { .. })
        ));
        first.write(&portable("a"), b"1").unwrap();
        assert!(first.commit().is_ok());
    }

    #[cfg(unix)]
    #[test]
    fn a_copy_has_the_rights_of_the_original_whatever_new_files_get() {
        use std::os::unix::fs::PermissionsExt;
        let parent = tempfile::tempdir().unwrap();
        let staging = Staging::beside(&parent.path().join("package")).unwrap();
        for mode in [0o644, 0o600, 0o664, 0o666, 0o444, 0o777] {
            let name = portable(&format!("folder/{mode:o}"));
            let file = staging.create_as(&name, 0o100_000 | mode).unwrap();
            file.finish().unwrap();
            let made = std::fs::metadata(staging.path_of(&name)).unwrap();
            assert_eq!(made.permissions().mode() & 0o7777, mode);
        }
        staging.force().unwrap();
    }

    #[test]
    fn a_file_is_never_opened_twice() {
        let parent = tempfile::tempdir().unwrap();
        let staging = Staging::beside(&parent.path().join("package")).unwrap();
        staging.write(&portable("a"), b"1").unwrap();
        assert!(staging.write(&portable("a"), b"2").is_err());
    }
}
