//! Writing a described copy: headers first, then one pass that copies, puts the packet in and works out every checksum.
//!
//! The packet names the original's checksum and its picture digest. Where it comes last in the file (TIFF, and WebP without
//! anything behind it) both are known by the time that it is written, and the original is read once; elsewhere (JPEG, PNG) they
//! are worked out before, and it is read twice. Memory holds a buffer and the packet, whatever the size of the file.

mod passing;
mod plan;

use super::anatomy::Anatomy;
use super::error::ContainerError;
use super::error::broken;
use super::picture::picture_digest;
use super::private::PrivateFact;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use passing::Hashes;
use passing::Output;
use plan::Plan;
use std::io::Read;
use std::io::Seek;
use std::io::Write;

/// What the packet may say about the file that it goes into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inscription<'a> {
    /// The note that gives the original's bytes back; it must stand in the packet word for word.
    pub undo: &'a str,
    /// The picture digest.
    pub picture_digest: Digest,
    /// SHA-256 of the original. Not given where private facts are taken out: whoever has the copy could try places until the
    /// checksum fits.
    pub source_sha256: Option<Digest>,
}

/// How a described copy is written.
#[derive(Debug, Clone, Default)]
pub struct SpliceOptions {
    /// Whether private facts are taken out.
    pub drop_private: bool,
    /// Private facts that are taken out of the packet itself, or were taken out earlier, in plain words.
    pub also_dropped: Vec<String>,
    /// The checksums that are worked out of the copy.
    pub algorithms: Vec<Algorithm>,
}

/// A described copy that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SplicedCopy {
    /// SHA-256 of the original.
    pub source_sha256: Digest,
    /// The picture digest of the original.
    pub picture_digest: Digest,
    /// The checksums of the copy, in the order asked for.
    pub digests: Vec<Digest>,
    /// The length of the copy in bytes.
    pub length: u64,
    /// The private facts that were taken out of the container, each once.
    pub dropped: Vec<PrivateFact>,
    /// Whether the copy can give the original's bytes back.
    pub can_be_undone: bool,
}

/// Why a described copy could not be written.
#[derive(Debug, thiserror::Error)]
pub enum SpliceError<E> {
    /// The original is refused or could not be read.
    #[error(transparent)]
    Container(#[from] ContainerError),
    /// The packet could not be composed.
    #[error("the packet could not be composed")]
    Compose(#[source] E),
    /// The copy could not be written.
    #[error("the copy could not be written")]
    Write(#[source] std::io::Error),
}

/// Composes the packet of an inscription.
pub type Compose<'a, E> = dyn FnMut(&Inscription<'_>) -> Result<String, E> + 'a;

/// Writes a described copy of the file that `anatomy` was read from.
///
/// `compose` is asked for the packet more than once, at first with checksums of zeros to learn its length; for inscriptions of
/// one length it must give packets of one length.
///
/// # Errors
/// - [`SpliceError::Container`] with the refusal of a file that is not fully understood, and the reader's errors.
/// - [`SpliceError::Compose`] when the packet could not be composed.
/// - [`SpliceError::Write`] when the copy could not be written; what was written of it is worthless.
pub fn splice<R: Read + Seek, E>(
    reader: &mut R,
    anatomy: &Anatomy,
    options: &SpliceOptions,
    compose: &mut Compose<'_, E>,
    target: &mut dyn Write,
) -> Result<SplicedCopy, SpliceError<E>> {
    if let Some(refusal) = anatomy.refusal {
        return Err(ContainerError::from(refusal).into());
    }
    let plan = Plan::new(reader, anatomy, options, compose)?;
    let mut hashes = Hashes::new(anatomy, plan.is_blanked());
    let apart = match hashes.covers_picture() {
        true => None,
        false => Some(picture_digest(reader, anatomy)?),
    };
    let mut output = Output::new(target, &options.algorithms);
    let (ready, last) = plan.before_packet();
    let known = if last.is_some() {
        passing::pass(
            reader,
            anatomy.length,
            ready,
            Some(&mut hashes),
            Some(&mut output),
        )?;
        hashes.finish(apart)?
    } else {
        passing::pass(
            reader,
            anatomy.length,
            plan.changes(),
            Some(&mut hashes),
            None,
        )?;
        hashes.finish(apart)?
    };
    let written = plan.finished(&known, compose)?;
    match last {
        Some(index) => output.edit(written.get(index).ok_or_else(moved)?)?,
        None => passing::pass(reader, anatomy.length, &written, None, Some(&mut output))?,
    }
    let (digests, length) = output.finish()?;
    Ok(SplicedCopy {
        source_sha256: known.source,
        picture_digest: known.picture,
        digests,
        length,
        dropped: plan.dropped().to_vec(),
        can_be_undone: !plan.is_blanked(),
    })
}

/// The packet did not keep its length although nothing of its length changed: a fault of whoever composed it.
fn moved() -> ContainerError {
    broken(0, "the packet changed its length while it was composed")
}

/// Works out SHA-256 of a whole file.
///
/// # Errors
/// Gives the reader's error.
pub fn source_digest<R: Read + Seek>(reader: &mut R) -> Result<Digest, ContainerError> {
    reader.seek(std::io::SeekFrom::Start(0))?;
    let (digests, _) = crate::fixity::digest_all(reader, &[Algorithm::Sha256])?;
    digests
        .into_iter()
        .next()
        .ok_or_else(|| broken(0, "no checksum was worked out"))
}
