//! Originals on their way straight into the zip: read once, with their checksums worked out as they pass, and never written twice.
//! They stand in the zip in the order in which they were asked for, whichever thread was ready first.

use super::PackError;
use super::contents::Contents;
use super::contents::Packed;
use super::originals::Original;
use crate::crew;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::SourceFile;
use crate::store::zip_writer::Keep;
use crate::store::zip_writer::ZipPackage;
use std::collections::VecDeque;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;
use std::sync::OnceLock;

/// Up to this length a file is held in memory until it is its turn, in bytes. Eight of them are with two threads.
const SMALL: u64 = 1024 * 1024;

/// Chunks that may wait for what is slower than reading.
const CHUNKS_AHEAD: usize = 8;

/// An original that waits for its turn.
enum Ready {
    Small(Vec<u8>, Vec<Digest>),
    Large(SourceFile),
}

/// Copies the originals into the zip of `contents`.
pub(super) fn copy(
    contents: &Contents<'_>,
    root: &Path,
    originals: &[Original],
    threads: usize,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    let algorithms = contents.algorithms();
    crew::in_order(
        originals,
        threads,
        |original| read(&root.join(&original.from), algorithms),
        |original, ready| {
            let path = PortablePath::new(&original.path).map_err(|why| PackError::Name {
                name: original.path.clone(),
                why,
            })?;
            let packed = contents.with_zip(|zip| hand_over(zip, &path, ready, algorithms))?;
            contents.add(&original.path, packed);
            progress.advance(1);
            Ok(())
        },
    )
}

fn read(path: &Path, algorithms: &[Algorithm]) -> Result<Ready, PackError> {
    let mut source = store::open(path)?;
    if source.length() > SMALL {
        return Ok(Ready::Large(source));
    }
    // Exactly as much room as the file needs, so that reading it takes one call.
    let mut bytes = Vec::with_capacity(usize::try_from(source.length()).unwrap_or_default());
    (&mut source)
        .take(SMALL.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|error| PackError::read(path, error))?;
    source.confirm_unchanged()?;
    let digest = |algorithm: &Algorithm| Digest::of(*algorithm, &bytes);
    let digests = algorithms.iter().map(digest).collect();
    Ok(Ready::Small(bytes, digests))
}

fn hand_over(
    zip: &mut ZipPackage,
    path: &PortablePath,
    ready: Ready,
    algorithms: &[Algorithm],
) -> Result<Packed, PackError> {
    match ready {
        Ready::Small(bytes, digests) => {
            zip.write(path, &bytes, Keep::Stored)?;
            let bytes = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
            Ok(packed(digests, bytes))
        }
        Ready::Large(mut source) => {
            let bytes = source.length();
            zip.begin(path, bytes, Keep::Stored)?;
            let digests = pass_on(&mut source, zip, algorithms)?;
            source.confirm_unchanged()?;
            Ok(packed(digests, bytes))
        }
    }
}

const fn packed(digests: Vec<Digest>, bytes: u64) -> Packed {
    Packed {
        digests,
        bytes,
        is_direct: true,
    }
}

/// Writes a file into the zip, while it is read and each checksum is worked out beside, all at once.
fn pass_on(
    source: &mut SourceFile,
    zip: &mut ZipPackage,
    algorithms: &[Algorithm],
) -> Result<Vec<Digest>, PackError> {
    let refused = OnceLock::new();
    let mut running: Vec<Running> = algorithms.iter().copied().map(Running::new).collect();
    let mut listeners: Vec<Listener<'_>> = Vec::new();
    for one in &mut running {
        listeners.push(Box::new(|chunk| one.update(&chunk)));
    }
    listeners.push(Box::new(|chunk| {
        if refused.get().is_none()
            && let Err(error) = zip.write_all(&chunk)
        {
            let _ = refused.set(error);
        }
    }));
    crew::tell_all(listeners, CHUNKS_AHEAD, |tell| feed(source, &refused, tell))?;
    match refused.into_inner() {
        Some(error) => Err(PackError::write(zip.staged(), error)),
        None => Ok(running.into_iter().map(Running::finish).collect()),
    }
}

type Listener<'a> = Box<dyn FnMut(Arc<ReadBuffer>) + Send + 'a>;

/// Reads a file to its end, or until writing it was refused.
fn feed(
    source: &mut SourceFile,
    refused: &OnceLock<io::Error>,
    tell: &mut dyn FnMut(Arc<ReadBuffer>),
) -> Result<(), PackError> {
    let mut chunks = Chunks::default();
    while refused.get().is_none() {
        let mut chunk = chunks.next();
        let count = fixity::fill(source, &mut chunk)
            .map_err(|error| PackError::read(source.path(), error))?;
        chunk.shorten(count);
        let chunk = Arc::new(chunk);
        tell(Arc::clone(&chunk));
        if count < READ_BUFFER {
            break;
        }
        chunks.used(chunk);
    }
    Ok(())
}

/// Buffers that are used again once every checksum has taken them in.
#[derive(Default)]
struct Chunks(VecDeque<Arc<ReadBuffer>>);

impl Chunks {
    fn next(&mut self) -> ReadBuffer {
        let oldest = self.0.front_mut();
        let is_free = oldest.is_some_and(|chunk| Arc::get_mut(chunk).is_some());
        let free = is_free.then(|| self.0.pop_front()).flatten();
        let free = free.and_then(Arc::into_inner);
        free.unwrap_or_else(|| ReadBuffer::of(READ_BUFFER))
    }

    fn used(&mut self, chunk: Arc<ReadBuffer>) {
        self.0.push_back(chunk);
    }
}
