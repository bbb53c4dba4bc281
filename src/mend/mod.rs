//! Mend: rebuilds a sound package from two or more damaged copies. Every file is taken from a copy in which it is as the manifests
//! say, under whatever name it has there; when one cannot be had, nothing is built and the missing files are named.

mod build;
mod plan;
mod stock;

use crate::audit::AuditReport;
use crate::audit::schemas::Schema;
use crate::counting::counted;
use crate::progress::Progress;
use crate::store::StoreError;
use plan::Plan;
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;
use std::path::PathBuf;
use stock::Stock;

/// What mending came to.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct MendReport {
    /// One line in plain words.
    pub verdict: String,
    /// The new package; absent when nothing was built.
    pub package: Option<String>,
    /// How many files came from each copy, in the order of the copies.
    pub taken: Vec<Taken>,
    /// Files that no copy has as they should be.
    pub cannot_be_had: Vec<CannotBeHad>,
    /// Files of the copies that no list vouches for and that were left out.
    pub left_out: Vec<String>,
    /// The audit of the new package, done before it got its name.
    pub audit: Option<AuditReport>,
}

/// How much came from one copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Taken {
    /// Where the copy is.
    pub copy: String,
    /// Files taken from it.
    pub files: u64,
}

/// A file that no copy has as it should be.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct CannotBeHad {
    /// Its path in the package.
    pub path: String,
    /// Why, in plain words.
    pub why: String,
}

/// Why mending could not be tried or finished.
#[derive(Debug, thiserror::Error)]
pub enum MendError {
    /// The disk refused.
    #[error("{0}")]
    Store(#[from] StoreError),
    /// No copy was named.
    #[error("no copy was named")]
    NoCopies,
    /// No copy has a manifest that could be read.
    #[error("none of the copies has a manifest, so nothing says how the files should be")]
    NoManifest,
    /// The copies are sound packages that contradict each other.
    #[error(
        "the copies are of different packages or editions: each can be rebuilt, and they differ in {path}"
    )]
    DifferentPackages {
        /// A file in which they differ.
        path: String,
    },
    /// What was built did not pass its own audit; it was removed again.
    #[error("the rebuilt package did not pass its audit and was removed again: {verdict}")]
    NotSound {
        /// The verdict of the audit.
        verdict: String,
    },
}

impl MendReport {
    /// Tells whether a package was built.
    #[must_use]
    pub const fn is_sound(&self) -> bool {
        self.package.is_some()
    }
}

/// Rebuilds a package from its copies (folders or zips) in a new folder below `into`. The copies are only read.
///
/// # Errors
/// Gives the disk's error, and says when the copies are of different packages or have no manifest at all.
pub fn mend(
    copies: &[PathBuf],
    into: &Path,
    threads: usize,
    progress: &dyn Progress,
) -> Result<MendReport, MendError> {
    let stock = Stock::take(copies, threads, progress)?;
    let plan = plan::choose(&stock)?;
    if !plan.cannot_be_had.is_empty() {
        return Ok(nothing_built(plan));
    }
    build::build(&stock, &plan, into, threads, progress)
}

fn nothing_built(plan: Plan) -> MendReport {
    let count = u64::try_from(plan.cannot_be_had.len()).unwrap_or(u64::MAX);
    let verdict = format!(
        "Nothing was built: {} in none of the copies as it should be. Look for another copy.",
        match count {
            1 => "one file is".to_owned(),
            more => format!("{} are", counted(more, "file", "files")),
        }
    );
    MendReport {
        verdict,
        package: None,
        taken: Vec::new(),
        cannot_be_had: plan.cannot_be_had,
        left_out: plan.left_out,
        audit: None,
    }
}

/// The published schema of what mending says: the name of its file in `schemas/`, its committed text, and what makes it anew.
pub const PUBLISHED_SCHEMA: Schema = (
    "mend-report.schema.json",
    include_str!("../../schemas/mend-report.schema.json"),
    || schemars::schema_for!(MendReport).to_value(),
);
