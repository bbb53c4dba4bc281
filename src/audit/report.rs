//! What an audit found, as a value: for the screen, for `--json` and for the ledger.

use crate::concern::ConcernList;
use crate::concern::Severity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::Oxum;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What was audited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A package (a bag) that is a folder.
    PackageFolder,
    /// A package (a bag) that is a zip file.
    PackageZip,
    /// A folder of described copies, or of any scans.
    Scans,
    /// One scan.
    Scan,
}

/// What an audit found in one package, folder or scan.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AuditReport {
    /// Where it is.
    pub location: String,
    /// The name of the package or file.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// What it comes to.
    pub outcome: Outcome,
    /// One line in plain words.
    pub verdict: String,
    /// Whether only names and sizes were looked at.
    pub quick: bool,
    /// Whether the bag is complete as RFC 8493 section 3 has it; absent for what is no bag.
    pub complete: Option<bool>,
    /// Whether the bag is valid as RFC 8493 section 3 has it; absent when that was not or could not be found out.
    pub valid: Option<bool>,
    /// What was read and seen.
    pub seen: Seen,
    /// What the bag says of itself; absent for what is no bag.
    pub bag: Option<BagFacts>,
    /// The files that are not plainly unchanged, in the order of their paths; every file when that was asked for.
    pub files: Vec<FileFinding>,
    /// How many files have each verdict.
    pub counts: BTreeMap<FileVerdict, u64>,
    /// Broken rules (stop) and other things noticed.
    pub concerns: ConcernList,
}

/// How much was looked at.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Seen {
    /// Files that are there.
    pub files: u64,
    /// Files that were read from the first byte to the last.
    pub files_read: u64,
    /// Bytes that were read.
    pub bytes_read: u64,
}

/// What a bag says of itself.
#[derive(Debug, Clone, Default, Serialize, JsonSchema)]
pub struct BagFacts {
    /// The version of BagIt that it declares.
    pub version: String,
    /// What `bag-info.txt` states, in its order.
    pub info: Vec<(String, String)>,
    /// Its manifests.
    pub manifests: Vec<ManifestFacts>,
    /// How much the payload is stated to hold.
    pub stated_payload: Option<Oxum>,
    /// How much the payload holds, as far as it was measured.
    pub payload: Oxum,
}

/// One manifest.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ManifestFacts {
    /// Its name.
    pub file: String,
    /// Its algorithm; absent when it is not known here.
    pub algorithm: Option<Algorithm>,
    /// How many files it lists.
    pub lists: u64,
    /// The checksum of the manifest file itself, by its own algorithm: what a receipt shows.
    pub digest: Option<Digest>,
}

/// What became of one file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FileFinding {
    /// Its path in the package.
    pub path: String,
    /// What became of it.
    pub verdict: FileVerdict,
    /// The number of the portrait that it shows.
    pub portrait: Option<String>,
    /// The view that it shows.
    pub view: Option<String>,
    /// Where the same contents are now, when it was renamed.
    pub now_at: Option<String>,
    /// What was seen, in plain words.
    pub detail: Option<String>,
}

impl FileFinding {
    /// Returns a finding about a file of which no more is known.
    #[must_use]
    pub fn new(path: impl Into<String>, verdict: FileVerdict) -> Self {
        Self {
            path: path.into(),
            verdict,
            portrait: None,
            view: None,
            now_at: None,
            detail: None,
        }
    }

    /// Returns the file with the portrait and view that it shows, for people.
    #[must_use]
    pub fn in_words(&self) -> String {
        match (&self.portrait, &self.view) {
            (Some(portrait), Some(view)) => format!("{} ({portrait}, {view})", self.path),
            (Some(portrait), None) => format!("{} ({portrait})", self.path),
            _ => self.path.clone(),
        }
    }
}

impl AuditReport {
    /// Tells whether nothing wrong was found: the program then ends with 0, else with 1.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.outcome.is_good() && !self.concerns.has_stop()
    }

    /// Returns how many files have a verdict.
    #[must_use]
    pub fn count(&self, verdict: FileVerdict) -> u64 {
        self.counts.get(&verdict).copied().unwrap_or_default()
    }

    /// Returns the findings, worst first; equal ones in the order of their paths.
    #[must_use]
    pub fn worst_first(&self) -> Vec<&FileFinding> {
        let mut sorted: Vec<&FileFinding> = self.files.iter().collect();
        sorted.sort_by(|a, b| b.verdict.cmp(&a.verdict).then(a.path.cmp(&b.path)));
        sorted
    }

    /// Tells whether there is anything that a person should hear besides the verdict.
    #[must_use]
    pub fn has_warnings(&self) -> bool {
        self.concerns.count(Severity::Warning) > 0
    }
}

/// Counts findings that stand for single files.
pub(super) fn count(
    findings: &[FileFinding],
    already: BTreeMap<FileVerdict, u64>,
) -> BTreeMap<FileVerdict, u64> {
    findings.iter().fold(already, |mut counts, finding| {
        let count = counts.entry(finding.verdict).or_default();
        *count = count.saturating_add(1);
        counts
    })
}

/// Returns a count as the report has it.
pub(super) fn number(count: usize) -> u64 {
    u64::try_from(count).unwrap_or(u64::MAX)
}
