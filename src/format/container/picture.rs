//! The picture digest: SHA-256 over the coded picture alone. `schemas/PICTURE-DIGEST.md` says which bytes count.

use super::anatomy::Anatomy;
use super::anatomy::Picture;
use super::anatomy::Piece;
use super::error::ContainerError;
use super::source::Flow;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Portion;
use crate::fixity::Running;
use std::io::Read;
use std::io::Seek;

/// Works out the picture digest of the file that `anatomy` was read from.
///
/// It covers everything that decides how the picture is decoded, and nothing else, so that it stays the same whatever is
/// done to the file's metadata, and changes when one bit of the picture does:
///
/// - JPEG: frame headers, tables, scan headers (segments `FFC0` to `FFCF`, `FFDA` to `FFDF`), each from its marker to its end,
///   Adobe's APP14 segment, and the coded data after each scan header, in the order of the file, up to the end marker; before
///   them the four letters `JFIF` where a JFIF segment decides about colours.
/// - PNG: the chunks IHDR, PLTE, tRNS, IDAT, acTL, fcTL, fdAT, each from its length to its checksum, in the order of the file.
/// - WebP: the chunks `VP8 `, `VP8L`, `ALPH`, `ANIM`, `ANMF`, each from its name to the end of its content; with one of the
///   last three also flags and canvas of `VP8X`.
/// - TIFF: for each directory, in the order of the file and each followed by those below it, the deciding tags as lines of
///   text, then strips, tiles and JPEG stream.
///
/// # Errors
/// Gives the refusal of a file whose picture cannot be found for certain, and the reader's errors.
pub fn picture_digest<R: Read + Seek>(
    reader: &mut R,
    anatomy: &Anatomy,
) -> Result<Digest, ContainerError> {
    if let Some(refusal) = anatomy.uncertain {
        return Err(ContainerError::Format {
            offset: refusal.offset,
            what: refusal.why,
        });
    }
    let mut source = Source::new(reader)?;
    let mut running = Running::new(Algorithm::Sha256);
    for piece in anatomy.picture.pieces() {
        match piece {
            Piece::Words(words) => running.update(words),
            Piece::Stored(range) => source.run(*range, |_, bytes| {
                running.update(bytes);
                Flow::On
            })?,
        }
    }
    Ok(running.finish())
}

/// The picture digest of a file that passes by once, from its first byte to its last.
#[derive(Debug)]
pub(super) struct Passing<'a> {
    pieces: std::slice::Iter<'a, Piece>,
    current: Option<Range>,
    running: Running,
}

impl<'a> Passing<'a> {
    /// Begins, if the picture's pieces come in the order of the file.
    pub(super) fn new(picture: &'a Picture) -> Option<Self> {
        let mut end = 0;
        for piece in picture.pieces() {
            if let Piece::Stored(range) = piece {
                if range.offset < end {
                    return None;
                }
                end = range.end();
            }
        }
        let mut passing = Self {
            pieces: picture.pieces().iter(),
            current: None,
            running: Running::new(Algorithm::Sha256),
        };
        while let Some(words) = passing.advance() {
            passing.running.update(words);
        }
        Some(passing)
    }

    /// Goes on to the next piece; returns it if it is words.
    fn advance(&mut self) -> Option<&'a [u8]> {
        self.current = None;
        match self.pieces.next()? {
            Piece::Words(words) => Some(words),
            Piece::Stored(range) => {
                self.current = Some(*range);
                None
            }
        }
    }

    /// Returns what bytes of the file that begin at `offset` give to the digest.
    pub(super) fn portion<'s>(&'s mut self, offset: u64, bytes: &'s [u8]) -> Portion<'s> {
        let end = offset.saturating_add(count_of(bytes.len()));
        let place = |at: u64| usize::try_from(at.saturating_sub(offset)).unwrap_or(usize::MAX);
        let mut pieces: Vec<&[u8]> = Vec::new();
        while let Some(range) = self.current {
            let from = range.offset.max(offset);
            let to = range.end().min(end);
            if from >= to {
                break;
            }
            pieces.extend(bytes.get(place(from)..place(to)));
            if range.end() > end {
                break;
            }
            while let Some(words) = self.advance() {
                pieces.push(words);
            }
        }
        Portion {
            running: &mut self.running,
            pieces,
        }
    }

    /// Returns the digest.
    pub(super) fn finish(self) -> Digest {
        self.running.finish()
    }
}
