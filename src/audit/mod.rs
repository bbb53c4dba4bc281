//! Audit: checks packages, folders of scans and single scans, and says of every file what became of it.
//!
//! Two levels: the file, by the manifests of its package; and the picture in it, by the digest that the package's record or the scan
//! itself carries. Nothing is called sound whose bytes were not read, and nothing is ever written.

pub(crate) mod bag;
pub mod compare;
mod findings;
mod known;
pub mod ledger;
pub(crate) mod lists;
mod picture;
pub(crate) mod reading;
pub mod report;
mod scans;
pub mod schemas;
mod signature;
mod structure;
mod summary;
pub(crate) mod tag_files;
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
use std::path::PathBuf;

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
    #[error("{0}")]
    Store(#[from] StoreError),
}

/// Audits one package (folder or zip), a folder of scans, or one scan.
///
/// # Errors
/// Gives the disk's error when it cannot be listed or opened at all. A zip that is damaged beyond opening is no error but damage,
/// and in the report.
pub fn audit(
    path: &Path,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> Result<AuditReport, AuditError> {
    if path.is_dir() {
        if !store::packages::is_bag(path)? {
            return scans::folder(path, options, progress);
        }
    } else if !store::holding::is_zip(path)? {
        return scans::single(path, options, progress);
    }
    match store::holding::open(path) {
        Ok(holding) => Ok(bag::check(&*holding, options, None, progress).report),
        Err(error) if error.is_damage() => Ok(summary::unreadable_zip(path, options, &error)),
        Err(error) => Err(error.into()),
    }
}

/// What became of one of several paths.
#[derive(Debug)]
pub struct Audited {
    /// The package.
    pub path: PathBuf,
    /// Its report, or why there is none.
    pub result: Result<AuditReport, AuditError>,
    /// Files beside the packages of the same place that belong to none and were not looked at; told with the first of them.
    pub not_looked_at: u64,
}

/// Audits every package at every path: a folder that holds packages stands for all of them. The first bad one stops nothing;
/// `heard` is told of each as soon as it is done.
pub fn audit_all(
    paths: &[PathBuf],
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
    mut heard: impl FnMut(&Audited),
) -> Vec<Audited> {
    let mut all = Vec::new();
    for place in paths {
        let found = store::packages::find(place);
        let mut not_looked_at = 0;
        let packages = match found {
            Ok(found) if found.packages.is_empty() => vec![place.clone()],
            Ok(found) => {
                not_looked_at = found.other_files;
                found.packages
            }
            // What cannot be listed cannot be audited either, and is told of there.
            Err(_) => vec![place.clone()],
        };
        for path in packages {
            let audited = Audited {
                result: audit(&path, options, progress),
                path,
                not_looked_at: std::mem::take(&mut not_looked_at),
            };
            heard(&audited);
            all.push(audited);
        }
    }
    all
}
