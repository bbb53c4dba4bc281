//! The note by which a described copy gives its original back, and the giving back.
//!
//! The note is one line: a version, the length of the original, and for each edit its place in the copy, how many bytes were put in,
//! and what was taken out (deflated, base64).

use super::error::ContainerError;
use super::error::broken;
use super::source::Flow;
use super::source::PIECE_LIMIT;
use super::source::Range;
use super::source::Source;
use super::splice::Edit;
use super::splice::SpliceError;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use serde::Deserialize;
use serde::Serialize;
use std::io::Read;
use std::io::Seek;
use std::io::Write;

/// The version of the note's form.
const VERSION: u32 = 1;

#[derive(Debug, Serialize, Deserialize)]
struct Note {
    version: u32,
    possible: bool,
    #[serde(default)]
    edits: Vec<Back>,
}

/// One edit, seen from the copy.
#[derive(Debug, Serialize, Deserialize)]
struct Back {
    at: u64,
    inserted: u64,
    removed: String,
}

/// Returns the note of a copy from which private facts were taken: its original cannot be given back, and that is meant.
pub(super) fn impossible() -> String {
    text(&Note {
        version: VERSION,
        possible: false,
        edits: Vec::new(),
    })
}

/// Returns the note for edits in the order of the file.
pub(super) fn note<R: Read + Seek>(
    source: &mut Source<'_, R>,
    edits: &[Edit],
) -> Result<String, ContainerError> {
    let mut backs = Vec::new();
    let mut shift = 0_i128;
    for edit in edits {
        let removed = source.read(
            Range::new(edit.at, edit.removed),
            "the file ended while it was read",
        )?;
        let at = i128::from(edit.at).saturating_add(shift);
        backs.push(Back {
            at: u64::try_from(at).unwrap_or_default(),
            inserted: edit.put.length(),
            removed: STANDARD.encode(deflated(&removed)?),
        });
        shift = shift
            .saturating_add(i128::from(edit.put.length()))
            .saturating_sub(i128::from(edit.removed));
    }
    Ok(text(&Note {
        version: VERSION,
        possible: true,
        edits: backs,
    }))
}

fn text(note: &Note) -> String {
    // Numbers and texts: JSON can always hold them.
    serde_json::to_string(note).unwrap_or_default()
}

fn deflated(bytes: &[u8]) -> Result<Vec<u8>, ContainerError> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

/// Why an original cannot be given back.
#[derive(Debug, thiserror::Error)]
pub enum UndoError {
    /// The copy carries no note that can be read.
    #[error(
        "it carries no note of what was put in, so it is no described copy or its label was changed"
    )]
    NoNote,
    /// Private facts were taken out when the copy was made.
    #[error(
        "private facts were taken out when this copy was made, so the original is not in it any more"
    )]
    Impossible,
    /// The pass was broken off.
    #[error(transparent)]
    Pass(#[from] SpliceError),
}

impl From<ContainerError> for UndoError {
    fn from(error: ContainerError) -> Self {
        Self::Pass(SpliceError::Source(error))
    }
}

/// Gives the bytes of the original back from a described copy and the note it carries.
///
/// # Errors
/// Says when there is no note, when the original is not in the copy, and gives the errors of reading and writing.
pub fn undo<R: Read + Seek>(
    reader: &mut R,
    note: &str,
    sink: &mut impl Write,
) -> Result<(), UndoError> {
    let note: Note = serde_json::from_str(note).map_err(|_| UndoError::NoNote)?;
    if note.version != VERSION {
        return Err(UndoError::NoNote);
    }
    if !note.possible {
        return Err(UndoError::Impossible);
    }
    let mut source = Source::new(reader)?;
    let mut at = 0;
    for back in &note.edits {
        let kept = back.at.checked_sub(at).ok_or(UndoError::NoNote)?;
        copy(&mut source, Range::new(at, kept), sink)?;
        let removed = inflated(&back.removed)?;
        sink.write_all(&removed).map_err(SpliceError::Sink)?;
        at = back.at.saturating_add(back.inserted);
    }
    let rest = source
        .length()
        .checked_sub(at)
        .ok_or_else(|| broken(at, "the copy is shorter than its own note says"))?;
    copy(&mut source, Range::new(at, rest), sink)
}

fn copy<R: Read + Seek>(
    source: &mut Source<'_, R>,
    range: Range,
    sink: &mut impl Write,
) -> Result<(), UndoError> {
    let mut fault = None;
    source.run(range, |_, bytes| match sink.write_all(bytes) {
        Ok(()) => Flow::On,
        Err(error) => {
            fault = Some(error);
            Flow::Stop
        }
    })?;
    fault.map_or(Ok(()), |error| Err(SpliceError::Sink(error).into()))
}

fn inflated(removed: &str) -> Result<Vec<u8>, UndoError> {
    let packed = STANDARD.decode(removed).map_err(|_| UndoError::NoNote)?;
    let mut bytes = Vec::new();
    DeflateDecoder::new(packed.as_slice())
        .take(PIECE_LIMIT)
        .read_to_end(&mut bytes)
        .map_err(|_| UndoError::NoNote)?;
    Ok(bytes)
}
