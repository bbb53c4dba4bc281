//! One described copy: examined, written in one pass, read back, compared.

use super::confirm::SMALL;
use super::confirm::held;
use super::existing::Existing;
use super::naming::Named;
use super::set::InscribeError;
use super::set::InscribeOptions;
use super::set::InscribedFile;
use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::container::ContainerError;
use crate::format::container::Inscription;
use crate::format::container::SpliceError;
use crate::format::container::SpliceOptions;
use crate::format::container::SplicedCopy;
use crate::format::container::Target;
use crate::format::container::Undone;
use crate::format::ro_crate;
use crate::format::xmp;
use crate::format::xmp::Capture;
use crate::format::xmp::PacketContext;
use crate::format::xmp::PacketError;
use crate::format::xmp::Written;
use crate::portable_path::PortablePath;
use crate::record::Collection;
use crate::record::Excerpts;
use crate::store;
use crate::store::SourceFile;
use crate::store::staging::Staging;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
use std::path::Path;

/// A copy, and what was noticed.
#[derive(Debug)]
pub(super) struct Described {
    pub(super) file: InscribedFile,
    pub(super) concerns: ConcernList,
}

/// One piece of work with everything that it needs.
pub(super) struct Job<'a> {
    pub(super) named: &'a Named<'a>,
    pub(super) excerpt: Collection,
    pub(super) options: &'a InscribeOptions,
    pub(super) staging: &'a Staging,
    root: &'a Path,
    /// Whether the original is held in memory.
    held: bool,
    /// Who may read and write the original, as the system's bits: the same for the copy.
    mode: u32,
}

/// Why a file has no described copy.
enum Trouble {
    /// The file is not what it should be, or not understood: its record goes beside it.
    Refused(ContainerError),
    /// The packet in the file, which begins there, cannot be joined with ours, or ours is too large for the file.
    Packet(PacketError, Option<u64>),
    /// The disk, or a fault of ours: the work ends.
    Fatal(InscribeError),
}

impl From<InscribeError> for Trouble {
    fn from(error: InscribeError) -> Self {
        Self::Fatal(error)
    }
}

/// Writes the described copy of one scan, or the file beside it.
pub(super) fn describe(
    record: &Excerpts<'_>,
    root: &Path,
    named: &Named<'_>,
    options: &InscribeOptions,
    staging: &Staging,
) -> Result<Described, InscribeError> {
    let mut original = store::open(&root.join(&named.scan.file))?;
    let job = Job {
        named,
        excerpt: record.excerpt(&named.portrait, Some(named.scan)),
        options,
        staging,
        root,
        held: original.length() <= SMALL,
        mode: original.stamp().mode,
    };
    let described = job.original(&mut original);
    original.confirm_unchanged()?;
    described
}

