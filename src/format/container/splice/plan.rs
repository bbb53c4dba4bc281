//! Which bytes go and which come, settled from headers before anything is copied.

use super::Compose;
use super::Inscription;
use super::SpliceError;
use super::SpliceOptions;
use super::moved;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::anatomy::Layout;
use crate::format::container::edit::Edit;
use crate::format::container::edit::Purpose;
use crate::format::container::edit::in_order;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::jpeg;
use crate::format::container::packet::wrapped;
use crate::format::container::png;
use crate::format::container::private::PrivateFact;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::tiff;
use crate::format::container::undo::UndoNote;
use crate::format::container::webp;
use std::io::Read;
use std::io::Seek;

/// A change, and the bytes that undoing puts in its place.
pub(super) type Change = (Edit, Vec<u8>);

/// What was worked out about the original.
#[derive(Debug, Clone)]
pub(super) struct Known {
    /// SHA-256 of the original.
    pub(super) source: Digest,
    /// The picture digest.
    pub(super) picture: Digest,
    /// SHA-256 of what undoing gives back.
    pub(super) undone: Digest,
}

/// The settled plan.
pub(super) struct Plan<'a> {
    anatomy: &'a Anatomy,
    blanks: Vec<Range>,
    dropped: Vec<PrivateFact>,
    /// The private facts that are gone for good, in plain words.
    blanked: Vec<String>,
    /// The length to which the note is padded.
    room: usize,
    changes: Vec<Change>,
}

impl<'a> Plan<'a> {
    /// Settles a plan: the note about undoing is in the packet, and its length depends on where the packet comes to lie, so the
    /// packet is composed with zeros until the room for the note is enough.
    pub(super) fn new<R: Read + Seek, E>(
        reader: &mut R,
        anatomy: &'a Anatomy,
        options: &SpliceOptions,
        compose: &mut Compose<'_, E>,
    ) -> Result<Self, SpliceError<E>> {
        const ATTEMPTS: u8 = 4;
        let mut plan = Self::begun(anatomy, options)?;
        plan.changes = plan.with_packet(reader, "")?;
        for _ in 0..ATTEMPTS {
            plan.room = plan.note()?.room();
            let packet = plan.packet(None, compose)?;
            plan.changes = plan.with_packet(reader, &packet)?;
            if plan.note()?.text(plan.room).is_some() {
                return Ok(plan);
            }
        }
        Err(moved().into())
    }

    fn begun(anatomy: &'a Anatomy, options: &SpliceOptions) -> Result<Self, ContainerError> {
        let mut plan = Self {
            anatomy,
            blanks: Vec::new(),
            dropped: Vec::new(),
            blanked: options.also_dropped.clone(),
            room: 0,
            changes: Vec::new(),
        };
        if options.drop_private {
            plan.dropped = anatomy.private_facts();
            plan.blanked
                .extend(plan.dropped.iter().map(|fact| fact.words().to_owned()));
            plan.blanks = blanks(anatomy, !plan.blanked.is_empty())?;
        }
        plan.blanked.sort();
        plan.blanked.dedup();
        Ok(plan)
    }

    /// Tells whether private facts are gone for good.
    pub(super) fn is_blanked(&self) -> bool {
        !self.blanked.is_empty()
    }

    /// Returns the private facts that are taken out of the container.
    pub(super) fn dropped(&self) -> &[PrivateFact] {
        &self.dropped
    }

    /// Returns the changes before the packet and its place among the changes, if it comes after everything else in the file; else
    /// all of them, with a packet in which checksums are still zeros.
    pub(super) fn before_packet(&self) -> (&[Change], Option<usize>) {
        let end = self.anatomy.length;
        match self.changes.split_last() {
            Some(((last, _), before))
                if last.purpose == Purpose::Packet && last.removed == Range::new(end, 0) =>
            {
                (before, Some(before.len()))
            }
            _ => (&self.changes, None),
        }
    }

    /// Returns the changes with the packet as it will be.
    pub(super) fn finished<E>(
        &self,
        known: &Known,
        compose: &mut Compose<'_, E>,
    ) -> Result<Vec<Change>, SpliceError<E>> {
        let packet = self.packet(Some(known), compose)?;
        let edits = self.edits(&packet)?;
        let same = edits.len() == self.changes.len()
            && edits.iter().zip(&self.changes).all(|(new, (old, _))| {
                new.removed == old.removed && new.inserted.length() == old.inserted.length()
            });
        if !same {
            return Err(moved().into());
        }
        let removed = self.changes.iter().map(|(_, removed)| removed.clone());
        Ok(edits.into_iter().zip(removed).collect())
    }

    fn note(&self) -> Result<UndoNote, ContainerError> {
        UndoNote::new(self.anatomy.length, &self.blanked, &self.changes)
    }

