//! Writing a described copy: headers first, then one pass that copies, puts the packet in and works out every checksum.
//!
//! The packet names the original's checksum and its picture digest. Where it comes last in the file (TIFF, and WebP without
//! anything behind it) both are known by the time that it is written, and the original is read once; elsewhere (JPEG, PNG) they
//! are worked out before, and it is read twice. Memory holds a few buffers and the packet, whatever the size of the file.

mod listening;
mod passing;
mod plan;

use super::anatomy::Anatomy;
use super::edit::kept;
use super::error::ContainerError;
use super::error::broken;
use super::picture::picture_digest;
use super::private::PrivateFact;
use super::source::Range;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use listening::Copying;
use listening::Group;
use listening::Listener;
use listening::Sums;
use passing::Output;
use plan::Plan;
use std::io::Read;
use std::io::Seek;
use std::io::Write;

/// So few threads are all busy when a large file is described.
const FEW: usize = 4;

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
    /// Whether this packet will be written. Until then checksums are zeros, and nothing but its length counts.
    pub is_settled: bool,
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
    /// How many threads may work for this file, and so share out its checksums: worth it for a large file.
    pub threads: usize,
    /// Whether the original is held in memory, so that it is the same however often it is read.
    pub held: bool,
}

/// Where a copy goes.
#[expect(missing_debug_implementations, reason = "whatever reads and writes")]
pub struct Target<'a> {
    /// Takes the copy.
    pub write: &'a mut dyn Write,
    /// Reads the copy from its first byte on while it is written, to compare it with what was meant.
    pub read_back: Option<&'a mut (dyn Read + Send)>,
}

impl<'a> Target<'a> {
    /// Returns a target that is not read back.
    pub fn unread(write: &'a mut dyn Write) -> Self {
        Self {
            write,
            read_back: None,
        }
    }
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
    /// What the copy keeps of the original, and from which position on each range lies in it.
    kept: Vec<(Range, u64)>,
    /// Whether the bytes that were copied are those of which the picture digest was worked out, whoever changes the original meanwhile.
    same_bytes: bool,
}

impl SplicedCopy {
    /// Tells whether the copy, in which every byte was found where it was put, has the picture of the original, from what was
    /// examined of both. If not, a picture digest has to tell.
    #[must_use]
    pub fn carries_picture(&self, original: &Anatomy, copy: &Anatomy) -> bool {
        self.same_bytes
            && copy.uncertain.is_none()
            && copy.length == self.length
            && original.picture.carried(&self.kept).as_ref() == Some(&copy.picture)
    }
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
    /// The copy could not be read back.
    #[error("the copy could not be read back")]
    ReadBack(#[source] std::io::Error),
    /// The copy was read back, but holds something else than was written.
    #[error("the copy holds something else than was written (at byte {offset})")]
    Differs {
        /// Where, in bytes from the beginning of the copy.
        offset: u64,
    },
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
/// - [`SpliceError::ReadBack`] and [`SpliceError::Differs`] when reading the copy back did not give what was written.
pub fn splice<R: Read + Seek, E>(
    reader: &mut R,
    anatomy: &Anatomy,
    options: &SpliceOptions,
    compose: &mut Compose<'_, E>,
    target: Target<'_>,
) -> Result<SplicedCopy, SpliceError<E>> {
    if let Some(refusal) = anatomy.refusal {
        return Err(ContainerError::from(refusal).into());
    }
    let plan = Plan::new(reader, anatomy, options, compose)?;
    let mut sums = Sums::new(anatomy, plan.is_blanked());
    let apart = match sums.covers_picture() {
        true => None,
        false => Some(picture_digest(reader, anatomy)?),
    };
    let picture_passes = apart.is_none();
    let mut output = Output::new(target.write);
    let mut copying = Copying::new(&options.algorithms, target.read_back);
    let length = anatomy.length;
    let (ready, last) = plan.before_packet();
    let mut listeners = sums.listeners();
    let mut first = None;
    let mut together = 1;
    if last.is_some() {
        // SHA-256 of original, picture and copy: worked out together they take less of the processors. Where there are many
        // processors each is through sooner by itself.
        if options.threads <= FEW && fixity::sha256_goes_in_turn() {
            together = listeners.len().saturating_add(copying.sha256());
        }
        listeners.extend(copying.listeners());
        first = Some(&mut output);
    }
    let groups = shared_out(listeners, options.threads, together);
    passing::pass(reader, length, ready, groups, first)?;
    let known = sums.finish(apart)?;
    let written = plan.finished(&known, compose)?;
    let listeners = copying.listeners();
    match last {
        Some(index) => {
            let packet = written.get(index).ok_or_else(moved)?;
            passing::add(packet, listeners, &mut output)?;
        }
        None => {
            let groups = shared_out(listeners, options.threads, 1);
            passing::pass(reader, length, &written, groups, Some(&mut output))?;
        }
    }
    let length = output.finish()?;
    Ok(SplicedCopy {
        source_sha256: known.source,
        picture_digest: known.picture,
        digests: copying.finish()?,
        length,
        dropped: plan.dropped().to_vec(),
        can_be_undone: !plan.is_blanked(),
        same_bytes: options.held || (last.is_some() && picture_passes),
        kept: kept(written.iter().map(|(edit, _)| edit), anatomy.length),
    })
}

/// Shares out who listens: all on one thread, or each on its own but for the first, of whom so many stay together.
fn shared_out(
    listeners: Vec<&mut dyn Listener>,
    threads: usize,
    together: usize,
) -> Vec<Group<'_>> {
    if threads <= 1 {
        return vec![listeners];
    }
    let mut listeners = listeners.into_iter();
    let first: Group<'_> = listeners.by_ref().take(together).collect();
    let mut groups = vec![first];
    groups.extend(listeners.map(|one| vec![one]));
    groups
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
    let (digests, _) = fixity::digest_all(reader, &[Algorithm::Sha256])?;
    digests
        .into_iter()
        .next()
        .ok_or_else(|| broken(0, "no checksum was worked out"))
}
