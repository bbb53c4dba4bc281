//! Audit: checks packages, folders of scans and single scans, and says of every file what became of it.
//!
//! Two levels: the file, by the manifests of its package; and the picture in it, by the digest that the package's record or the scan
//! itself carries. Nothing is called sound whose bytes were not read, and nothing is ever written.

mod bag;
pub mod compare;
mod findings;
mod known;
mod lists;
mod picture;
mod reading;
pub mod report;
mod structure;
mod summary;
mod tag_files;
mod words;

pub use compare::Comparison;
pub use compare::compare;
pub use report::AuditReport;
pub use report::FileFinding;
pub use words::size;

use crate::format::bagit::profile::Profile;
use crate::progress::Progress;
use crate::store;
use crate::store::StoreError;
use std::path::Path;

/// How an audit is done.
#[derive(Debug, Clone, Copy)]
pub struct AuditOptions<'a> {
    /// Look at names and sizes only; the report says so.
    pub quick: bool,
    /// Threads that read at once.
    pub threads: usize,
    /// Tell of every file, not only of those that are not plainly unchanged.
    pub every_file: bool,
    /// A profile that a bag has to meet.
    pub profile: Option<&'a Profile>,
}

impl Default for AuditOptions<'_> {
    fn default() -> Self {
        Self {
            quick: false,
            threads: 1,
            every_file: false,
            profile: None,
        }
    }
}

/// Why an audit could not be done. Damage is no error: it is in the report.
#[derive(Debug, thiserror::Error)]
pub enum AuditError {
    /// The disk refused.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Audits one package.
///
/// # Errors
/// Gives the disk's error when the package cannot be listed at all.
pub fn audit(
    path: &Path,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> Result<AuditReport, AuditError> {
    let holding = store::holding::open(path)?;
    Ok(bag::check(&*holding, options, None, progress).report)
}
