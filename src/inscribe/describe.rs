//! One described copy: examined, written in one pass, read back, compared.

use super::naming::Named;
use super::set::InscribeError;
use super::set::InscribeOptions;
use super::set::InscribedFile;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::container::ContainerError;
use crate::format::container::PlanFault;
use crate::format::container::Splice;
use crate::format::container::SpliceError;
use crate::format::container::SpliceOptions;
use crate::format::ro_crate;
use crate::format::xmp;
use crate::format::xmp::Capture;
use crate::format::xmp::PacketContext;
use crate::format::xmp::PacketError;
use crate::format::xmp::Written;
use crate::portable_path::PortablePath;
use crate::record::Collection;
use crate::store;
use crate::store::DiskErrors;
use crate::store::SourceFile;
use crate::store::staging::Staging;
use std::io::Seek;
use std::path::Path;

/// A copy, and what was noticed.
#[derive(Debug)]
pub(super) struct Described {
    pub(super) file: InscribedFile,
    pub(super) concerns: ConcernList,
}

/// One piece of work with everything that it needs.
struct Job<'a> {
    named: &'a Named<'a>,
    excerpt: Collection,
    options: &'a InscribeOptions,
    staging: &'a Staging,
    root: &'a Path,
}

/// Why the record cannot go into the file itself.
enum Refused {
    Container(ContainerError),
    Packet(PacketError),
}

/// Writes the described copy of one scan, or the file beside it.
pub(super) fn describe(
    collection: &Collection,
    root: &Path,
    named: &Named<'_>,
    options: &InscribeOptions,
    staging: &Staging,
) -> Result<Described, InscribeError> {
    let excerpt = collection.excerpt(&named.portrait, Some(named.scan));
    let job = Job {
        named,
        excerpt,
        options,
        staging,
        root,
    };
    let mut original = store::open(&root.join(&named.scan.file))?;
    match container::examine(&mut original) {
        Ok(anatomy) => job.with_anatomy(&mut original, &anatomy),
        Err(ContainerError::Read(source)) => Err(job.unreadable(source)),
        Err(fault) => job.beside(&mut original, &Refused::Container(fault)),
    }
}

