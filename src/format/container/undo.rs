//! Undoing: what a described copy must say about itself so that the original's bytes can be got back from it alone.
//!
//! The note is one line of JSON: `undo` (1, the version of this form), `length` and `sha256` of what undoing gives back,
//! `blanked` (the private facts that were taken out for good, in plain words), `edits` (for each change, in the order of the
//! copy: where it is, how many bytes of the copy to take out, and the bytes to put in their place, deflated [RFC1950] and in
//! base64 [RFC4648 4]), and `pad` (blanks that keep the note at one length while it is being composed).

use super::edit::Changed;
use super::edit::Edit;
use super::edit::Insert;
use super::edit::Purpose;
use super::error::ContainerError;
use super::error::broken;
use super::inflate::inflated;
use super::source::PIECE_LIMIT;
use super::source::Range;
use super::source::count_of;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Running;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Deserialize;
use serde::Serialize;
use std::io::Read;
use std::io::Seek;
use std::io::Write;

/// The version of the note's form.
const VERSION: u32 = 1;
/// The most changes of one inscription: packets, numbers that depend on positions, entries of an index.
const EDIT_LIMIT: usize = 4096;

/// What gives the original's bytes back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UndoNote {
    undo: u32,
    length: u64,
    sha256: String,
    blanked: Vec<String>,
    edits: Vec<(u64, u64, String)>,
    pad: String,
}

impl UndoNote {
    /// Returns a note about changes; `removed` are the bytes that each takes away.
    pub(super) fn new(
        length: u64,
        blanked: &[String],
        edits: &[(Edit, Vec<u8>)],
    ) -> Result<Self, ContainerError> {
        let mut note = Self {
            undo: VERSION,
            length,
            sha256: "0".repeat(64),
            blanked: blanked.to_vec(),
            edits: Vec::new(),
            pad: String::new(),
        };
        // Where the copy is, minus where the original is.
        let (mut grown, mut shrunk) = (0_u64, 0_u64);
        for (edit, removed) in edits {
            let inserted = edit.inserted.length();
            if edit.purpose != Purpose::Blank {
                let at = edit
                    .removed
                    .offset
                    .saturating_add(grown)
                    .saturating_sub(shrunk);
                note.edits
                    .push((at, inserted, STANDARD.encode(deflated(removed)?)));
            }
            grown = grown.saturating_add(inserted);
            shrunk = shrunk.saturating_add(edit.removed.length);
        }
        Ok(note)
    }

    /// Says what the checksum of what undoing gives back is.
    pub(super) fn set_sha256(&mut self, digest: &Digest) {
        digest.hex().clone_into(&mut self.sha256);
    }

    /// Returns the note as text of exactly `length` bytes, if it is not longer.
    pub(super) fn text(&self, length: usize) -> Option<String> {
        let plain = serde_json::to_string(self).ok()?;
        let padded = Self {
            pad: " ".repeat(length.checked_sub(plain.len())?),
            ..self.clone()
        };
        serde_json::to_string(&padded).ok()
    }

    /// Returns a length in which a note about the same changes fits, wherever they come to lie.
    pub(super) fn room(&self) -> usize {
        /// Two numbers of up to twenty digits.
        const NUMBERS: usize = 40;
        let plain = serde_json::to_string(self).map_or(0, |text| text.len());
        plain.saturating_add(self.edits.len().saturating_add(1).saturating_mul(NUMBERS))
    }

    /// Reads the text of a note, if it is one of a form that this version knows.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let note: Self = serde_json::from_str(text).ok()?;
        let sound = note.undo == VERSION && note.edits.len() <= EDIT_LIMIT;
        sound.then_some(note)
    }

    /// Returns the private facts that were taken out for good, in plain words. If there are any, the original's bytes cannot be
    /// given back.
    #[must_use]
    pub fn blanked(&self) -> &[String] {
        &self.blanked
    }

    /// Returns the SHA-256 of what undoing gives back: of the original, unless private facts were taken out.
    #[must_use]
    pub fn sha256(&self) -> Option<Digest> {
        Digest::from_hex(Algorithm::Sha256, &self.sha256)
    }

    fn undoing(&self, copy_length: u64) -> Result<Vec<Edit>, ContainerError> {
        let mut edits = Vec::new();
        let mut total = 0_u64;
        for (offset, count, text) in &self.edits {
            let left = PIECE_LIMIT.saturating_sub(total);
            let bytes = STANDARD
                .decode(text)
                .ok()
                .and_then(|deflated| inflated(&deflated, left))
                .ok_or_else(|| {
                    broken(
                        *offset,
                        "the note about undoing is damaged, or holds more than is ever put back",
                    )
                })?;
            total = total.saturating_add(count_of(bytes.len()));
            edits.push(Edit {
                removed: Range::new(*offset, *count),
                inserted: Insert::Bytes(bytes),
                purpose: Purpose::Packet,
            });
        }
        super::edit::in_order(edits, copy_length)
    }
}

