//! The ledger: one line of JSON for each package each time it is audited, so that the next audit can say what changed since, and
//! when the next one is due.

use super::report::AuditReport;
use crate::fixity::Digest;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use jiff::ToSpan;
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeMap;

/// Damaged files that a line names; of more, only the number is kept.
const NAMED: usize = 200;

/// One line of the ledger.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct LedgerLine {
    /// The day of the audit, year-month-day.
    pub on: String,
    /// The name of the package.
    pub package: String,
    /// What the package calls itself (External-Identifier), which stays when its folder is renamed.
    #[serde(default)]
    pub identifier: Option<String>,
    /// Where it was.
    pub location: String,
    /// What it came to.
    pub outcome: Outcome,
    /// Whether only names and sizes were looked at.
    #[serde(default)]
    pub quick: bool,
    /// Files that were read in full.
    pub files_read: u64,
    /// Bytes that were read.
    pub bytes_read: u64,
    /// The checksum of each manifest, by its own algorithm.
    #[serde(default)]
    pub manifests: BTreeMap<String, String>,
    /// Files that were not plainly unchanged, with what became of each.
    #[serde(default)]
    pub findings: BTreeMap<String, FileVerdict>,
    /// How many there were, which may be more than are named.
    #[serde(default)]
    pub findings_in_all: u64,
    /// The day on which the next audit is due; a quick look puts nothing off.
    pub next_check: String,
}

impl LedgerLine {
    /// Returns the line for a report of today; `before` is the last line of the same package.
    #[must_use]
    pub fn new(report: &AuditReport, today: Date, before: Option<&Self>) -> Self {
        let in_a_year = today.saturating_add(1.year()).to_string();
        let next_check = match (report.quick, before) {
            (false, _) => in_a_year,
            (true, Some(before)) => before.next_check.clone(),
            (true, None) => today.to_string(),
        };
        Self {
            on: today.to_string(),
            package: report.name.clone(),
            identifier: identifier(report),
            location: report.location.clone(),
            outcome: report.outcome,
            quick: report.quick,
            files_read: report.seen.files_read,
            bytes_read: report.seen.bytes_read,
            manifests: manifests(report),
            findings: findings(report).take(NAMED).collect(),
            findings_in_all: super::report::number(findings(report).count()),
            next_check,
        }
    }

    /// Returns the line as JSON on one line.
    #[must_use]
    pub fn to_json(&self) -> String {
        // Every part is text, number or list of these, which JSON can always hold.
        serde_json::to_string(self).unwrap_or_default()
    }

    fn is_of(&self, report: &AuditReport) -> bool {
        match (&self.identifier, identifier(report)) {
            (Some(before), Some(now)) => *before == now,
            _ => self.package == report.name,
        }
    }
}

fn identifier(report: &AuditReport) -> Option<String> {
    let info = &report.bag.as_ref()?.info;
    let labelled =
        |(label, _): &&(String, String)| label.eq_ignore_ascii_case("External-Identifier");
    info.iter().find(labelled).map(|(_, value)| value.clone())
}

fn manifests(report: &AuditReport) -> BTreeMap<String, String> {
    let all = report.bag.iter().flat_map(|bag| &bag.manifests);
    all.filter_map(|one| {
        Some((
            one.file.clone(),
            one.digest.as_ref().map(Digest::hex)?.to_owned(),
        ))
    })
    .collect()
}

fn findings(report: &AuditReport) -> impl Iterator<Item = (String, FileVerdict)> {
    report
        .files
        .iter()
        .filter(|file| !matches!(file.verdict, FileVerdict::Unchanged | FileVerdict::NotRead))
        .map(|file| (file.path.clone(), file.verdict))
}

/// A ledger that was read.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    lines: Vec<LedgerLine>,
    /// Lines that could not be read, as a person counts them.
    pub unreadable: Vec<usize>,
}

/// A package whose next audit is due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Due {
    /// The name of the package.
    pub package: String,
    /// Where it was last.
    pub location: String,
    /// The day on which it was due.
    pub since: String,
}

impl Ledger {
    /// Reads the text of a ledger. Lines that cannot be read are passed over and their numbers kept.
    #[must_use]
    pub fn read(text: &str) -> Self {
        let mut ledger = Self::default();
        for (index, line) in text.lines().enumerate() {
            if line.trim().is_empty() {
                continue;
            }
            match serde_json::from_str(line) {
                Ok(line) => ledger.lines.push(line),
                Err(_) => ledger.unreadable.push(index.saturating_add(1)),
            }
        }
        ledger
    }

    /// Returns the last line of the package that a report is about.
    #[must_use]
    pub fn last(&self, report: &AuditReport) -> Option<&LedgerLine> {
        self.lines.iter().rev().find(|line| line.is_of(report))
    }

    /// Tells what changed since the last audit of the same package, in plain words; nothing when it was never audited.
    #[must_use]
    pub fn since(&self, report: &AuditReport) -> Option<String> {
        let last = self.last(report)?;
        let mut changes = Vec::new();
        if last.outcome != report.outcome {
            changes.push(format!(
                "then it was “{}”, now it is “{}”",
                last.outcome, report.outcome
            ));
        }
        let now = manifests(report);
        let differ = |(file, digest): &(&String, &String)| {
            last.manifests
                .get(*file)
                .is_some_and(|before| before != *digest)
        };
        if now.iter().any(|pair| differ(&pair)) {
            changes.push(
                "its manifest is another one, so this is another edition or the list was changed"
                    .to_owned(),
            );
        }
        for (path, verdict) in findings(report) {
            if last.findings.get(&path) != Some(&verdict) {
                changes.push(format!("new: {path}: {verdict}"));
            }
        }
        for path in last.findings.keys() {
            if findings(report).all(|(now, _)| now != *path) {
                changes.push(format!("settled: {path}"));
            }
        }
        let quick = if last.quick { " (a quick look)" } else { "" };
        Some(if changes.is_empty() {
            format!("Nothing changed since {}{quick}.", last.on)
        } else {
            format!("Since {}{quick}: {}.", last.on, changes.join("; "))
        })
    }

    /// Returns the packages whose next audit is due today or earlier, longest overdue first.
    #[must_use]
    pub fn due(&self, today: Date) -> Vec<Due> {
        let mut last: BTreeMap<&str, &LedgerLine> = BTreeMap::new();
        for line in &self.lines {
            last.insert(line.identifier.as_deref().unwrap_or(&line.package), line);
        }
        let mut due: Vec<Due> = last
            .into_values()
            .filter(|line| line.next_check.parse().is_ok_and(|day: Date| day <= today))
            .map(|line| Due {
                package: line.package.clone(),
                location: line.location.clone(),
                since: line.next_check.clone(),
            })
            .collect();
        due.sort_by(|a, b| a.since.cmp(&b.since).then(a.package.cmp(&b.package)));
        due
    }
}
