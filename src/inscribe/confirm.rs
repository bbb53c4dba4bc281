//! The last look at a described copy, of which every byte was read back behind the writer: the same picture, the record that was
//! meant, nothing private left.

use super::describe::Job;
use super::set::InscribeError;
use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::container::ContainerError;
use crate::format::container::SplicedCopy;
use crate::format::xmp;
use crate::format::xmp::Embedded;
use crate::format::xmp::PacketError;
use crate::store;
use crate::store::SourceFile;
use crate::store::StoreError;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
use std::path::Path;

/// Files up to this length are held in memory, in bytes, so that the disk is asked for them once.
pub(super) const SMALL: u64 = 16 * 1024 * 1024;

/// The copy is held too up to this length only: packets of some megabytes are in memory more than once already.
const SMALL_COPY: u64 = 2 * 1024 * 1024;

impl Job<'_> {
    /// Examines the copy from its first byte on, as if nothing were known of it.
    pub(super) fn confirm(
        &self,
        copy_at: &Path,
        original: &Anatomy,
        spliced: &SplicedCopy,
    ) -> Result<(), InscribeError> {
        let mut copy = store::open(copy_at)?;
        let read_back = if copy.length() > SMALL_COPY {
            self.same_picture(&mut copy, original, spliced)?
        } else {
            self.same_picture(&mut Cursor::new(held(&mut copy)?), original, spliced)?
        };
        let embedded = match existing_record(&read_back) {
            Ok(Some(embedded)) => embedded,
            Ok(None) => return Err(self.fault("it has no packet")),
            Err(fault) => return Err(self.fault(&fault.to_string())),
        };
        if self.options.drop_private
            && (!read_back.private.is_empty() || !embedded.private_found.is_empty())
        {
            return Err(self.fault("private facts are still in it"));
        }
        if embedded.record == Some(self.excerpt(spliced.can_be_undone, &read_back)) {
            Ok(())
        } else {
            Err(self.fault("the record in it is not the one that was meant"))
        }
    }

    /// The bytes are known to be right, so it is enough that the picture is found where the original's went. Where the copy is
    /// understood another way, its digest is worked out.
    fn same_picture<R: Read + Seek>(
        &self,
        copy: &mut R,
        original: &Anatomy,
        spliced: &SplicedCopy,
    ) -> Result<Anatomy, InscribeError> {
        let told = |fault: ContainerError| self.fault(&fault.to_string());
        let read_back = container::examine(copy).map_err(told)?;
        if spliced.carries_picture(original, &read_back) {
            return Ok(read_back);
        }
        let found = container::picture_digest(copy, &read_back).map_err(told)?;
        if read_back.length == spliced.length && found == spliced.picture_digest {
            Ok(read_back)
        } else {
            Err(self.fault("its picture digest is another than the original's"))
        }
    }
}

fn existing_record(anatomy: &Anatomy) -> Result<Option<Embedded>, PacketError> {
    let Some(packet) = &anatomy.packet else {
        return Ok(None);
    };
    Ok(Some(xmp::read(&xmp::screen(packet)?)?))
}

/// Reads a small file into memory.
pub(super) fn held(file: &mut SourceFile) -> Result<Vec<u8>, StoreError> {
    // One byte more, so that the end is seen without making room for more.
    let room = file.length().min(SMALL).saturating_add(1);
    let mut bytes = Vec::with_capacity(usize::try_from(room).unwrap_or_default());
    match file.by_ref().take(SMALL).read_to_end(&mut bytes) {
        Ok(_) => Ok(bytes),
        Err(source) => Err(StoreError::Disk {
            act: "read",
            path: file.path().to_owned(),
            source,
        }),
    }
}
