//! Files that cannot carry their record: it goes into a file beside them, and the reason is told.

use super::describe::Described;
use super::describe::Job;
use super::set::InscribeError;
use super::set::InscribedFile;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Digest;
use crate::format::xmp;
use crate::format::xmp::PacketContext;
use std::io::Read;
use std::io::Seek;

impl Job<'_> {
    /// Writes the record into a file beside the scan and says why.
    pub(super) fn beside<R: Read + Seek>(
        &self,
        reader: &mut R,
        why: &str,
        offset: Option<u64>,
    ) -> Result<Described, InscribeError> {
        let sha256 = self.sha256(reader)?;
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
            concerns: self.refusal_concern(why, offset),
        })
    }

    fn refusal_concern(&self, why: &str, offset: Option<u64>) -> ConcernList {
        let mut concerns = ConcernList::default();
        let place = Place {
            offset,
            ..Place::file(self.named.scan.file.clone()).of_portrait(&self.named.portrait)
        };
        concerns.warning(
            "cannot-be-inscribed",
            place,
            format!("Nothing was written into a copy of this file: {why}."),
            "Its record lies in a file ending in .xmp. To have it inside, put a JPEG or TIFF made from it into the collection as well.",
        );
        concerns
    }

    pub(super) fn conflict_concerns(&self, conflicts: &[String]) -> ConcernList {
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
}
