//! Why a package could not be made.

use crate::portable_path::UnsafeName;
use crate::store::StoreError;
use std::io;
use std::path::Path;

/// Why a package could not be made. Nothing is left under its final name.
#[derive(Debug, thiserror::Error)]
pub enum PackError {
    /// The disk refused.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// A file would get a name that is read differently elsewhere.
    #[error("the name “{name}” cannot be used in a package: it {why}")]
    Name {
        /// The name.
        name: String,
        /// Why not.
        why: UnsafeName,
    },
    /// What was read back from the disk is not what was written.
    #[error(
        "{path} was written, but something else was read back: expected {expected}, found {found}"
    )]
    ReadBack {
        /// The file in the package.
        path: String,
        /// The checksum of what was written.
        expected: String,
        /// The checksum of what was read.
        found: String,
    },
    /// The package cannot supersede the one that was named.
    #[error(transparent)]
    Edition(#[from] super::EditionError),
    /// What was decided about living people was decided for another audience: a fault of kithbag's own.
    #[error("the decisions about living people were made for another audience")]
    OtherAudience,
    /// A described copy could not be made for a reason of the disk.
    #[error("{0}")]
    Inscribe(#[from] crate::inscribe::InscribeError),
    /// The record could not be written as JSON: a fault of kithbag's own.
    #[error("{0}")]
    Record(#[from] crate::catalogue::json::JsonFault),
    /// The key did not sign.
    #[error("the key did not sign the package: {0}")]
    Key(#[from] crate::format::ssh_signature::KeyFault),
    /// A description could not be written as JSON: a fault of kithbag's own.
    #[error("a description could not be written as JSON")]
    Json(#[from] serde_json::Error),
}

impl PackError {
    pub(super) fn read(path: &Path, source: io::Error) -> Self {
        Self::Store(StoreError::Disk {
            act: "read",
            path: path.to_owned(),
            source,
        })
    }

    pub(super) fn write(path: &Path, source: io::Error) -> Self {
        Self::Store(StoreError::Disk {
            act: "write",
            path: path.to_owned(),
            source,
        })
    }
}
