//! Putting a packet into a copy: which bytes go in and out, and one pass that does it.
//!
//! Every byte that is not named in an edit is copied as it is. What was taken out is kept, packed small, in a note inside the new
//! packet, so that the original can be given back.

use super::anatomy::Anatomy;
use super::anatomy::Layout;
use super::error::ContainerError;
use super::private::PrivateFact;
use super::source::Flow;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use super::undo;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Running;
use std::io::Read;
use std::io::Seek;
use std::io::Write;

/// Room that is left in a packet, in bytes, so that the next change of words need not move anything.
const PADDING: usize = 2048;

/// A change on the way from the original to the copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Edit {
    /// Where in the original.
    pub(super) at: u64,
    /// How many bytes of the original are left out.
    pub(super) removed: u64,
    /// What stands there instead.
    pub(super) put: Put,
}

/// What an edit puts in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Put {
    /// These bytes.
    Bytes(Vec<u8>),
    /// So many zeros.
    Zeros(u64),
}

impl Put {
    pub(super) fn length(&self) -> u64 {
        match self {
            Self::Bytes(bytes) => count_of(bytes.len()),
            Self::Zeros(count) => *count,
        }
    }
}

impl Edit {
    pub(super) fn replace(range: Range, bytes: Vec<u8>) -> Self {
        Self {
            at: range.offset,
            removed: range.length,
            put: Put::Bytes(bytes),
        }
    }

    pub(super) fn blank(range: Range) -> Self {
        Self {
            at: range.offset,
            removed: range.length,
            put: Put::Zeros(range.length),
        }
    }

    fn end(&self) -> u64 {
        self.at.saturating_add(self.removed)
    }
}

/// How a packet is put in.
#[derive(Debug, Clone, Copy, Default)]
pub struct SpliceOptions {
    /// Whether private facts outside the packet are filled with zeros. No byte moves for that.
    pub drop_private: bool,
}

/// A plan to make a described copy.
#[derive(Debug, Clone)]
pub struct Splice {
    edits: Vec<Edit>,
    length: u64,
    blanked: Vec<PrivateFact>,
}

/// Why a plan could not be made.
#[derive(Debug)]
pub enum PlanFault<E> {
    /// The file does not allow it.
    Container(ContainerError),
    /// The packet could not be composed.
    Compose(E),
}

impl<E> From<ContainerError> for PlanFault<E> {
    fn from(error: ContainerError) -> Self {
        Self::Container(error)
    }
}

/// What a pass gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spliced {
    /// SHA-256 of the original, worked out while it passed.
    pub source_sha256: Digest,
    /// The checksums of the copy, in the order asked for.
    pub digests: Vec<Digest>,
    /// The length of the copy in bytes.
    pub bytes: u64,
}

