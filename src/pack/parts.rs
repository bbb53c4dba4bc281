//! The parts of a package that was cut: each a package of its own, with the pictures of its portraits, the whole record, a page,
//! manifests and a receipt. All lie in one folder, which gets its name when every part was read back.

use super::Job;
use super::PackError;
use super::contents::Contents;
use super::payload::Subject;
use super::sealed;
use super::sealed::Finish;
use super::split::Piece;
use super::tags;
use crate::catalogue::json;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::portable_path::PortablePath;
use crate::record::Collection;
use crate::record::PortraitNumber;
use crate::store;
use crate::store::staging::Staging;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// One finished part.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct PackagePart {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// Where its receipt is.
    pub receipt: PathBuf,
    /// The portraits that are in it.
    pub portraits: Vec<PortraitNumber>,
    /// How many files the payload has.
    pub files: u64,
    /// How many bytes the payload has.
    pub bytes: u64,
    /// How many bytes the part takes in all.
    pub size: u64,
    /// The digest of each manifest.
    pub seals: Vec<(String, Digest)>,
}

/// Which part of how many.
#[derive(Debug, Clone)]
pub(super) struct Part {
    number: usize,
    of: usize,
    /// What all parts have in common. [RFC8493 2.2.2, Bag-Group-Identifier]
    pub(super) group: String,
}

impl Part {
    /// Returns "N of T". [RFC8493 2.2.2, Bag-Count]
    pub(super) fn count(&self) -> String {
        format!("{} of {}", self.number, self.of)
    }

    /// Returns the part's name. Numbers have the same width, so that a list of files is in order.
    fn name(&self, package: &str) -> String {
        let width = self.of.to_string().len();
        format!("{package}-{:0width$}-of-{}", self.number, self.of)
    }
}

/// Everything that the parts are made of, and where the finished ones are gathered.
pub(super) struct Parts<'a> {
    pub(super) job: &'a Job<'a>,
    pub(super) staging: &'a Staging,
    pub(super) contents: &'a Contents<'a>,
    pub(super) gathered: &'a Staging,
    pub(super) pieces: &'a [Vec<Piece>],
}

