//! From what was found to the report: complete, valid, and what the whole comes to.

use super::AuditOptions;
use super::bag::FileState;
use super::bag::own_algorithm;
use super::findings;
use super::report;
use super::report::AuditReport;
use super::report::BagFacts;
use super::report::FileFinding;
use super::report::Kind;
use super::report::ManifestFacts;
use super::report::Seen;
use super::tag_files::TagFiles;
use super::tag_files::is_payload;
use super::words;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Digest;
use crate::format::bagit::Manifest;
use crate::format::bagit::Oxum;
use crate::format::bagit::Part;
use crate::format::bagit::profile;
use crate::store::Holding;
use crate::store::StoreError;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use std::collections::BTreeMap;
use std::path::Path;

/// Everything that the report is made from.
pub(super) struct Summary<'a> {
    pub(super) holding: &'a dyn Holding,
    pub(super) options: &'a AuditOptions<'a>,
    pub(super) tags: &'a TagFiles,
    pub(super) files: &'a [FileState],
    pub(super) oxum: Oxum,
}

impl Summary<'_> {
    pub(super) fn report(
        &self,
        findings: findings::Finished,
        mut concerns: ConcernList,
    ) -> AuditReport {
        let counts = findings.counts;
        let has = |verdict: FileVerdict| counts.contains_key(&verdict);
        let is_damaged = counts.keys().any(|verdict| verdict.is_damage());
        let has_extra =
            has(FileVerdict::NotListed) || has(FileVerdict::Litter) || has(FileVerdict::Renamed);
        // [RFC8493 3]
        let complete = !concerns.has_stop() && !has(FileVerdict::Missing) && !has_extra;
        let valid = if self.options.quick {
            None
        } else if !complete || is_damaged {
            Some(false)
        } else {
            let comparable = self.manifests().all(|one| one.algorithm().is_some());
            comparable.then_some(true)
        };
        if let Some(profile) = self.options.profile {
            concerns.extend(profile::check(profile, &self.subject()));
        }
        self.ask_for_tag_manifests(&mut concerns);
        let outcome = if is_damaged {
            Outcome::Damaged
        } else if concerns.has_stop() || has_extra {
            Outcome::NotInOrder
        } else if self.options.quick {
            Outcome::NamesAgree
        } else {
            Outcome::Sound
        };
        let mut report = AuditReport {
            location: self.holding.location().display().to_string(),
            name: self.holding.name().to_owned(),
            kind: if self.holding.is_zip() {
                Kind::PackageZip
            } else {
                Kind::PackageFolder
            },
            outcome,
            verdict: String::new(),
            quick: self.options.quick,
            complete: Some(complete),
            valid,
            seen: self.seen(),
            bag: Some(self.facts()),
            files: findings.files,
            counts,
            concerns,
        };
        report.verdict = words::verdict(&report);
        report
    }

    /// No rule of BagIt asks for tag manifests, but every package of kithbag's own has them, as the page in it knows too. Without
    /// them nobody can tell whether that page and the manifests are as they were, so such a package is not called sound.
    fn ask_for_tag_manifests(&self, concerns: &mut ConcernList) {
        if self.tags.tag_manifests.is_empty() && profile::is_own(&self.tags.info) {
            concerns.stop(
                "package-tag-manifest-missing",
                Place::file("tagmanifest-sha256.txt"),
                "The package was made with this file, which has the checksums of everything outside “data”, and it is gone. Whether START-HERE.html, bag-info.txt and the manifests are as they were, nobody can tell.",
                "Take the file from another copy of the package, then check again.",
            );
        }
    }

    fn manifests(&self) -> impl Iterator<Item = &Manifest> {
        self.tags.manifests.iter().chain(&self.tags.tag_manifests)
    }

    fn seen(&self) -> Seen {
        let mut seen = Seen {
            files: report::number(self.files.len()),
            ..Seen::default()
        };
        for state in self.files.iter().filter(|state| state.was_read()) {
            seen.files_read = seen.files_read.saturating_add(1);
            seen.bytes_read = seen.bytes_read.saturating_add(state.length);
        }
        seen
    }

    fn facts(&self) -> BagFacts {
        let elements = self.tags.info.elements().iter();
        BagFacts {
            version: self.tags.version().to_string(),
            info: elements
                .map(|one| (one.label.clone(), one.value.clone()))
                .collect(),
            manifests: self
                .manifests()
                .map(|manifest| ManifestFacts {
                    file: manifest.file().to_owned(),
                    algorithm: manifest.algorithm(),
                    lists: report::number(manifest.len()),
                    digest: self.digest_of(manifest.file()),
                })
                .collect(),
            stated_payload: self.tags.info.oxum(),
            payload: self.oxum,
        }
    }

    fn digest_of(&self, file: &str) -> Option<Digest> {
        let state = self.files.get(self.holding.position(file)?)?;
        let own = own_algorithm(file)?;
        let of = |digest: &&Digest| digest.algorithm() == own;
        state.digests().iter().find(of).cloned()
    }

    fn subject(&self) -> profile::Subject<'_> {
        let version = self.tags.version();
        let entries = self.holding.entries();
        let named = |tag: bool| {
            entries
                .iter()
                .filter_map(|entry| match Part::of(&entry.path, version) {
                    Part::PayloadManifest { algorithm } if !tag => Some(algorithm.to_owned()),
                    Part::TagManifest { algorithm } if tag => Some(algorithm.to_owned()),
                    _ => None,
                })
                .collect()
        };
        profile::Subject {
            version,
            info: &self.tags.info,
            manifests: named(false),
            tag_manifests: named(true),
            tag_files: entries
                .iter()
                .map(|entry| entry.path.to_string())
                .filter(|path| !is_payload(path))
                .collect(),
            has_fetch: self.tags.has_fetch,
            is_zip: self.holding.is_zip(),
        }
    }
}

/// Returns the report about a zip whose list of contents cannot be read.
pub(super) fn unreadable_zip(
    path: &Path,
    options: &AuditOptions<'_>,
    error: &StoreError,
) -> AuditReport {
    let name = path
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let mut finding = FileFinding::new(name.clone(), FileVerdict::Unreadable);
    finding.detail = Some(findings::reason(error));
    let mut concerns = ConcernList::default();
    concerns.stop(
        "zip-unreadable",
        Place::file(name.clone()),
        format!("The zip cannot be opened: {}.", findings::reason(error)),
        "It was probably cut short when it was copied or sent. Take another copy.",
    );
    let files = vec![finding];
    let mut report = AuditReport {
        location: path.display().to_string(),
        name,
        kind: Kind::PackageZip,
        outcome: Outcome::Damaged,
        verdict: String::new(),
        quick: options.quick,
        complete: Some(false),
        valid: Some(false),
        seen: Seen::default(),
        bag: None,
        counts: report::count(&files, BTreeMap::new()),
        files,
        concerns,
    };
    report.verdict = words::verdict(&report);
    report
}
