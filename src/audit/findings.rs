//! From what was read to what is said of each file.

use super::AuditOptions;
use super::bag::FileState;
use super::known::Known;
use super::lists::Agreement;
use super::lists::Lists;
use super::picture;
use super::report;
use super::report::FileFinding;
use super::tag_files::TagFiles;
use super::tag_files::is_payload;
use crate::fixity::Digest;
use crate::format::bagit::layout::is_litter;
use crate::portable_path;
use crate::store::Holding;
use crate::store::StoreError;
use crate::verdict::FileVerdict;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::error::Error as _;

/// Collects what is said of the files of one bag.
pub(super) struct Findings<'a> {
    holding: &'a dyn Holding,
    states: &'a [FileState],
    known: &'a Known,
    every_file: bool,
    files: Vec<FileFinding>,
    /// Counts of verdicts that are not told file by file.
    untold: BTreeMap<FileVerdict, u64>,
}

/// What is said of the files.
pub(super) struct Finished {
    pub(super) files: Vec<FileFinding>,
    pub(super) counts: BTreeMap<FileVerdict, u64>,
}

impl<'a> Findings<'a> {
    pub(super) fn new(
        holding: &'a dyn Holding,
        states: &'a [FileState],
        known: &'a Known,
        options: &AuditOptions<'_>,
    ) -> Self {
        Self {
            holding,
            states,
            known,
            every_file: options.every_file,
            files: Vec::new(),
            untold: BTreeMap::new(),
        }
    }

    /// Judges the files outside the payload.
    pub(super) fn take_tag_files(&mut self, lists: &Lists<'_>) {
        for path in lists.missing() {
            self.files
                .push(FileFinding::new(path, FileVerdict::Missing));
        }
        for (position, entry) in self.holding.entries().iter().enumerate() {
            let path = &*entry.path;
            if is_payload(path) {
                continue;
            }
            if !lists.is_listed(path) {
                if is_litter(path) {
                    self.untell(FileVerdict::Litter, path);
                }
                continue;
            }
            let finding = self.judge(position, path, lists);
            self.take(finding);
        }
    }

    /// Litter outside the payload breaks no rule, so it is named but does not count.
    fn untell(&mut self, verdict: FileVerdict, path: &str) {
        let mut finding = FileFinding::new(path, verdict);
        finding.detail = Some("outside the payload, where it breaks no rule".to_owned());
        self.files.push(finding);
    }

    /// Judges the files of the payload.
    pub(super) fn take_payload(&mut self, lists: &Lists<'_>, tags: &TagFiles) {
        let renamed = self.take_missing(lists, tags);
        for (position, entry) in self.holding.entries().iter().enumerate() {
            let path = &*entry.path;
            if !is_payload(path) || renamed.contains(path) {
                continue;
            }
            let finding = if lists.is_listed(path) {
                self.judge(position, path, lists)
            } else if is_litter(path) {
                FileFinding::new(path, FileVerdict::Litter)
            } else {
                FileFinding::new(path, FileVerdict::NotListed)
            };
            let finding = if finding.verdict == FileVerdict::Changed {
                self.look_at_picture(position, finding)
            } else {
                finding
            };
            self.take(finding);
        }
    }

