//! The event log of a package: what was done to each file, with checksums before and after.

use super::PackOptions;
use super::originals::Original;
use super::tags::audience_words;
use super::viewing::Made;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::inscribe::InscribedFile;
use crate::record::Edition;
use crate::record::Event;
use crate::record::EventKind;

/// Events in the order in which they are told.
#[derive(Debug)]
pub(super) struct Log {
    day: String,
    tool: String,
    audience: &'static str,
    events: Vec<Event>,
}

impl Log {
    pub(super) fn new(options: &PackOptions) -> Self {
        Self {
            day: options.as_of.to_string(),
            tool: options.tool.clone(),
            audience: audience_words(options.audience),
            events: Vec::new(),
        }
    }

    /// A described copy was written, or a sidecar for a scan that cannot carry its record.
    pub(super) fn described(&mut self, file: &InscribedFile) {
        let detail = if file.sidecar {
            "The record was written into a file beside the scan; the scan itself cannot carry it."
        } else {
            "The record was written into a copy. The picture of copy and original is the same, bit for bit: the picture digest was worked out again from the copy."
        };
        let mut event = self.event(
            EventKind::MetadataModification,
            vec![in_package(&file.path)],
            detail,
        );
        // Where private facts were taken out, the original's checksum would let somebody try places until one fits.
        event.sha256_before = file
            .removed
            .is_empty()
            .then(|| file.source_sha256.hex().to_owned());
        event.sha256_after = sha256(&file.digests);
        event.picture_digest = file
            .picture_digest
            .as_ref()
            .map(|digest| digest.hex().to_owned());
        self.events.push(event);
        if !file.removed.is_empty() {
            let detail = format!(
                "Taken out of the copy for this audience: {}.",
                file.removed.join(", ")
            );
            let event = self.event(EventKind::Redaction, vec![in_package(&file.path)], &detail);
            self.events.push(event);
        }
    }

    /// An original was copied as it is.
    pub(super) fn kept(&mut self, original: &Original, digest: Option<&Digest>) {
        let detail = "The scan was copied as it is.";
        let mut event = self.event(
            EventKind::Replication,
            vec![in_package(&original.path)],
            detail,
        );
        event.sha256_before = digest.map(|digest| digest.hex().to_owned());
        event.sha256_after.clone_from(&event.sha256_before);
        self.events.push(event);
    }

    /// A viewing copy was made.
    pub(super) fn shown(&mut self, made: &Made, from: Option<&str>) {
        let with_caption = if made.captioned.is_some() {
            " A second one has its caption under it."
        } else {
            ""
        };
        let detail = format!(
            "A picture for looking at was made: sRGB, upright, {} by {} dots.{with_caption}",
            made.width, made.height
        );
        let files = std::iter::once(in_package(&made.path))
            .chain(made.captioned.as_deref().map(in_package))
            .chain(from.map(in_package))
            .collect();
        let event = self.event(EventKind::Migration, files, &detail);
        self.events.push(event);
    }

    /// The family tree was written.
    pub(super) fn family_tree(&mut self, path: &str) {
        let detail = "The proved sitters and their pictures were written in the form of family tree programs. People who may be living are not in it.";
        let event = self.event(EventKind::Creation, vec![in_package(path)], detail);
        self.events.push(event);
    }

    /// The package supersedes others: their seals, latest first.
    pub(super) fn superseding(&mut self, editions: &[Edition]) {
        for edition in editions.iter().rev() {
            let Some(seal) = &edition.sha256 else {
                continue;
            };
            let detail = format!(
                "This package supersedes edition {}, {}, whose manifest-sha256.txt has the SHA-256 checksum {seal}.",
                edition.number, edition.package
            );
            let event = self.event(EventKind::Packing, Vec::new(), &detail);
            self.events.push(event);
        }
    }

    /// The package was made.
    pub(super) fn packed(&mut self) {
        let detail = format!(
            "The package was made for {}. Checksums of every file were worked out while writing and confirmed by reading the disk again.",
            self.audience
        );
        let event = self.event(EventKind::Packing, Vec::new(), &detail);
        self.events.push(event);
    }

    pub(super) fn into_events(self) -> Vec<Event> {
        self.events
    }

    fn event(&self, kind: EventKind, files: Vec<String>, detail: &str) -> Event {
        Event {
            kind: Some(kind),
            on: self.day.clone(),
            by: self.tool.clone(),
            files,
            detail: detail.to_owned(),
            succeeded: true,
            ..Event::default()
        }
    }
}

fn in_package(path: &str) -> String {
    path.to_owned()
}

fn sha256(digests: &[Digest]) -> Option<String> {
    digests
        .iter()
        .find(|digest| digest.algorithm() == Algorithm::Sha256)
        .map(|digest| digest.hex().to_owned())
}
