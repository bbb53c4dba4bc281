//! Writing one file: beside its target first, forced to the disk, then one rename.

use super::error::DiskErrors;
use super::error::StoreError;
use super::source::exists;
use super::staging::parent_of;
use super::staging::rename_new;
use super::staging::sync_folder;
use std::fs::File;
use std::io;
use std::io::Write;
use std::path::Path;

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

#[cfg(test)]
mod tests {
    use super::*;

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