fn deflated(bytes: &[u8]) -> Result<Vec<u8>, ContainerError> {
    let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

/// A described copy as it was before it was described: reads like the original.
#[derive(Debug)]
pub struct Undone<'a, R> {
    changed: Changed<'a, R>,
}

impl<'a, R: Read + Seek> Undone<'a, R> {
    /// Looks at a described copy through its note, and makes sure that this gives the bytes that the note promises.
    ///
    /// # Errors
    /// The note does not fit the copy (something else was changed since), or the copy cannot be read.
    pub fn new(copy: &'a mut R, note: &UndoNote) -> Result<Self, ContainerError> {
        const CHANGED: &str = "the copy was changed by something else since it was described";
        let length = copy.seek(std::io::SeekFrom::End(0))?;
        let edits = note.undoing(length).map_err(|error| match error {
            ContainerError::Format { offset, .. } => broken(offset, CHANGED),
            other => other,
        })?;
        let mut changed = Changed::new(copy, length, edits)?;
        if changed.length() != note.length {
            return Err(broken(0, CHANGED));
        }
        let mut running = Running::new(Algorithm::Sha256);
        read_through(&mut changed, |bytes| {
            running.update(bytes);
            Ok(())
        })?;
        if Some(running.finish()) != note.sha256() {
            return Err(broken(0, CHANGED));
        }
        Ok(Self { changed })
    }

    /// Writes what was before.
    ///
    /// # Errors
    /// Gives the reader's or the writer's error.
    pub fn write(&mut self, mut target: impl Write) -> std::io::Result<u64> {
        read_through(&mut self.changed, |bytes| target.write_all(bytes))?;
        Ok(self.changed.length())
    }
}

fn read_through<R: Read + Seek>(
    changed: &mut Changed<'_, R>,
    mut take: impl FnMut(&[u8]) -> std::io::Result<()>,
) -> std::io::Result<()> {
    changed.seek(std::io::SeekFrom::Start(0))?;
    let mut buffer = crate::fixity::ReadBuffer::of(crate::fixity::READ_BUFFER);
    loop {
        match changed.read(&mut buffer) {
            Ok(0) => return Ok(()),
            Ok(count) => take(buffer.get(..count).unwrap_or_default())?,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

impl<R: Read + Seek> Read for Undone<'_, R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        self.changed.read(buffer)
    }
}

impl<R: Read + Seek> Seek for Undone<'_, R> {
    fn seek(&mut self, to: std::io::SeekFrom) -> std::io::Result<u64> {
        self.changed.seek(to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn noted() -> (Vec<u8>, Vec<u8>, UndoNote) {
        let original = b"0123456789".to_vec();
        let edits = vec![
            (
                Edit::room(Range::new(2, 3), b"packet".to_vec()),
                b"234".to_vec(),
            ),
            (Edit::room(Range::new(10, 0), b"tail".to_vec()), Vec::new()),
        ];
        let mut note = UndoNote::new(10, &[], &edits).unwrap();
        note.set_sha256(&Digest::of(Algorithm::Sha256, &original));
        (original, b"01packet56789tail".to_vec(), note)
    }

    #[test]
    fn a_note_gives_the_bytes_back() {
        let (original, copy, note) = noted();
        let room = note.room();
        let text = note.text(room).unwrap();
        assert_eq!(text.len(), room);
        let read = UndoNote::parse(&text).unwrap();
        let mut cursor = Cursor::new(copy);
        let mut back = Vec::new();
        Undone::new(&mut cursor, &read)
            .unwrap()
            .write(&mut back)
            .unwrap();
        assert_eq!(back, original);
    }

    #[test]
    fn a_copy_that_was_changed_is_not_undone() {
        let (_, copy, note) = noted();
        for index in [0, 8, 12] {
            let mut other = copy.clone();
            other[index] ^= 1;
            assert!(Undone::new(&mut Cursor::new(other), &note).is_err());
        }
        for length in 0..copy.len() {
            assert!(Undone::new(&mut Cursor::new(&copy[..length]), &note).is_err());
        }
    }

    #[test]
    fn notes_of_other_forms_are_not_read() {
        let (_, _, mut note) = noted();
        note.undo = 2;
        let text = serde_json::to_string(&note).unwrap();
        assert_eq!(UndoNote::parse(&text), None);
        assert_eq!(UndoNote::parse("take it out again"), None);
    }
}