impl Parts<'_> {
    /// Builds every part. Returns them as they will be once the folder has its name, and the text of all receipts.
    pub(super) fn build(
        &self,
        concerns: &mut ConcernList,
    ) -> Result<(Vec<PackagePart>, String), PackError> {
        let group = self.group()?;
        let mut built = Vec::new();
        let mut receipts = Vec::new();
        for (index, pieces) in self.pieces.iter().enumerate() {
            let part = self.part(index, &group);
            let (one, receipt) = self.one(&part, pieces, concerns)?;
            self.tell_of_size(&one, &part, concerns);
            built.push(one);
            receipts.push(receipt);
        }
        // Every file of it was moved into a part.
        self.staging.remove_folder(&portable("data")?)?;
        Ok((built, receipts.join("\n\n")))
    }

    fn part(&self, index: usize, group: &str) -> Part {
        Part {
            number: index.saturating_add(1),
            of: self.pieces.len(),
            group: group.to_owned(),
        }
    }

    /// The same pictures with the same record under the same name are the same group, whenever and wherever it is made.
    fn group(&self) -> Result<String, PackError> {
        let mut text = format!("{}\n", self.job.name);
        for (path, packed) in self.contents.files().iter() {
            let digest = packed.digest(Algorithm::Sha256).map(ToString::to_string);
            text.push_str(&format!("{}  {path}\n", digest.unwrap_or_default()));
        }
        text.push_str(&json::write(&self.job.filtered.collection)?);
        let digest = Digest::of(Algorithm::Sha256, text.as_bytes());
        Ok(format!("urn:uuid:{}", tags::uuid_from(&digest)))
    }

    fn one(
        &self,
        part: &Part,
        pieces: &[Piece],
        concerns: &mut ConcernList,
    ) -> Result<(PackagePart, String), PackError> {
        let job = self.job;
        let name = part.name(job.name);
        let contents = self.contents.of_part(&name);
        let scans: BTreeSet<String> = pieces.iter().flat_map(|one| one.scans.clone()).collect();
        let pictures = job.pictures.of(&scans);
        let written = self.contents.files();
        for (path, _) in pictures.paths() {
            if let Some(packed) = written.get(path) {
                contents.take_over(self.contents, path, packed.clone())?;
            }
        }
        let subject = Subject {
            filtered: job.filtered,
            shown: &shown(&job.filtered.collection, pieces, &scans),
            whole: job.whole,
            pictures: &pictures,
            removed: job.removed,
            weighed: job.weighed,
        };
        let lines = self.lines(part);
        let (oxum, seals) =
            job.complete(&contents, &name, subject, Some((part, lines)), concerns)?;
        let path = self.hand_over(&contents, &name)?;
        let finish = Finish {
            name: &name,
            options: job.options,
            oxum,
            seals: &seals,
        };
        let text = sealed::receipt_text(&finish);
        let receipt = sealed::hand_out(&path, &text, job.options)?;
        for written in [&path, &receipt, &sealed::signature_path(&receipt)] {
            self.gathered.expect(written);
        }
        let one = PackagePart {
            size: size(&contents, &path, job.options.zip)?,
            path: self.later(&path),
            receipt: self.later(&receipt),
            portraits: numbers(pieces),
            files: oxum.files,
            bytes: oxum.bytes,
            name,
            seals,
        };
        Ok((one, text))
    }

    /// Makes the zip of a part, where one is wanted, and gives its staged files up.
    fn hand_over(&self, contents: &Contents<'_>, name: &str) -> Result<PathBuf, PackError> {
        let path = self.gathered.folder().join(name);
        if !self.job.options.zip {
            return Ok(path);
        }
        let path = sealed::zip_path(&path);
        let job = self.job;
        sealed::zip(contents, &path, name, job.progress)?;
        self.staging.remove_folder(&portable(name)?)?;
        Ok(path)
    }

    fn later(&self, path: &Path) -> PathBuf {
        let name = path.file_name().unwrap_or_default();
        self.job.target.join(name)
    }

    /// What the page tells of the parts.
    fn lines(&self, part: &Part) -> Vec<String> {
        let mut lines = vec![format!(
            "This is part {}. It is complete in itself: pictures, page and checksums of its own portraits, and the record of all.",
            part.count()
        )];
        for (index, pieces) in self.pieces.iter().enumerate() {
            let other = self.part(index, &part.group);
            let here = if other.number == part.number {
                " (this one)"
            } else {
                ""
            };
            let held = held(&numbers(pieces));
            lines.push(format!("{}{here}: {held}.", other.name(self.job.name)));
        }
        lines
    }

    fn tell_of_size(&self, one: &PackagePart, part: &Part, concerns: &mut ConcernList) {
        let limit = self.job.options.split_at.unwrap_or(u64::MAX);
        if one.size <= limit {
            return;
        }
        let place = match one.portraits.first() {
            Some(number) => Place::portrait(number),
            None => Place::default(),
        };
        concerns.warning(
            "part-larger-than-asked",
            place,
            format!(
                "Part {} takes {}, more than the {} that were asked for: it holds {}, and a portrait is never cut through.",
                part.count(),
                counted(one.size, "byte", "bytes"),
                counted(limit, "byte", "bytes"),
                held(&one.portraits)
            ),
            "Choose a larger size or a larger medium for this part.",
        );
    }
}

/// The record of the portraits that are in a part, for its page and its description for programs.
fn shown(whole: &Collection, pieces: &[Piece], scans: &BTreeSet<String>) -> Collection {
    let own: BTreeSet<PortraitNumber> = numbers(pieces).into_iter().collect();
    let mut shown = whole.clone();
    shown.portraits.retain(|one| own.contains(&one.number));
    shown.scans.retain(|scan| scans.contains(&scan.file));
    shown.words.retain(|words| own.contains(&words.portrait));
    shown.claims.retain(|claim| own.contains(&claim.portrait));
    shown
}

fn numbers(pieces: &[Piece]) -> Vec<PortraitNumber> {
    let numbers = pieces.iter().filter_map(|piece| piece.portrait.clone());
    numbers.collect()
}

/// Says what a part holds, for example "3 portraits, A-001 to A-003".
fn held(portraits: &[PortraitNumber]) -> String {
    match portraits {
        [] => "scans that are assigned to no portrait".to_owned(),
        [one] => format!("portrait {one}"),
        [first, .., last] => format!("{} portraits, {first} to {last}", portraits.len()),
    }
}

fn size(contents: &Contents<'_>, path: &Path, zip: bool) -> Result<u64, PackError> {
    if zip {
        return Ok(store::open(path)?.length());
    }
    let files = contents.files();
    let bytes = files.values().map(|packed| packed.bytes);
    Ok(bytes.fold(0, u64::saturating_add))
}

fn portable(path: &str) -> Result<PortablePath, PackError> {
    PortablePath::new(path).map_err(|why| PackError::Name {
        name: path.to_owned(),
        why,
    })
}
