//! Forcing what was written to the disk: all at once where the file system can be relied on for it, else each file by itself.
//!
//! Forcing a file waits for the disk, so forcing each of twenty thousand small files waits twenty thousand times, and a thread that
//! waits works out no checksums. A file system that is asked to force everything waits once. But not every file system passes that on to its disk: those that programs serve (FUSE),
//! those of networks, and FAT leave it at their own memory. There every file is forced by itself, and every folder.

use super::error::DiskErrors;
use super::error::StoreError;
use std::fs::File;
use std::path::Path;

/// How a staging folder is forced to the disk.
#[derive(Debug)]
pub(super) struct Forcing {
    /// The folder, opened before anything is written in it: the system tells of failures since then.
    folder: Option<File>,
    at_once: bool,
}

impl Forcing {
    /// Looks at the file system that a folder lies on.
    pub(super) fn of(folder: Option<File>) -> Self {
        Self {
            at_once: folder.as_ref().is_some_and(forces_all),
            folder,
        }
    }

    /// Tells whether files may wait until everything is forced.
    pub(super) const fn at_once(&self) -> bool {
        self.at_once
    }

    /// Forces everything that was written until now, files and folders. Tells whether it could: if not, files were forced one by
    /// one, and folders are left to do.
    pub(super) fn all(&self, at: &Path) -> Result<bool, StoreError> {
        match &self.folder {
            Some(folder) if self.at_once => {
                force_all(folder).while_doing("write", at)?;
                Ok(true)
            }
            _ => Ok(false),
        }
    }
}

/// File systems that end the forcing of all they hold with an order to the disk to write what is in its own memory (in Linux:
/// `ext4_sync_fs`, `xfs_fs_sync_fs`, `btrfs_sync_fs`), or that have no disk. Any other counts as not to be relied on. [statfs(2)]
#[cfg(target_os = "linux")]
const RELIABLE: [i128; 4] = [
    0x0000_EF53, // ext2, ext3, ext4
    0x5846_5342, // XFS
    0x9123_683E, // btrfs
    MEMORY,
];

/// The file system that lies in memory. [statfs(2), `TMPFS_MAGIC`]
#[cfg(target_os = "linux")]
pub(super) const MEMORY: i128 = 0x0102_1994;

#[cfg(target_os = "linux")]
fn forces_all(folder: &File) -> bool {
    rustix::fs::fstatfs(folder).is_ok_and(|found| {
        let kind = i128::from(found.f_type) & 0xFFFF_FFFF;
        RELIABLE.contains(&kind)
    })
}

#[cfg(target_os = "linux")]
fn force_all(folder: &File) -> std::io::Result<()> {
    Ok(rustix::fs::syncfs(folder)?)
}

#[cfg(not(target_os = "linux"))]
fn forces_all(_folder: &File) -> bool {
    false
}

#[cfg(not(target_os = "linux"))]
fn force_all(folder: &File) -> std::io::Result<()> {
    folder.sync_all()
}
