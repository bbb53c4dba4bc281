//! Errors of the disk, each with the path and the act.

use std::io;
use std::path::Path;
use std::path::PathBuf;

/// Something that could not be done on the disk.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The system refused or failed.
    #[error("could not {act} {path}", path = path.display())]
    Disk {
        /// What was being done: "read", "write", "rename to" …
        act: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The target is there already; nothing is ever overwritten.
    #[error("the target {path} is there already", path = path.display())]
    TargetExists {
        /// The file or folder that stands in the way.
        path: PathBuf,
    },
    /// Another run is writing to the same target, or an earlier one was cut off.
    #[error("the unfinished {path} is left from a run that was cut off, or another run is still writing it", path = path.display())]
    InProgress {
        /// The staging folder.
        path: PathBuf,
    },
    /// A file is longer than kithbag will hold in memory.
    #[error("the file {path} has {length} bytes; at most {limit} can be read at once", path = path.display())]
    TooLong {
        /// The file.
        path: PathBuf,
        /// Its length in bytes.
        length: u64,
        /// The limit in bytes.
        limit: u64,
    },
    /// A file changed while it was being read.
    #[error("the file {path} changed while it was being read", path = path.display())]
    Changed {
        /// The file.
        path: PathBuf,
    },
}

impl StoreError {
    /// Returns the path concerned.
    #[must_use]
    pub fn path(&self) -> &Path {
        match self {
            Self::Disk { path, .. }
            | Self::TargetExists { path }
            | Self::InProgress { path }
            | Self::TooLong { path, .. }
            | Self::Changed { path } => path,
        }
    }

    /// Tells whether the disk is full.
    #[must_use]
    pub fn is_disk_full(&self) -> bool {
        let full = |kind| {
            matches!(
                kind,
                io::ErrorKind::StorageFull
                    | io::ErrorKind::QuotaExceeded
                    | io::ErrorKind::FileTooLarge
            )
        };
        matches!(self, Self::Disk { source, .. } if full(source.kind()))
    }

    /// Tells whether permission was refused.
    #[must_use]
    pub fn is_permission(&self) -> bool {
        matches!(self, Self::Disk { source, .. } if source.kind() == io::ErrorKind::PermissionDenied)
    }

    /// Tells whether the bytes themselves are at fault: cut short, or contradicting themselves.
    #[must_use]
    pub fn is_damage(&self) -> bool {
        let damaged = |kind| {
            matches!(
                kind,
                io::ErrorKind::InvalidData | io::ErrorKind::UnexpectedEof
            )
        };
        matches!(self, Self::Disk { source, .. } if damaged(source.kind()))
    }

    /// Tells whether the file or folder is not there.
    #[must_use]
    pub fn is_missing(&self) -> bool {
        matches!(self, Self::Disk { source, .. } if source.kind() == io::ErrorKind::NotFound)
    }
}

/// Puts the act and the path into a disk error where it happens.
pub trait DiskErrors<T> {
    /// Names what was being done and to which file or folder.
    ///
    /// # Errors
    /// Gives the system's error with the act and the path.
    fn while_doing(self, act: &'static str, path: &Path) -> Result<T, StoreError>;
}

impl<T> DiskErrors<T> for io::Result<T> {
    fn while_doing(self, act: &'static str, path: &Path) -> Result<T, StoreError> {
        self.map_err(|source| StoreError::Disk {
            act,
            path: path.to_owned(),
            source,
        })
    }
}

impl<T> DiskErrors<T> for rustix::io::Result<T> {
    fn while_doing(self, act: &'static str, path: &Path) -> Result<T, StoreError> {
        self.map_err(|errno| StoreError::Disk {
            act,
            path: path.to_owned(),
            source: errno.into(),
        })
    }
}
