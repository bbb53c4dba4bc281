//! Reading manifests. [RFC8493 2.1.3, 2.2.1]

use super::Entry;
use super::Manifest;
use super::line;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;
use crate::fixity::Algorithm;
use crate::format::bagit::encoding::TagEncoding;
use crate::format::bagit::layout::PAYLOAD;
use crate::format::bagit::layout::Part;
use crate::format::bagit::lines;
use crate::format::bagit::version::Version;
use crate::portable_path;
use std::io;
use std::io::BufRead;
use std::io::Read;

/// Concerns about single lines that are told one by one; a manifest that is rubbish throughout is told of once more, in sum.
const TOLD_ONE_BY_ONE: u64 = 40;

/// Longest line that is taken: a path of 32 KiB and a checksum. Longer ones are no manifest.
const LONGEST_LINE: u64 = 64 * 1024;

/// Whether a manifest lists the payload or the tag files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lists {
    /// `manifest-*.txt`.
    Payload,
    /// `tagmanifest-*.txt`.
    TagFiles,
}

/// Reads a manifest.
///
/// # Errors
/// Gives the reader's error. What is wrong with the contents is told as concerns.
pub fn read(
    source: impl Read,
    file: &str,
    version: Version,
    encoding: TagEncoding,
    concerns: &mut ConcernList,
) -> io::Result<Manifest> {
    let mut reading = Reading::begin(file, version);
    if encoding.is_utf_8() {
        reading.take_stream(source)?;
    } else {
        reading.take_whole(source, encoding)?;
    }
    Ok(reading.finish(concerns))
}

struct Reading {
    manifest: Manifest,
    lists: Lists,
    version: Version,
    row: usize,
    concerns: ConcernList,
    untold: u64,
}

impl Reading {
    fn begin(file: &str, version: Version) -> Self {
        let (lists, name) = match Part::of(file, version) {
            Part::TagManifest { algorithm } => (Lists::TagFiles, algorithm),
            Part::PayloadManifest { algorithm } => (Lists::Payload, algorithm),
            _ => (Lists::Payload, ""),
        };
        Self {
            manifest: Manifest {
                file: file.to_owned(),
                algorithm: Algorithm::named(name),
                paths: String::new(),
                digests: Vec::new(),
                entries: Vec::new(),
            },
            lists,
            version,
            row: 0,
            concerns: ConcernList::default(),
            untold: 0,
        }
    }

    /// UTF-8 is read line by line, so that the text of a large manifest is never held as a whole.
    fn take_stream(&mut self, source: impl Read) -> io::Result<()> {
        let mut reader = io::BufReader::with_capacity(64 * 1024, source);
        let mut bytes = Vec::new();
        let mut is_first = true;
        loop {
            let count = Read::by_ref(&mut reader)
                .take(LONGEST_LINE)
                .read_until(b'\n', &mut bytes)?;
            if count == 0 && bytes.is_empty() {
                return Ok(());
            }
            if is_first && bytes.starts_with(b"\xEF\xBB\xBF") {
                self.tell_mark();
                bytes.drain(..3);
            }
            is_first = false;
            let kept = bytes.split_off(whole_lines(&bytes, count > 0));
            match std::str::from_utf8(&bytes) {
                Ok(text) => lines::lines(text).for_each(|line| self.take_line(line)),
                Err(_) => self.take_undecodable(),
            }
            bytes = kept;
        }
    }

    fn take_whole(&mut self, source: impl Read, encoding: TagEncoding) -> io::Result<()> {
        let mut bytes = Vec::new();
        let mut source = source;
        source.read_to_end(&mut bytes)?;
        match encoding.decode(&bytes) {
            Ok(decoded) => {
                lines::lines(&decoded.text).for_each(|line| self.take_line(line));
            }
            Err(_) => self.take_undecodable(),
        }
        Ok(())
    }

    fn take_undecodable(&mut self) {
        self.row = self.row.saturating_add(1);
        self.tell(
            Severity::Stop,
            "bag-tag-file-undecodable",
            "This line has bytes that mean nothing in the declared encoding.".to_owned(),
            "Take this manifest from another copy of the bag.",
        );
    }

    fn take_line(&mut self, text: &str) {
        self.row = self.row.saturating_add(1);
        if text.is_empty() {
            return self.tell(
                Severity::Warning,
                "bag-manifest-blank-line",
                "There is an empty line.".to_owned(),
                "Nothing needs to be done; the line was passed over.",
            );
        }
        let Some(line) = line::read(text, self.manifest.algorithm) else {
            return self.tell(
                Severity::Stop,
                "bag-manifest-line",
                format!(
                    "This line is no checksum with a file name after it: “{}”.",
                    shorten(text)
                ),
                "Take this manifest from another copy of the bag.",
            );
        };
        if line.has_marker {
            self.tell(
                Severity::Warning,
                "bag-checksum-marker",
                "This line is in the form that checksum commands write (a star or backslash in front), which the rules of bags do not know.".to_owned(),
                "It was understood all the same; a strict checker may refuse the bag.",
            );
        }
        let path = line::path(&line, self.version);
        if path.has_bare_percent {
            self.tell(
                Severity::Warning,
                "bag-percent-not-encoded",
                format!(
                    "The per cent sign in “{}” should be written %25.",
                    shorten(&path.text)
                ),
                "It was taken as it stands; a strict checker may look for another name.",
            );
        }
        self.take_entry(&path.text, &line.digest);
    }

