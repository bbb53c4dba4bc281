//! Auditing one bag: rules of names first, then every byte, then what became of the files that are not as listed.

use super::AuditOptions;
use super::findings;
use super::findings::Findings;
use super::known::Known;
use super::lists::Agreement;
use super::lists::Lists;
use super::reading;
use super::reading::Bytes;
use super::reading::Crew;
use super::report::AuditReport;
use super::signature;
use super::structure;
use super::summary::Summary;
use super::tag_files;
use super::tag_files::TagFiles;
use super::tag_files::is_payload;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::Oxum;
use crate::format::bagit::Part;
use crate::format::bagit::Version;
use crate::progress::Progress;
use crate::store::Holding;
use crate::store::StoreError;
use std::collections::BTreeSet;

/// A bag that was checked: what is told, and what was found of each file that is there.
#[derive(Debug)]
pub(crate) struct Checked {
    pub(crate) report: AuditReport,
    /// By position in the holding.
    pub(crate) files: Vec<FileState>,
}

/// What was found of one file.
#[derive(Debug, Clone, Default)]
pub(crate) struct FileState {
    /// How it agrees with the manifests; nothing when it was not read.
    pub(crate) agreement: Option<Agreement>,
    /// What few files have: why it could not be read, and checksums that are needed later.
    kept: Option<Box<Kept>>,
    /// Bytes that were read.
    pub(crate) length: u64,
    /// Whether a zip's own check value is not that of the bytes.
    pub(crate) crc_differs: bool,
}

/// What is kept of few files only, so that a hundred thousand others stay small.
#[derive(Debug, Clone, Default)]
struct Kept {
    fault: Option<String>,
    digests: Vec<Digest>,
}

impl FileState {
    /// Returns why the file could not be read to its end.
    pub(crate) fn fault(&self) -> Option<&str> {
        self.kept.as_ref()?.fault.as_deref()
    }

    /// Returns the checksums of the file, where they are needed later.
    pub(crate) fn digests(&self) -> &[Digest] {
        self.kept.as_ref().map_or(&[], |kept| &kept.digests)
    }

    /// Tells whether a manifest that is as it was vouches for the file.
    pub(crate) fn is_vouched(&self) -> bool {
        self.agreement == Some(Agreement::Agrees)
    }

    /// Tells whether the file was read from the first byte to the last.
    pub(crate) fn was_read(&self) -> bool {
        self.agreement.is_some()
    }
}

/// Checks a bag. With `keep`, every file is read with at least these algorithms, and all checksums are kept.
pub(crate) fn check(
    holding: &dyn Holding,
    options: &AuditOptions<'_>,
    keep: Option<&[Algorithm]>,
    progress: &dyn Progress,
) -> Checked {
    let mut concerns = holding.concerns().clone();
    let tags = tag_files::read(holding, &mut concerns);
    let reader = Reader {
        holding,
        keep,
        crew: Crew {
            holding,
            threads: options.threads,
            progress,
        },
    };
    let mut files = vec![FileState::default(); holding.entries().len()];
    let total = tags.info.oxum().map_or(0, |oxum| oxum.bytes);
    progress.begin("Reading", if options.quick { 0 } else { total });

    let tag_lists = Lists::new(&tags.tag_manifests, holding, |_| true);
    if !options.quick {
        let wanted = |path: &str| !is_payload(path) && is_wanted_tag(path, &tags, &tag_lists);
        reader.read(&tag_lists, false, wanted, &mut files);
    }
    let changed = changed_files(holding, &files);
    let payload = Lists::new(&tags.manifests, holding, |manifest| {
        !changed.contains(manifest.file())
    });
    structure::check(holding, &tags, &payload, &tag_lists, &mut concerns);
    if !options.quick {
        // Files that are not listed are read when something is missing: they may be the same under another name.
        let seeks_renamed = payload.missing().next().is_some();
        let wanted = |path: &str| is_payload(path) && (seeks_renamed || payload.is_listed(path));
        reader.read(&payload, true, wanted, &mut files);
    }
    progress.end();

    let known = Known::read(holding, &files);
    let mut findings = Findings::new(holding, &files, &known, options);
    findings.take_tag_files(&tag_lists);
    findings.take_payload(&payload, &tags);
    tell_crc(holding, &files, &mut concerns);
    tell_changed_lists(&files, &mut concerns);
    if !options.quick {
        signature::check(holding, &mut concerns);
    }
    let oxum = payload_of(holding, &files);
    structure::check_oxum(&tags.info, oxum, &mut concerns);
    let report = Summary {
        holding,
        options,
        tags: &tags,
        files: &files,
        oxum,
    }
    .report(findings.finish(), concerns);
    Checked { report, files }
}

/// Tag files are read when a tag manifest lists them, and manifests always, because receipts show their checksums.
fn is_wanted_tag(path: &str, tags: &TagFiles, lists: &Lists<'_>) -> bool {
    let part = Part::of(path, tags.version());
    let is_manifest = matches!(
        part,
        Part::PayloadManifest { .. } | Part::TagManifest { .. }
    );
    is_manifest || lists.is_listed(path)
}

