//! The one pass: bytes of the original go by, are hashed, changed and written.

use super::SpliceError;
use super::plan::Change;
use super::plan::Known;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::Running;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::picture::Passing;
use crate::format::container::source::count_of;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;

/// What is worked out of the original while it goes by.
pub(super) struct Hashes<'a> {
    source: Running,
    picture: Option<Passing<'a>>,
    /// What undoing gives back, where that is not the original.
    undone: Option<Running>,
}

impl<'a> Hashes<'a> {
    /// Begins.
    pub(super) fn new(anatomy: &'a Anatomy, blanked: bool) -> Self {
        Self {
            source: Running::new(Algorithm::Sha256),
            picture: Passing::new(&anatomy.picture),
            undone: blanked.then(|| Running::new(Algorithm::Sha256)),
        }
    }

    /// Tells whether the picture digest is worked out too; not if the picture's pieces lie in another order than they count.
    pub(super) const fn covers_picture(&self) -> bool {
        self.picture.is_some()
    }

    fn copied(&mut self, offset: u64, bytes: &[u8], stays: bool) {
        self.source.update(bytes);
        if let Some(picture) = &mut self.picture {
            picture.update(offset, bytes);
        }
        if let Some(undone) = self.undone.as_mut().filter(|_| stays) {
            undone.update(bytes);
        }
    }

    fn changed(&mut self, (edit, removed): &Change) {
        let Some(undone) = &mut self.undone else {
            return;
        };
        if edit.purpose != Purpose::Blank {
            undone.update(removed);
            return;
        }
        match &edit.inserted {
            Insert::Bytes(bytes) => undone.update(bytes),
            Insert::Zeros(count) => zeros(*count, |bytes| {
                undone.update(bytes);
                Ok::<(), std::convert::Infallible>(())
            })
            .unwrap_or(()),
        }
    }

    /// Returns what is known now; `apart` is the picture digest where it was worked out apart.
    pub(super) fn finish(self, apart: Option<Digest>) -> Result<Known, ContainerError> {
        let source = self.source.finish();
        let picture = self.picture.map(Passing::finish).or(apart);
        Ok(Known {
            undone: self.undone.map_or_else(|| source.clone(), Running::finish),
            picture: picture.ok_or_else(|| broken(0, "no picture digest was worked out"))?,
            source,
        })
    }
}

/// Where the copy goes.
pub(super) struct Output<'a> {
    target: &'a mut dyn Write,
    digests: Vec<Running>,
    length: u64,
}

impl<'a> Output<'a> {
    /// Begins.
    pub(super) fn new(target: &'a mut dyn Write, algorithms: &[Algorithm]) -> Self {
        Self {
            target,
            digests: algorithms.iter().copied().map(Running::new).collect(),
            length: 0,
        }
    }

    fn put(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.target.write_all(bytes)?;
        self.digests.iter_mut().for_each(|one| one.update(bytes));
        self.length = self.length.saturating_add(count_of(bytes.len()));
        Ok(())
    }

    /// Writes what comes in a change.
    pub(super) fn edit<E>(&mut self, (edit, _): &Change) -> Result<(), SpliceError<E>> {
        let written = match &edit.inserted {
            Insert::Bytes(bytes) => self.put(bytes),
            Insert::Zeros(count) => zeros(*count, |bytes| self.put(bytes)),
        };
        written.map_err(SpliceError::Write)
    }

    /// Returns the checksums and the length of what was written.
    pub(super) fn finish<E>(self) -> Result<(Vec<Digest>, u64), SpliceError<E>> {
        self.target.flush().map_err(SpliceError::Write)?;
        let digests = self.digests.into_iter().map(Running::finish).collect();
        Ok((digests, self.length))
    }
}

/// Reads the original from its first byte to its last, hashes it and writes it with the changes made.
pub(super) fn pass<R: Read + Seek, E>(
    reader: &mut R,
    length: u64,
    changes: &[Change],
    mut hashes: Option<&mut Hashes<'_>>,
    mut output: Option<&mut Output<'_>>,
) -> Result<(), SpliceError<E>> {
    reader
        .seek(SeekFrom::Start(0))
        .map_err(ContainerError::from)?;
    let mut buffer = vec![0_u8; READ_BUFFER];
    let mut at = 0;
    for change in changes {
        let removed = change.0.removed;
        at = run(reader, at, removed.offset, &mut buffer, |offset, bytes| {
            keep(offset, bytes, hashes.as_deref_mut(), output.as_deref_mut())
        })?;
        at = run(reader, at, removed.end(), &mut buffer, |offset, bytes| {
            if let Some(hashes) = hashes.as_deref_mut() {
                hashes.copied(offset, bytes, false);
            }
            Ok(())
        })?;
        if let Some(hashes) = hashes.as_deref_mut() {
            hashes.changed(change);
        }
        if let Some(output) = output.as_deref_mut() {
            output.edit(change)?;
        }
    }
    run(reader, at, length, &mut buffer, |offset, bytes| {
        keep(offset, bytes, hashes.as_deref_mut(), output.as_deref_mut())
    })?;
    Ok(())
}

fn keep<E>(
    offset: u64,
    bytes: &[u8],
    hashes: Option<&mut Hashes<'_>>,
    output: Option<&mut Output<'_>>,
) -> Result<(), SpliceError<E>> {
    if let Some(hashes) = hashes {
        hashes.copied(offset, bytes, true);
    }
    match output {
        Some(output) => output.put(bytes).map_err(SpliceError::Write),
        None => Ok(()),
    }
}

/// Gives the bytes from `at` to `end`, which the reader stands before, to `take`; returns `end`.
fn run<R: Read, E>(
    reader: &mut R,
    mut at: u64,
    end: u64,
    buffer: &mut [u8],
    mut take: impl FnMut(u64, &[u8]) -> Result<(), SpliceError<E>>,
) -> Result<u64, SpliceError<E>> {
    while at < end {
        let left = usize::try_from(end.saturating_sub(at)).unwrap_or(usize::MAX);
        let wanted = left.min(buffer.len());
        let count = match reader.read(buffer.get_mut(..wanted).unwrap_or_default()) {
            Ok(0) => return Err(broken(at, "the file became shorter while it was read").into()),
            Ok(count) => count,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(ContainerError::from(error).into()),
        };
        take(at, buffer.get(..count).unwrap_or_default())?;
        at = at.saturating_add(count_of(count));
    }
    Ok(at)
}

/// Gives so many zeros to `take`, piece by piece.
fn zeros<E>(count: u64, mut take: impl FnMut(&[u8]) -> Result<(), E>) -> Result<(), E> {
    let piece = [0_u8; 4096];
    let mut left = count;
    while left > 0 {
        let wanted = usize::try_from(left).unwrap_or(usize::MAX).min(piece.len());
        take(piece.get(..wanted).unwrap_or_default())?;
        left = left.saturating_sub(count_of(wanted));
    }
    Ok(())
}