    fn take_entry(&mut self, path: &str, digest: &[u8]) {
        if let Some((code, why)) = self.refusal(path) {
            return self.tell(
                Severity::Stop,
                code,
                format!("It lists “{}”, {why}.", shorten(path)),
                "The file was not looked at. Do not unpack this bag with programs that do not check names.",
            );
        }
        let start = self.manifest.paths.len();
        self.manifest.paths.push_str(path);
        self.manifest.entries.push(Entry {
            start,
            end: self.manifest.paths.len(),
            digest: self.manifest.entries.len(),
        });
        self.manifest.digests.extend_from_slice(digest);
    }

    /// Why a path may not be listed here.
    fn refusal(&self, path: &str) -> Option<(&'static str, &'static str)> {
        if path.is_empty() || path.ends_with('/') {
            return Some(("bag-manifest-line", "which is the name of no file"));
        }
        if portable_path::leads_out(path).is_some() {
            return Some(("bag-path-unsafe", "a name that leads out of the bag"));
        }
        match self.lists {
            // [RFC8493 2.1.3]
            Lists::Payload if !path.starts_with(PAYLOAD) => Some((
                "bag-path-outside-payload",
                "which is not below “data”, and so may not stand in this manifest",
            )),
            // [RFC8493 2.2.1]
            Lists::TagFiles if path.starts_with(PAYLOAD) => Some((
                "bag-path-in-payload",
                "which is below “data”, and so may not stand in a tag manifest",
            )),
            Lists::TagFiles if matches!(Part::of(path, self.version), Part::TagManifest { .. }) => {
                Some((
                    "bag-tag-manifest-listed",
                    "a tag manifest, which no tag manifest may list",
                ))
            }
            _ => None,
        }
    }

    fn tell_mark(&mut self) {
        // Forbidden by RFC 8493; the drafts did not say.  // [RFC8493 2.3]
        let severity = if self.version.is_strict() {
            Severity::Stop
        } else {
            Severity::Warning
        };
        self.concerns.push(Concern::new(
            "bag-byte-order-mark",
            severity,
            Place::file(self.manifest.file.clone()),
            "The file begins with an invisible mark (byte order mark) that the rules forbid.",
            "A text editor or spreadsheet probably added it when the file was saved. Take the file from another copy.",
        ));
    }

    fn tell(&mut self, severity: Severity, code: &'static str, what: String, remedy: &str) {
        let told = u64::try_from(self.concerns.len()).unwrap_or(u64::MAX);
        // The first fault of severity stop is always told, whatever came before it.
        let must = severity == Severity::Stop && !self.concerns.has_stop();
        if told >= TOLD_ONE_BY_ONE && !must {
            self.untold = self.untold.saturating_add(1);
            return;
        }
        let row = u32::try_from(self.row).ok();
        self.concerns.push(Concern::new(
            code,
            severity,
            Place::file(self.manifest.file.clone()).row(row),
            what,
            remedy,
        ));
    }

    fn finish(mut self, concerns: &mut ConcernList) -> Manifest {
        let mut entries = std::mem::take(&mut self.manifest.entries);
        let manifest = &self.manifest;
        entries.sort_unstable_by(|a, b| {
            let paths = manifest.path_of(a).cmp(manifest.path_of(b));
            paths.then(a.digest.cmp(&b.digest))
        });
        self.manifest.entries = entries;
        self.drop_repeated();
        if self.untold > 0 {
            self.concerns.warning(
                "bag-manifest-more",
                Place::file(self.manifest.file.clone()),
                format!("{} more lines have faults.", self.untold),
                "Take this manifest from another copy of the bag.",
            );
        }
        concerns.extend(self.concerns);
        self.manifest.paths.shrink_to_fit();
        self.manifest.digests.shrink_to_fit();
        self.manifest.entries.shrink_to_fit();
        self.manifest
    }

    /// A file may be listed once. The drafts let a second line with the same checksum pass. // [RFC8493 2.1.3]
    fn drop_repeated(&mut self) {
        let mut entries = std::mem::take(&mut self.manifest.entries);
        let mut repeated = Vec::new();
        entries.dedup_by(|later, first| {
            let same = self.manifest.path_of(later) == self.manifest.path_of(first);
            if same {
                repeated.push((*first, *later));
            }
            same
        });
        for (first, later) in repeated {
            let agree = self.manifest.digest_bytes(&first) == self.manifest.digest_bytes(&later);
            let path = shorten(self.manifest.path_of(&first));
            self.row = later.digest.saturating_add(1);
            let (severity, how) = match (agree, self.version.is_strict()) {
                (true, false) => (Severity::Warning, "with the same checksum"),
                (true, true) => (Severity::Stop, "with the same checksum"),
                (false, _) => (Severity::Stop, "with different checksums"),
            };
            self.tell(
                severity,
                "bag-path-twice",
                format!("It lists “{path}” twice, {how}."),
                "Take this manifest from another copy of the bag.",
            );
        }
        self.manifest.entries = entries;
    }
}

/// Returns how many of the bytes are whole lines. Files whose lines end in CR alone come in pieces that end anywhere.
fn whole_lines(bytes: &[u8], more_may_come: bool) -> usize {
    if !more_may_come || bytes.ends_with(b"\n") {
        return bytes.len();
    }
    let without_last = bytes.split_last().map_or(bytes, |(_, rest)| rest);
    match without_last.iter().rposition(|byte| *byte == b'\r') {
        Some(position) => position.saturating_add(1),
        None => bytes.len(),
    }
}

/// Shortens text from a stranger's file for a message.
fn shorten(text: &str) -> String {
    let clean: String = text
        .chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .take(120)
        .collect();
    if text.chars().count() > 120 {
        format!("{clean}…")
    } else {
        clean
    }
}