impl Job<'_> {
    fn original(&self, original: &mut SourceFile) -> Result<Described, InscribeError> {
        if !self.held {
            return self.described_or_beside(original);
        }
        let bytes = held(original)?;
        self.described_or_beside(&mut Cursor::new(bytes))
    }

    fn described_or_beside<R: Read + Seek>(
        &self,
        reader: &mut R,
    ) -> Result<Described, InscribeError> {
        match self.described(reader) {
            Ok(described) => Ok(described),
            Err(Trouble::Fatal(error)) => Err(error),
            Err(Trouble::Refused(ContainerError::Read(source))) => Err(self.unreadable(source)),
            Err(Trouble::Refused(fault)) => self.beside(reader, &fault.to_string(), fault.offset()),
            Err(Trouble::Packet(fault, offset)) => {
                let why = format!("the record that is in it already cannot be joined: {fault}");
                self.beside(reader, &why, offset)
            }
        }
    }

    /// A described copy that is described anew is undone first, on the way, so that it does not grow and can be undone still.
    fn described<R: Read + Seek>(&self, reader: &mut R) -> Result<Described, Trouble> {
        let anatomy = container::examine(reader).map_err(Trouble::Refused)?;
        let existing =
            Existing::of(&anatomy).map_err(|fault| Trouble::Packet(fault, anatomy.packet_at()))?;
        if let Some(note) = &existing.note
            && let Ok(mut undone) = Undone::new(reader, note)
        {
            let before = container::examine(&mut undone).map_err(Trouble::Refused)?;
            let mut described = self.copy(&mut undone, &before, &existing)?;
            described.file.source_sha256 = self.sha256(reader)?;
            return Ok(described);
        }
        let existing = Existing {
            note: None,
            ..existing
        };
        self.copy(reader, &anatomy, &existing)
    }

    fn copy<R: Read + Seek>(
        &self,
        reader: &mut R,
        anatomy: &Anatomy,
        existing: &Existing,
    ) -> Result<Described, Trouble> {
        let anatomy = &self.with_small_pictures(reader, anatomy);
        let (path, portable) = self.place(anatomy.kind.extension())?;
        let mut staged = self
            .staging
            .create(&portable)
            .map_err(InscribeError::from)?;
        staged.set_mode(self.mode).map_err(InscribeError::from)?;
        let mut written_copy = staged.reader().map_err(InscribeError::from)?;
        let mut last = None;
        let spliced = container::splice(
            reader,
            anatomy,
            &self.splice_options(existing, anatomy.length),
            &mut |inscription| {
                let written = self.compose(anatomy, existing, inscription)?;
                let packet = written.packet.clone();
                last = Some(written);
                Ok(packet)
            },
            Target {
                write: &mut staged,
                read_back: Some(&mut written_copy),
            },
        );
        let copy_at = staged.path().to_owned();
        let spliced = match spliced {
            Ok(spliced) => spliced,
            Err(error) => {
                drop(staged);
                self.staging
                    .remove(&portable)
                    .map_err(InscribeError::from)?;
                return Err(self.trouble(error, &copy_at, anatomy.packet_at()));
            }
        };
        staged.finish().map_err(InscribeError::from)?;
        let written = last.ok_or_else(|| self.fault("no packet was composed"))?;
        self.confirm(&copy_at, anatomy, &spliced)?;
        Ok(self.told(path, spliced, &written))
    }

    fn splice_options(&self, existing: &Existing, length: u64) -> SpliceOptions {
        let mut also_dropped = match &existing.note {
            Some(note) => note.blanked().to_vec(),
            None => Vec::new(),
        };
        if self.options.drop_private {
            also_dropped.extend(existing.private.iter().cloned());
        }
        SpliceOptions {
            drop_private: self.options.drop_private,
            also_dropped,
            algorithms: self.options.algorithms.clone(),
            threads: if length > SMALL {
                self.options.threads
            } else {
                1
            },
            held: self.held,
        }
    }

    /// Where private facts are taken out, the checksum of the original is left out of the record too: whoever has the copy could
    /// try places until the checksum fits.
    ///
    /// The size is that of the file itself: places of faces mean nothing without it, and a sheet need not hold it.
    pub(super) fn excerpt(&self, can_be_undone: bool, anatomy: &Anatomy) -> Collection {
        let mut excerpt = self.excerpt.clone();
        for scan in &mut excerpt.scans {
            if anatomy.width > 0 && anatomy.height > 0 {
                scan.facts.width = Some(anatomy.width);
                scan.facts.height = Some(anatomy.height);
            }
            if !can_be_undone {
                scan.facts.sha256 = None;
            }
        }
        excerpt
    }

    fn compose(
        &self,
        anatomy: &Anatomy,
        existing: &Existing,
        inscription: &Inscription<'_>,
    ) -> Result<Written, PacketError> {
        let context = PacketContext {
            capture: Capture::Unknown,
            picture_digest: Some(inscription.picture_digest.clone()),
            source_sha256: inscription.source_sha256.clone(),
            undo: Some(inscription.undo.to_owned()),
            tool: self.options.tool.clone(),
            drop_private: self.options.drop_private,
            media_type: Some(ro_crate::media_type(anatomy.kind.extension()).to_owned()),
        };
        let excerpt = self.excerpt(inscription.source_sha256.is_some(), anatomy);
        let write = match inscription.is_settled {
            true => xmp::write,
            false => xmp::draft,
        };
        write(existing.packet.as_deref(), &excerpt, &context)
    }

    fn told(&self, path: String, spliced: SplicedCopy, written: &Written) -> Described {
        let mut removed: Vec<String> = spliced
            .dropped
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
            bytes: spliced.length,
            source_sha256: spliced.source_sha256,
            digests: spliced.digests,
            picture_digest: Some(spliced.picture_digest),
            removed,
            conflicts,
            ..self.blank_file()
        };
        Described { file, concerns }
    }

    pub(super) fn place(&self, extension: &str) -> Result<(String, PortablePath), InscribeError> {
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

    pub(super) fn sha256<R: Read + Seek>(&self, reader: &mut R) -> Result<Digest, InscribeError> {
        container::source_digest(reader).map_err(|fault| match fault {
            ContainerError::Read(source) => self.unreadable(source),
            other => self.fault(&other.to_string()),
        })
    }

    pub(super) fn blank_file(&self) -> InscribedFile {
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

    fn trouble(
        &self,
        error: SpliceError<PacketError>,
        copy_at: &Path,
        packet_at: Option<u64>,
    ) -> Trouble {
        let disk = |act, source| {
            Trouble::Fatal(InscribeError::Store(store::StoreError::Disk {
                act,
                path: copy_at.to_owned(),
                source,
            }))
        };
        match error {
            SpliceError::Container(fault) => Trouble::Refused(fault),
            SpliceError::Compose(fault) => Trouble::Packet(fault, packet_at),
            SpliceError::Write(source) => disk("write", source),
            SpliceError::ReadBack(source) => disk("read", source),
            SpliceError::Differs { offset } => Trouble::Fatal(self.fault(&format!(
                "reading it back gave something else than was written (at byte {offset})"
            ))),
        }
    }

    pub(super) fn fault(&self, what: &str) -> InscribeError {
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