    /// Judges names that are listed but not there; returns the files that have the contents of one under another name.
    fn take_missing(&mut self, lists: &Lists<'_>, tags: &TagFiles) -> BTreeSet<&'a str> {
        let holding = self.holding;
        let mut unlisted: Vec<(&'a str, &[Digest])> = Vec::new();
        for (entry, state) in holding.entries().iter().zip(self.states) {
            if state.agreement == Some(Agreement::NotListed) && is_payload(&entry.path) {
                unlisted.push((&entry.path, state.digests()));
            }
        }
        let mut renamed = BTreeSet::new();
        for path in lists.missing() {
            let listed = lists.digests_of(path);
            let now_at = unlisted.iter().find(|(name, digests)| {
                !renamed.contains(name) && digests.iter().any(|digest| listed.contains(digest))
            });
            let mut finding = FileFinding::new(path, FileVerdict::Missing);
            if let Some((name, _)) = now_at {
                renamed.insert(*name);
                finding.verdict = FileVerdict::Renamed;
                finding.now_at = Some((*name).to_owned());
                finding.detail = Some(format!("it is now “{name}”"));
            } else if tags.fetch.iter().any(|item| item.path == path) {
                finding.detail = Some("it was left to be fetched from elsewhere".to_owned());
            } else if let Some(twin) = twin(holding, path) {
                finding.detail = Some(format!(
                    "“{twin}” is there, which differs only in capitals or accents"
                ));
            }
            self.take(finding);
        }
        renamed
    }

    fn judge(&self, position: usize, path: &str, lists: &Lists<'_>) -> FileFinding {
        let Some(state) = self.states.get(position) else {
            return FileFinding::new(path, FileVerdict::NotRead);
        };
        if let Some(fault) = state.fault() {
            let mut finding = FileFinding::new(path, FileVerdict::Unreadable);
            finding.detail = Some(fault.to_string());
            return finding;
        }
        let verdict = match state.agreement {
            None | Some(Agreement::NotComparable) => FileVerdict::NotRead,
            Some(Agreement::Agrees | Agreement::WithChangedListsOnly) => FileVerdict::Unchanged,
            Some(Agreement::Differs | Agreement::ListsDisagree) => FileVerdict::Changed,
            Some(Agreement::NotListed) => FileVerdict::NotListed,
        };
        let mut finding = FileFinding::new(path, verdict);
        if state.agreement == Some(Agreement::ListsDisagree) {
            finding.detail = Some(disagreement(path, lists, state));
        }
        finding
    }

    /// For a file that is not as listed: did the picture change, or only what is written into the file?
    fn look_at_picture(&self, position: usize, mut finding: FileFinding) -> FileFinding {
        let Ok(mut reader) = self.holding.open_anywhere(position) else {
            finding.verdict = FileVerdict::Unreadable;
            return finding;
        };
        let judged = picture::judge(&mut reader, &finding.path, self.known);
        finding.verdict = judged.verdict;
        finding.portrait = judged.portrait;
        finding.view = judged.view;
        if finding.detail.is_none() {
            finding.detail = judged.detail;
        }
        finding
    }

    fn take(&mut self, mut finding: FileFinding) {
        let is_ordinary = matches!(
            finding.verdict,
            FileVerdict::Unchanged | FileVerdict::NotRead
        );
        if is_ordinary && !self.every_file {
            let count = self.untold.entry(finding.verdict).or_default();
            *count = count.saturating_add(1);
            return;
        }
        if finding.portrait.is_none() {
            let (portrait, view) = self.known.shown_by(&finding.path);
            finding.portrait = portrait;
            finding.view = view;
        }
        self.files.push(finding);
    }

    /// Returns all findings in the order of their paths.
    pub(super) fn finish(mut self) -> Finished {
        self.files.sort_by(|a, b| a.path.cmp(&b.path));
        let outside = |finding: &&FileFinding| {
            finding.verdict == FileVerdict::Litter && !is_payload(&finding.path)
        };
        let counted: Vec<FileFinding> = self
            .files
            .iter()
            .filter(|finding| !outside(finding))
            .cloned()
            .collect();
        Finished {
            counts: report::count(&counted, self.untold),
            files: self.files,
        }
    }
}

fn disagreement(path: &str, lists: &Lists<'_>, state: &FileState) -> String {
    let digests = state.digests();
    let agrees = |file: &&str| {
        lists
            .manifests()
            .find(|manifest| manifest.file() == *file)
            .and_then(|manifest| manifest.digest_of(path))
            .is_some_and(|digest| digests.contains(&digest))
    };
    let names: Vec<&str> = lists
        .manifests()
        .filter(|manifest| lists.lists(manifest, path))
        .map(crate::format::bagit::Manifest::file)
        .collect();
    let (yes, no): (Vec<&str>, Vec<&str>) = names.into_iter().partition(agrees);
    format!(
        "it agrees with {} but not with {}, so one of these lists was changed, not only the file",
        yes.join(" and "),
        no.join(" and ")
    )
}

fn twin<'a>(holding: &'a dyn Holding, path: &str) -> Option<&'a str> {
    let folded = portable_path::fold(path);
    holding
        .entries()
        .iter()
        .map(|entry| &*entry.path)
        .find(|name| portable_path::fold(name) == folded)
}

/// Returns why a file could not be read, without its path.
pub(super) fn reason(error: &StoreError) -> String {
    error
        .source()
        .map_or_else(|| error.to_string(), ToString::to_string)
}