struct Reader<'a> {
    holding: &'a dyn Holding,
    keep: Option<&'a [Algorithm]>,
    crew: Crew<'a>,
}

impl Reader<'_> {
    /// Reads the files that are wanted, of the payload or outside it (all of them, when checksums are kept), and compares them
    /// with the lists.
    fn read(
        &self,
        lists: &Lists<'_>,
        payload: bool,
        wanted: impl Fn(&str) -> bool,
        files: &mut [FileState],
    ) {
        let entries = self.holding.entries();
        let positions: Vec<usize> = entries
            .iter()
            .enumerate()
            .filter(|(_, entry)| {
                let of_this_kind = is_payload(&entry.path) == payload;
                of_this_kind && (self.keep.is_some() || wanted(&entry.path))
            })
            .map(|(position, _)| position)
            .collect();
        let path = |position: usize| entries.get(position).map_or("", |entry| &*entry.path);
        let read = reading::each(
            &self.crew,
            &positions,
            |position| self.algorithms(lists, path(position)),
            |position, bytes| self.state(lists, position, path(position), bytes),
        );
        for (position, state) in positions.into_iter().zip(read) {
            if let Some(slot) = files.get_mut(position) {
                *slot = state;
            }
        }
    }

    fn algorithms(&self, lists: &Lists<'_>, path: &str) -> Vec<Algorithm> {
        let mut algorithms = lists.algorithms_of(path);
        if algorithms.is_empty() {
            algorithms = lists.algorithms();
        }
        algorithms.extend_from_slice(self.keep.unwrap_or_default());
        // A receipt shows the checksum of each manifest by the manifest's own algorithm.
        algorithms.extend(own_algorithm(path));
        algorithms.sort_unstable();
        algorithms.dedup();
        algorithms
    }

    fn state(
        &self,
        lists: &Lists<'_>,
        position: usize,
        path: &str,
        read: Result<Bytes, StoreError>,
    ) -> FileState {
        let bytes = match read {
            Ok(bytes) => bytes,
            Err(error) => {
                return FileState {
                    kept: Some(Box::new(Kept {
                        fault: Some(findings::reason(&error)),
                        digests: Vec::new(),
                    })),
                    ..FileState::default()
                };
            }
        };
        let agreement = lists.judge(path, &bytes);
        let is_kept = self.keep.is_some() || agreement != Agreement::Agrees || !is_payload(path);
        FileState {
            agreement: Some(agreement),
            length: bytes.length,
            crc_differs: bytes.crc.is_some() && bytes.crc != self.holding.stated_crc(position),
            kept: is_kept.then(|| {
                Box::new(Kept {
                    fault: None,
                    digests: bytes.digests,
                })
            }),
        }
    }
}

/// Returns the algorithm of a manifest by its name.
pub(super) fn own_algorithm(path: &str) -> Option<Algorithm> {
    match Part::of(path, Version::V1_0) {
        Part::PayloadManifest { algorithm } | Part::TagManifest { algorithm } => {
            Algorithm::named(algorithm)
        }
        _ => None,
    }
}

/// Returns the names of tag files that no tag manifest vouches for although one lists them.
fn changed_files<'a>(holding: &'a dyn Holding, files: &[FileState]) -> BTreeSet<&'a str> {
    holding
        .entries()
        .iter()
        .zip(files)
        .filter(|(_, state)| state.agreement == Some(Agreement::Differs) || state.fault().is_some())
        .map(|(entry, _)| &*entry.path)
        .collect()
}

/// Returns how much the payload holds: by what was read, or by what the disk or zip states.
fn payload_of(holding: &dyn Holding, files: &[FileState]) -> Oxum {
    let mut oxum = Oxum::default();
    for (position, (entry, state)) in holding.entries().iter().zip(files).enumerate() {
        if is_payload(&entry.path) {
            let length = if state.was_read() {
                state.length
            } else {
                holding.length(position).unwrap_or_default()
            };
            oxum.bytes = oxum.bytes.saturating_add(length);
            oxum.files = oxum.files.saturating_add(1);
        }
    }
    oxum
}

fn tell_crc(holding: &dyn Holding, files: &[FileState], concerns: &mut ConcernList) {
    for (entry, state) in holding.entries().iter().zip(files) {
        if state.crc_differs && state.is_vouched() {
            concerns.warning(
                "zip-check-value",
                Place::file(entry.path.to_string()),
                "The zip's own check value of this file is wrong, although the file is as the manifest says.",
                "The zip was damaged in a place that does not matter. Unpacking programs may refuse it; make a new copy.",
            );
        }
    }
}

fn tell_changed_lists(files: &[FileState], concerns: &mut ConcernList) {
    let count = files
        .iter()
        .filter(|state| state.agreement == Some(Agreement::WithChangedListsOnly))
        .count();
    if count > 0 {
        concerns.stop(
            "bag-list-changed",
            Place::unknown(),
            format!("{count} files agree only with a manifest that was itself changed, which proves nothing."),
            "Compare with another copy, or compare the manifest's checksum with the receipt.",
        );
    }
}