    /// Composes the packet; as long as nothing is known, with zeros for checksums.
    fn packet<E>(
        &self,
        known: Option<&Known>,
        compose: &mut Compose<'_, E>,
    ) -> Result<String, SpliceError<E>> {
        let zeros = Digest::from_hex(Algorithm::Sha256, &"0".repeat(64)).ok_or_else(moved)?;
        let is_settled = known.is_some();
        let known = known.cloned().unwrap_or_else(|| Known {
            source: zeros.clone(),
            picture: zeros.clone(),
            undone: zeros,
        });
        let mut note = self.note()?;
        note.set_sha256(&known.undone);
        let undo = note.text(self.room).ok_or_else(moved)?;
        let inscription = Inscription {
            undo: &undo,
            picture_digest: known.picture.clone(),
            source_sha256: (!self.is_blanked()).then(|| known.source.clone()),
            is_settled,
        };
        Ok(wrapped(
            &compose(&inscription).map_err(SpliceError::Compose)?,
        ))
    }

    fn edits(&self, packet: &str) -> Result<Vec<Edit>, ContainerError> {
        let anatomy = self.anatomy;
        let mut edits = match &anatomy.layout {
            Layout::Jpeg(layout) => jpeg::edits(layout, packet)?,
            Layout::Png(layout) => png::edits(layout, packet)?,
            Layout::WebP(layout) => webp::edits(layout, (anatomy.width, anatomy.height), packet)?,
            Layout::Tiff(layout) => tiff::edits(layout, anatomy.length, packet, &self.blanks)?,
        };
        edits.extend(self.blanking());
        in_order(edits, anatomy.length)
    }

    fn blanking(&self) -> Vec<Edit> {
        let plain =
            |ranges: &[Range]| -> Vec<Edit> { ranges.iter().copied().map(Edit::blank).collect() };
        match &self.anatomy.layout {
            Layout::Png(layout) if !self.blanks.is_empty() => {
                let mut edits = png::blanking(layout, self.anatomy.exif.as_deref(), &self.blanks);
                let trailer = self.anatomy.trailer;
                let behind = self
                    .blanks
                    .iter()
                    .filter(|one| trailer.is_some_and(|all| all.offset <= one.offset));
                edits.extend(behind.copied().map(Edit::blank));
                edits
            }
            _ => plain(&self.blanks),
        }
    }

    /// Returns the changes for a packet, each with the bytes that undoing puts back.
    fn with_packet<R: Read + Seek>(
        &self,
        reader: &mut R,
        packet: &str,
    ) -> Result<Vec<Change>, ContainerError> {
        let mut source = Source::new(reader)?;
        let mut changes = Vec::new();
        for edit in self.edits(packet)? {
            let removed = match edit.purpose {
                Purpose::Blank => Vec::new(),
                Purpose::Packet | Purpose::Room { .. } => self.removed(&mut source, &edit)?,
            };
            changes.push((edit, removed));
        }
        Ok(changes)
    }

    /// An older packet may hold the very facts that are taken out: then only its frame is kept.
    fn removed<R: Read + Seek>(
        &self,
        source: &mut Source<'_, R>,
        edit: &Edit,
    ) -> Result<Vec<u8>, ContainerError> {
        let mut bytes = source.read(edit.removed, "the file ended while it was read")?;
        if self.is_blanked() {
            let kept = match edit.purpose {
                Purpose::Room { kept } => usize::try_from(kept).unwrap_or(usize::MAX),
                // The place of the packet is that of an older one, of which marker, length and prefix are kept.
                Purpose::Packet | Purpose::Blank => 33,
            };
            bytes.iter_mut().skip(kept).for_each(|byte| *byte = 0);
        }
        Ok(bytes)
    }
}

/// Returns the ranges to blank, joined where they touch; none may reach into the picture.
fn blanks(anatomy: &Anatomy, with_packets: bool) -> Result<Vec<Range>, ContainerError> {
    let mut ranges: Vec<Range> = anatomy
        .private
        .iter()
        .flat_map(|one| one.ranges.clone())
        .collect();
    if let (Layout::Tiff(layout), true) = (&anatomy.layout, with_packets) {
        ranges.extend(layout.packets());
    }
    ranges.retain(|range| range.length > 0 && range.end() <= anatomy.length);
    ranges.sort_unstable();
    let mut joined: Vec<Range> = Vec::new();
    for range in ranges {
        match joined.last_mut() {
            Some(last) if range.offset <= last.end() => {
                let end = last.end().max(range.end());
                last.length = end.saturating_sub(last.offset);
            }
            _ => joined.push(range),
        }
    }
    if joined.is_empty() {
        return Ok(joined);
    }
    let reaches = |picture: Range| {
        let index = joined.partition_point(|one| one.end() <= picture.offset);
        joined
            .get(index)
            .filter(|one| one.offset < picture.end())
            .copied()
    };
    match anatomy.picture_ranges().find_map(reaches) {
        Some(range) => Err(broken(
            range.offset,
            "private facts lie over the picture itself, so they cannot be taken out",
        )),
        None => Ok(joined),
    }
}
