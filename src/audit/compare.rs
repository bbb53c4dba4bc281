//! Comparing two copies of one package: which files are the same, which differ, and which copy of each is the good one.

use super::AuditError;
use super::AuditOptions;
use super::bag;
use super::bag::Checked;
use super::report::AuditReport;
use super::words;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::progress::Progress;
use crate::store;
use crate::store::Holding;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;

/// The checksum by which copies are compared, whatever their manifests have.
const BY: Algorithm = Algorithm::Sha256;

/// Which copy of a file is as its package says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Good {
    /// The first.
    First,
    /// The second.
    Second,
    /// Both, each by its own manifests: these are two different packages.
    Both,
    /// Neither, or nothing tells.
    Neither,
}

/// One file that is not the same in both copies.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Difference {
    /// Its path.
    pub path: String,
    /// Which copy is good.
    pub good: Good,
    /// What differs, in plain words.
    pub what: String,
}

/// What comparing two copies showed.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Comparison {
    /// The audit of the first copy.
    pub first: AuditReport,
    /// The audit of the second copy.
    pub second: AuditReport,
    /// Files that are the same, byte for byte.
    pub same: u64,
    /// Files that are not, in the order of their paths.
    pub differences: Vec<Difference>,
    /// One line in plain words.
    pub verdict: String,
}

impl Comparison {
    /// Tells whether both copies are the same and sound.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.differences.is_empty() && self.first.is_sound() && self.second.is_sound()
    }
}

/// Reads two copies in full and compares them.
///
/// # Errors
/// Gives the disk's error when one of them cannot be listed at all.
pub fn compare(
    first: &Path,
    second: &Path,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> Result<Comparison, AuditError> {
    let options = AuditOptions {
        quick: false,
        ..*options
    };
    let copy = |path: &Path| -> Result<Copy, AuditError> {
        let holding = store::holding::open(path)?;
        let checked = bag::check(&*holding, &options, Some(&[BY]), progress);
        Ok(Copy { holding, checked })
    };
    let first = copy(first)?;
    let second = copy(second)?;
    let paths: BTreeSet<&str> = first.paths().chain(second.paths()).collect();
    let mut same = 0_u64;
    let mut differences = Vec::new();
    for path in paths {
        match difference(path, &first, &second) {
            None => same = same.saturating_add(1),
            Some((good, what)) => differences.push(Difference {
                path: path.to_owned(),
                good,
                what,
            }),
        }
    }
    let verdict = verdict(same, &differences, &first, &second);
    Ok(Comparison {
        first: first.checked.report,
        second: second.checked.report,
        same,
        differences,
        verdict,
    })
}

struct Copy {
    holding: Box<dyn Holding>,
    checked: Checked,
}

/// One copy of a file.
enum One<'a> {
    Missing,
    Unreadable,
    Read { digest: &'a Digest, vouched: bool },
}

impl Copy {
    fn paths(&self) -> impl Iterator<Item = &str> {
        self.holding.entries().iter().map(|entry| &*entry.path)
    }

    fn one(&self, path: &str) -> One<'_> {
        let state = self
            .holding
            .position(path)
            .and_then(|position| self.checked.files.get(position));
        let Some(state) = state else {
            return One::Missing;
        };
        match state
            .digests()
            .iter()
            .find(|digest| digest.algorithm() == BY)
        {
            Some(digest) => One::Read {
                digest,
                vouched: state.is_vouched(),
            },
            None => One::Unreadable,
        }
    }
}

fn difference(path: &str, first: &Copy, second: &Copy) -> Option<(Good, String)> {
    use One::Missing;
    use One::Read;
    use One::Unreadable;
    let (good, what) = match (first.one(path), second.one(path)) {
        (Read { digest: a, .. }, Read { digest: b, .. }) if a == b => return None,
        (Missing, Missing) => return None,
        (Read { vouched: a, .. }, Read { vouched: b, .. }) => by_vouching(a, b),
        (Read { vouched, .. }, Missing) => (first_if(vouched), "only in the first copy"),
        (Missing, Read { vouched, .. }) => (second_if(vouched), "only in the second copy"),
        (Read { vouched, .. }, Unreadable) => (first_if(vouched), "unreadable in the second copy"),
        (Unreadable, Read { vouched, .. }) => (second_if(vouched), "unreadable in the first copy"),
        (Unreadable | Missing, Unreadable | Missing) => {
            (Good::Neither, "unreadable or missing in both copies")
        }
    };
    Some((good, what.to_owned()))
}

const fn by_vouching(first: bool, second: bool) -> (Good, &'static str) {
    match (first, second) {
        (true, false) => (Good::First, "they differ; the first is as its package says"),
        (false, true) => (
            Good::Second,
            "they differ; the second is as its package says",
        ),
        (true, true) => (
            Good::Both,
            "they differ, and each is as its own package says: these are two different packages",
        ),
        (false, false) => (
            Good::Neither,
            "they differ, and no manifest vouches for either",
        ),
    }
}

const fn first_if(vouched: bool) -> Good {
    if vouched { Good::First } else { Good::Neither }
}

const fn second_if(vouched: bool) -> Good {
    if vouched { Good::Second } else { Good::Neither }
}

fn verdict(same: u64, differences: &[Difference], first: &Copy, second: &Copy) -> String {
    let read = first
        .checked
        .report
        .seen
        .bytes_read
        .saturating_add(second.checked.report.seen.bytes_read);
    let read = format!("Read in full: both copies, {}.", words::size(read));
    let files = counted(same, "file", "files");
    if differences.is_empty() {
        return format!("Both copies are the same, byte for byte: {files}. {read}");
    }
    let count = |good: Good| differences.iter().filter(|one| one.good == good).count();
    let parts: Vec<String> = [
        (Good::First, "good in the first copy"),
        (Good::Second, "good in the second copy"),
        (Good::Both, "from two different packages"),
        (Good::Neither, "not vouched for in either"),
    ]
    .into_iter()
    .filter(|(good, _)| count(*good) > 0)
    .map(|(good, words)| format!("{} {words}", count(good)))
    .collect();
    format!(
        "The copies differ in {}: {}. The same: {files}. {read}",
        counted(super::report::number(differences.len()), "file", "files"),
        parts.join(", ")
    )
}