/// Why a pass was broken off.
#[derive(Debug, thiserror::Error)]
pub enum SpliceError {
    /// The original could not be read.
    #[error(transparent)]
    Source(#[from] ContainerError),
    /// The copy could not be written.
    #[error("the copy could not be written")]
    Sink(#[source] std::io::Error),
}

/// Plans a described copy. `compose` is given the note by which the original can be given back, and returns the packet; it is asked
/// twice, first to learn how long the packet will be.
///
/// # Errors
/// - [`PlanFault::Container`] when nothing may be written into this file, or the packet is too large for it.
/// - [`PlanFault::Compose`] with the composer's own error.
pub fn plan<R: Read + Seek, E>(
    reader: &mut R,
    anatomy: &Anatomy,
    options: SpliceOptions,
    mut compose: impl FnMut(&str) -> Result<String, E>,
) -> Result<Splice, PlanFault<E>> {
    if let Some(refusal) = anatomy.refusal.or(anatomy.uncertain) {
        return Err(ContainerError::from(refusal).into());
    }
    let mut source = Source::new(reader)?;
    let restorable = !options.drop_private;
    let trial = edits(&mut source, anatomy, options, &[])?;
    let draft_note = if restorable {
        undo::note(&mut source, &trial)?
    } else {
        undo::impossible()
    };
    let draft = compose(&draft_note).map_err(PlanFault::Compose)?;
    // Positions in the note have at most 20 digits each; the padding has room for all of them to grow.
    let slack = trial.len().saturating_mul(40);
    let room = draft.len().saturating_add(PADDING).saturating_add(slack);
    let edits_of =
        |source: &mut Source<'_, R>, packet: &[u8]| edits(source, anatomy, options, packet);
    let final_edits = edits_of(&mut source, &vec![b' '; room])?;
    let note = if restorable {
        undo::note(&mut source, &final_edits)?
    } else {
        undo::impossible()
    };
    let packet = compose(&note).map_err(PlanFault::Compose)?;
    let Some(padded) = padded(&packet, room) else {
        return Err(ContainerError::Unsupported {
            offset: 0,
            why: "the record did not fit into the room that was made for it",
        }
        .into());
    };
    let edits = edits_of(&mut source, padded.as_bytes())?;
    let blanked = if options.drop_private {
        anatomy.private_facts()
    } else {
        Vec::new()
    };
    Ok(Splice {
        edits,
        length: anatomy.length,
        blanked,
    })
}

/// Puts blanks before the wrapper's end until the packet has exactly this length. [ISO 16684-1 7.3.2]
fn padded(packet: &str, room: usize) -> Option<String> {
    let missing = room.checked_sub(packet.len())?;
    let end = packet.rfind("<?xpacket end")?;
    let (body, wrapper) = packet.split_at_checked(end)?;
    let mut text = String::with_capacity(room);
    text.push_str(body);
    for index in 1..=missing {
        text.push(if index % 100 == 0 { '\n' } else { ' ' });
    }
    text.push_str(wrapper);
    Some(text)
}

fn edits<R: Read + Seek>(
    source: &mut Source<'_, R>,
    anatomy: &Anatomy,
    options: SpliceOptions,
    packet: &[u8],
) -> Result<Vec<Edit>, ContainerError> {
    let blank = if options.drop_private {
        private_ranges(anatomy)
    } else {
        Vec::new()
    };
    let mut edits = match &anatomy.layout {
        Layout::Jpeg(layout) => super::jpeg::place(layout, packet)?,
        Layout::Png(layout) => super::png::place(source, layout, packet, &blank)?,
        Layout::Tiff(layout) => super::tiff::place(source, layout, packet, &blank)?,
        Layout::WebP(layout) => super::webp::place(source, layout, anatomy, packet)?,
    };
    let placed = edits.len();
    for range in blank {
        edits.extend(
            outside(range, edits.get(..placed).unwrap_or_default())
                .into_iter()
                .map(Edit::blank),
        );
    }
    edits.sort_by_key(|edit| (edit.at, edit.removed));
    Ok(edits)
}

/// Returns the ranges of all private facts in order, without overlaps.
fn private_ranges(anatomy: &Anatomy) -> Vec<Range> {
    let mut ranges: Vec<Range> = anatomy
        .private
        .iter()
        .flat_map(|private| private.ranges.iter().copied())
        .collect();
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
    joined.retain(|range| range.length > 0);
    joined
}

/// Returns the parts of a range that no edit touches.
fn outside(range: Range, edits: &[Edit]) -> Vec<Range> {
    let mut parts = vec![range];
    for edit in edits.iter().filter(|edit| edit.removed > 0) {
        parts = parts
            .into_iter()
            .flat_map(|part| {
                let before = Range::new(
                    part.offset,
                    edit.at.min(part.end()).saturating_sub(part.offset),
                );
                let after_start = edit.end().max(part.offset);
                let after = Range::new(after_start, part.end().saturating_sub(after_start));
                [before, after]
            })
            .filter(|part| part.length > 0)
            .collect();
    }
    parts
}

impl Splice {
    /// Returns the private facts that are filled with zeros.
    #[must_use]
    pub fn blanked(&self) -> &[PrivateFact] {
        &self.blanked
    }

    /// Copies the original with the packet put in, in one pass from its first byte to its last.
    ///
    /// # Errors
    /// Gives the error of reading or of writing.
    pub fn run<R: Read + Seek>(
        &self,
        reader: &mut R,
        sink: &mut impl Write,
        algorithms: &[Algorithm],
    ) -> Result<Spliced, SpliceError> {
        let mut source = Source::new(reader)?;
        let mut pass = Pass {
            sink,
            source: Running::new(Algorithm::Sha256),
            copy: algorithms.iter().copied().map(Running::new).collect(),
            bytes: 0,
            fault: None,
        };
        let mut at = 0;
        for edit in &self.edits {
            pass.keep(&mut source, Range::new(at, edit.at.saturating_sub(at)))?;
            pass.leave_out(&mut source, Range::new(edit.at, edit.removed))?;
            pass.put(&edit.put)?;
            at = edit.end();
        }
        pass.keep(&mut source, Range::new(at, self.length.saturating_sub(at)))?;
        Ok(Spliced {
            source_sha256: pass.source.finish(),
            digests: pass.copy.into_iter().map(Running::finish).collect(),
            bytes: pass.bytes,
        })
    }
}

struct Pass<'a, W> {
    sink: &'a mut W,
    source: Running,
    copy: Vec<Running>,
    bytes: u64,
    fault: Option<std::io::Error>,
}

impl<W: Write> Pass<'_, W> {
    fn keep<R: Read + Seek>(
        &mut self,
        source: &mut Source<'_, R>,
        range: Range,
    ) -> Result<(), SpliceError> {
        source.run(range, |_, bytes| {
            self.source.update(bytes);
            self.write(bytes)
        })?;
        self.outcome()
    }

    fn leave_out<R: Read + Seek>(
        &mut self,
        source: &mut Source<'_, R>,
        range: Range,
    ) -> Result<(), SpliceError> {
        source.run(range, |_, bytes| {
            self.source.update(bytes);
            Flow::On
        })?;
        Ok(())
    }

    fn put(&mut self, put: &Put) -> Result<(), SpliceError> {
        match put {
            Put::Bytes(bytes) => {
                self.write(bytes);
            }
            Put::Zeros(count) => {
                let zeros = [0_u8; 4096];
                let mut left = *count;
                while left > 0 {
                    let now = usize::try_from(left).unwrap_or(usize::MAX).min(zeros.len());
                    self.write(zeros.get(..now).unwrap_or_default());
                    left = left.saturating_sub(count_of(now));
                }
            }
        }
        self.outcome()
    }

    fn write(&mut self, bytes: &[u8]) -> Flow {
        if self.fault.is_none()
            && let Err(error) = self.sink.write_all(bytes)
        {
            self.fault = Some(error);
        }
        self.copy
            .iter_mut()
            .for_each(|running| running.update(bytes));
        self.bytes = self.bytes.saturating_add(count_of(bytes.len()));
        if self.fault.is_some() {
            Flow::Stop
        } else {
            Flow::On
        }
    }

    fn outcome(&mut self) -> Result<(), SpliceError> {
        self.fault
            .take()
            .map_or(Ok(()), |error| Err(SpliceError::Sink(error)))
    }
}
