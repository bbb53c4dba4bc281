//! What inscribing is given and what it gives back.

use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::record::PortraitNumber;
use crate::record::View;
use crate::store::StoreError;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

/// How described copies are written.
#[derive(Debug, Clone)]
pub struct InscribeOptions {
    /// What comes before `portraits/` in every path: `data/` in a package, nothing elsewhere.
    pub prefix: String,
    /// The checksums that are worked out of every copy, SHA-256 among them.
    pub algorithms: Vec<Algorithm>,
    /// How many threads may work.
    pub threads: usize,
    /// Whether private facts are taken out of the copies: place, serial numbers, owner's name, maker's notes.
    pub drop_private: bool,
    /// The program and its version.
    pub tool: String,
}

/// One described copy, or the file beside a scan that cannot carry its record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct InscribedFile {
    /// The scan's file, as the record names it.
    pub scan: String,
    /// The portrait.
    pub portrait: PortraitNumber,
    /// The view.
    pub view: Option<View>,
    /// The name without folder and ending, for example `A-001-front`.
    pub name: String,
    /// Where the copy lies, from the top of what is written.
    pub path: String,
    /// Length of the copy in bytes.
    pub bytes: u64,
    /// SHA-256 of the original.
    pub source_sha256: Digest,
    /// Checksums of the copy, in the order asked for.
    pub digests: Vec<Digest>,
    /// The picture digest, the same for original and copy; none for a file beside the scan.
    pub picture_digest: Option<Digest>,
    /// The private facts that were taken out, in plain words.
    pub removed: Vec<String>,
    /// Whether this is a file beside the scan.
    pub sidecar: bool,
    /// Where the file said something else already, one sentence each.
    pub conflicts: Vec<String>,
}

/// All described copies of a collection, in the order of the record.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct InscribedSet {
    /// The files.
    pub files: Vec<InscribedFile>,
    /// What was noticed.
    pub concerns: ConcernList,
}

/// Why described copies could not be written. Refusals of single files are concerns, not errors.
#[derive(Debug, thiserror::Error)]
pub enum InscribeError {
    /// The disk refused.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// A copy was written, but reading it back gave something else: kithbag's own fault or the disk's.
    #[error("the described copy of {file} is not what it should be: {what}")]
    ReadBack {
        /// The scan's file.
        file: String,
        /// What differs.
        what: String,
    },
    /// The packet could not be composed: a fault of kithbag's own.
    #[error("the record of {file} could not be written as XMP: {what}")]
    Packet {
        /// The scan's file.
        file: String,
        /// What went wrong.
        what: String,
    },
    /// A file would get a name that cannot be used.
    #[error("the name “{name}” cannot be used: it {why}")]
    Name {
        /// The name.
        name: String,
        /// Why not.
        why: crate::portable_path::UnsafeName,
    },
}