impl Job<'_> {
    fn with_anatomy(
        &self,
        original: &mut SourceFile,
        anatomy: &Anatomy,
    ) -> Result<Described, InscribeError> {
        let picture = match container::picture_digest(original, anatomy) {
            Ok(picture) => picture,
            Err(ContainerError::Read(source)) => return Err(self.unreadable(source)),
            Err(fault) => return self.beside(original, &Refused::Container(fault)),
        };
        let sha256 = self.sha256(original)?;
        let mut last: Option<Written> = None;
        let options = SpliceOptions {
            drop_private: self.options.drop_private,
        };
        let planned = container::plan(original, anatomy, options, |note| {
            let written = self.compose(anatomy, &picture, &sha256, Some(note))?;
            let packet = written.packet.clone();
            last = Some(written);
            Ok(packet)
        });
        match (planned, last) {
            (Ok(splice), Some(written)) => {
                self.copy(original, anatomy, &splice, &written, &picture)
            }
            (Err(PlanFault::Container(ContainerError::Read(source))), _) => {
                Err(self.unreadable(source))
            }
            (Err(PlanFault::Container(fault)), _) => {
                self.beside(original, &Refused::Container(fault))
            }
            (Err(PlanFault::Compose(fault)), _) => self.beside(original, &Refused::Packet(fault)),
            (Ok(_), None) => Err(self.fault("no packet was composed")),
        }
    }

    fn compose(
        &self,
        anatomy: &Anatomy,
        picture: &Digest,
        sha256: &Digest,
        note: Option<&str>,
    ) -> Result<Written, PacketError> {
        let context = PacketContext {
            capture: Capture::Unknown,
            picture_digest: Some(picture.clone()),
            source_sha256: Some(sha256.clone()),
            undo: note.map(str::to_owned),
            tool: self.options.tool.clone(),
            drop_private: self.options.drop_private,
            media_type: Some(ro_crate::media_type(anatomy.kind.extension()).to_owned()),
        };
        let existing = anatomy.packet.as_deref().map(xmp::screen).transpose()?;
        xmp::write(existing.as_deref(), &self.excerpt, &context)
    }

    fn copy(
        &self,
        original: &mut SourceFile,
        anatomy: &Anatomy,
        splice: &Splice,
        written: &Written,
        picture: &Digest,
    ) -> Result<Described, InscribeError> {
        let (path, portable) = self.place(anatomy.kind.extension())?;
        let mut staged = self.staging.create(&portable)?;
        staged.set_mode(original.stamp().mode)?;
        let spliced = match splice.run(original, &mut staged, &self.options.algorithms) {
            Ok(spliced) => spliced,
            Err(SpliceError::Sink(source)) => {
                return Err(source)
                    .while_doing("write", staged.path())
                    .map_err(InscribeError::from);
            }
            Err(SpliceError::Source(ContainerError::Read(source))) => {
                return Err(self.unreadable(source));
            }
            Err(SpliceError::Source(fault)) => return Err(self.fault(&fault.to_string())),
        };
        original.confirm_unchanged()?;
        let copy_at = staged.path().to_owned();
        staged.finish()?;
        self.confirm(&copy_at, picture)?;
        let mut removed: Vec<String> = splice
            .blanked()
            .iter()
            .map(|fact| fact.words().to_owned())
            .collect();
        removed.extend(written.removed_private.iter().cloned());
        removed.sort();
        removed.dedup();
        let conflicts: Vec<String> = written
            .conflicts
            .iter()
            .map(|one| {
                format!(
                    "{}: the file says “{}”, the catalogue “{}”",
                    one.plain_name(),
                    one.theirs,
                    one.ours
                )
            })
            .collect();
        let concerns = self.conflict_concerns(&conflicts);
        let file = InscribedFile {
            path,
            bytes: spliced.bytes,
            source_sha256: spliced.source_sha256,
            digests: spliced.digests,
            picture_digest: Some(picture.clone()),
            removed,
            conflicts,
            ..self.blank_file()
        };
        Ok(Described { file, concerns })
    }

    /// Reads the copy back from the disk: the same picture, the record that was meant.
    fn confirm(&self, copy_at: &Path, picture: &Digest) -> Result<(), InscribeError> {
        let mut copy = store::open(copy_at)?;
        let read_back =
            container::examine(&mut copy).map_err(|fault| self.fault(&fault.to_string()))?;
        let found = container::picture_digest(&mut copy, &read_back)
            .map_err(|fault| self.fault(&fault.to_string()))?;
        if found != *picture {
            return Err(self.fault("its picture digest is another than the original's"));
        }
        let packet = read_back
            .packet
            .ok_or_else(|| self.fault("it has no packet"))?;
        let screened = xmp::screen(&packet).map_err(|fault| self.fault(&fault.to_string()))?;
        let embedded = xmp::read(&screened).map_err(|fault| self.fault(&fault.to_string()))?;
        if embedded.record.as_ref() == Some(&self.excerpt) {
            Ok(())
        } else {
            Err(self.fault("the record in it is not the one that was meant"))
        }
    }

    /// Writes the record into a file beside the scan and says why.
    fn beside(&self, original: &mut SourceFile, why: &Refused) -> Result<Described, InscribeError> {
        let sha256 = self.sha256(original)?;
        let context = PacketContext {
            source_sha256: Some(sha256.clone()),
            tool: self.options.tool.clone(),
            drop_private: self.options.drop_private,
            ..PacketContext::default()
        };
        let written =
            xmp::write(None, &self.excerpt, &context).map_err(|fault| InscribeError::Packet {
                file: self.named.scan.file.clone(),
                what: fault.to_string(),
            })?;
        let (path, portable) = self.place("xmp")?;
        self.staging.write(&portable, written.packet.as_bytes())?;
        let digests = self
            .options
            .algorithms
            .iter()
            .map(|algorithm| Digest::of(*algorithm, written.packet.as_bytes()))
            .collect();
        let bytes = u64::try_from(written.packet.len()).unwrap_or(u64::MAX);
        let file = InscribedFile {
            path,
            bytes,
            source_sha256: sha256,
            digests,
            sidecar: true,
            ..self.blank_file()
        };
        Ok(Described {
            file,
            concerns: self.refusal_concern(why),
        })
    }

    fn refusal_concern(&self, why: &Refused) -> ConcernList {
        let (reason, offset) = match why {
            Refused::Container(fault) => (fault.to_string(), fault.offset()),
            Refused::Packet(fault) => (
                format!("the record that is in it already cannot be joined: {fault}"),
                None,
            ),
        };
        let mut concerns = ConcernList::default();
        let place = Place {
            offset,
            ..Place::file(self.named.scan.file.clone()).of_portrait(&self.named.portrait)
        };
        concerns.warning(
            "cannot-be-inscribed",
            place,
            format!("Nothing was written into a copy of this file: {reason}."),
            "Its record lies in a file ending in .xmp. To have it inside, put a JPEG or TIFF made from it into the collection as well.",
        );
        concerns
    }

    fn conflict_concerns(&self, conflicts: &[String]) -> ConcernList {
        let mut concerns = ConcernList::default();
        for conflict in conflicts {
            concerns.note(
                "file-says-otherwise",
                Place::file(self.named.scan.file.clone()).of_portrait(&self.named.portrait),
                format!("What stands in the file was left as it is. {conflict}."),
                "Nothing needs to be done. If the file is wrong, correct it with the program that wrote it.",
            );
        }
        concerns
    }

    fn place(&self, extension: &str) -> Result<(String, PortablePath), InscribeError> {
        let path = format!(
            "{}portraits/{}/{}.{extension}",
            self.options.prefix, self.named.folder, self.named.stem
        );
        let portable = PortablePath::new(&path).map_err(|why| InscribeError::Name {
            name: path.clone(),
            why,
        })?;
        Ok((path, portable))
    }

    fn sha256(&self, original: &mut SourceFile) -> Result<Digest, InscribeError> {
        original
            .rewind()
            .map_err(|source| self.unreadable(source))?;
        let (digests, _) = fixity::digest_all(&mut *original, &[Algorithm::Sha256])
            .map_err(|source| self.unreadable(source))?;
        Ok(digests
            .into_iter()
            .next()
            .unwrap_or_else(|| Digest::of(Algorithm::Sha256, b"")))
    }

    fn blank_file(&self) -> InscribedFile {
        InscribedFile {
            scan: self.named.scan.file.clone(),
            portrait: self.named.portrait.clone(),
            view: self.named.scan.view.given().copied(),
            name: self.named.stem.clone(),
            path: String::new(),
            bytes: 0,
            source_sha256: Digest::of(Algorithm::Sha256, b""),
            digests: Vec::new(),
            picture_digest: None,
            removed: Vec::new(),
            sidecar: false,
            conflicts: Vec::new(),
        }
    }

    fn fault(&self, what: &str) -> InscribeError {
        InscribeError::ReadBack {
            file: self.named.scan.file.clone(),
            what: what.to_owned(),
        }
    }

    fn unreadable(&self, source: std::io::Error) -> InscribeError {
        InscribeError::Store(store::StoreError::Disk {
            act: "read",
            path: self.root.join(&self.named.scan.file),
            source,
        })
    }
}
