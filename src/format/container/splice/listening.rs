//! Who listens while the original goes by: everything that is worked out of it and of its copy, and the one who reads the copy back.

use super::SpliceError;
use super::passing::zeros;
use super::plan::Change;
use super::plan::Known;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Portion;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::picture::Passing;
use crate::format::container::source::count_of;
use std::io::Read;

/// One step of the pass.
#[derive(Debug, Clone, Copy)]
pub(super) enum Step<'a> {
    /// Bytes of the original from this position on, which the copy has too.
    Stays(u64, &'a [u8]),
    /// Bytes of the original from this position on, which a change takes out.
    Goes(u64, &'a [u8]),
    /// What a change puts in.
    Comes(&'a Change),
}

/// Takes in every step, on whatever thread.
pub(super) trait Listener: Send {
    /// Takes in one step, or returns the bytes of it that go into a checksum, so that they are taken in together with those of others.
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>>;
}

/// Those who listen on one thread.
pub(super) type Group<'l> = Vec<&'l mut dyn Listener>;

/// Tells those of one thread of a step.
pub(super) fn tell(group: &mut [&mut dyn Listener], step: Step<'_>) {
    let portions = group.iter_mut().filter_map(|one| one.take(step));
    fixity::update_portions(portions.collect());
}

fn listening<L: Listener>(one: &mut L) -> &mut dyn Listener {
    one
}

impl Listener for Passing<'_> {
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>> {
        match step {
            Step::Stays(offset, bytes) | Step::Goes(offset, bytes) => {
                Some(self.portion(offset, bytes))
            }
            Step::Comes(_) => None,
        }
    }
}

/// The checksum of the original.
struct Source(Running);

impl Listener for Source {
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>> {
        match step {
            Step::Stays(_, bytes) | Step::Goes(_, bytes) => portion(&mut self.0, vec![bytes]),
            Step::Comes(_) => None,
        }
    }
}

/// The checksum of what undoing gives back.
struct Undone(Running);

impl Listener for Undone {
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>> {
        match step {
            Step::Goes(..) => None,
            Step::Comes((edit, removed)) if edit.purpose != Purpose::Blank => {
                portion(&mut self.0, vec![removed])
            }
            _ => portion(&mut self.0, copied(step)),
        }
    }
}

/// One checksum of the copy.
struct Copied(Running);

impl Copied {
    fn is_sha256(&self) -> bool {
        self.0.algorithm() == Algorithm::Sha256
    }
}

impl Listener for Copied {
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>> {
        portion(&mut self.0, copied(step))
    }
}

/// Reads the copy back behind the writer, and compares every byte with what was meant.
struct ReadBack<'a> {
    copy: &'a mut (dyn Read + Send),
    at: u64,
    buffer: ReadBuffer,
    fault: Option<Fault>,
}

enum Fault {
    Read(std::io::Error),
    Differs(u64),
}

impl<'a> ReadBack<'a> {
    fn new(copy: &'a mut (dyn Read + Send)) -> Self {
        Self {
            copy,
            at: 0,
            buffer: ReadBuffer::default(),
            fault: None,
        }
    }

    fn compare(&mut self, meant: &[u8]) {
        for meant in meant.chunks(READ_BUFFER) {
            if self.fault.is_some() {
                return;
            }
            if self.buffer.len() < meant.len() {
                self.buffer = ReadBuffer::of(meant.len());
            }
            let place = self.buffer.get_mut(..meant.len()).unwrap_or_default();
            match fixity::fill(&mut self.copy, place) {
                Err(error) => self.fault = Some(Fault::Read(error)),
                Ok(count) if count < meant.len() || place != meant => {
                    let alike = meant.iter().zip(place).take(count);
                    let alike = alike.take_while(|(one, other)| one == other).count();
                    self.fault = Some(Fault::Differs(self.at.saturating_add(count_of(alike))));
                }
                Ok(count) => self.at = self.at.saturating_add(count_of(count)),
            }
        }
    }

    /// Makes sure that nothing differed.
    fn finish<E>(self) -> Result<(), SpliceError<E>> {
        match self.fault {
            None => Ok(()),
            Some(Fault::Read(error)) => Err(SpliceError::ReadBack(error)),
            Some(Fault::Differs(offset)) => Err(SpliceError::Differs { offset }),
        }
    }
}

impl Listener for ReadBack<'_> {
    fn take<'s>(&'s mut self, step: Step<'s>) -> Option<Portion<'s>> {
        copied(step)
            .into_iter()
            .for_each(|bytes| self.compare(bytes));
        None
    }
}

#[expect(clippy::unnecessary_wraps, reason = "what a listener returns")]
const fn portion<'s>(running: &'s mut Running, pieces: Vec<&'s [u8]>) -> Option<Portion<'s>> {
    Some(Portion { running, pieces })
}

/// Returns the bytes that the copy has from a step, in pieces.
pub(super) fn copied(step: Step<'_>) -> Vec<&[u8]> {
    match step {
        Step::Stays(_, bytes) => vec![bytes],
        Step::Goes(..) => Vec::new(),
        Step::Comes((edit, _)) => match &edit.inserted {
            Insert::Bytes(bytes) => vec![bytes],
            Insert::Zeros(count) => zeros(*count).collect(),
        },
    }
}

/// What is worked out of the original while it goes by.
pub(super) struct Sums<'a> {
    source: Source,
    picture: Option<Passing<'a>>,
    /// What undoing gives back, where that is not the original.
    undone: Option<Undone>,
}

impl<'a> Sums<'a> {
    /// Begins.
    pub(super) fn new(anatomy: &'a Anatomy, blanked: bool) -> Self {
        let running = || Running::new(Algorithm::Sha256);
        Self {
            source: Source(running()),
            picture: Passing::new(&anatomy.picture),
            undone: blanked.then(|| Undone(running())),
        }
    }

    /// Tells whether the picture digest is worked out too; not if the picture's pieces lie in another order than they count.
    pub(super) const fn covers_picture(&self) -> bool {
        self.picture.is_some()
    }

    /// Returns all who listen.
    pub(super) fn listeners(&mut self) -> Vec<&mut dyn Listener> {
        let mut all: Vec<&mut dyn Listener> = vec![&mut self.source];
        all.extend(self.picture.iter_mut().map(listening));
        all.extend(self.undone.iter_mut().map(listening));
        all
    }

    /// Returns what is known now; `apart` is the picture digest where it was worked out apart.
    pub(super) fn finish(self, apart: Option<Digest>) -> Result<Known, ContainerError> {
        let source = self.source.0.finish();
        let picture = self.picture.map(Passing::finish).or(apart);
        Ok(Known {
            undone: self
                .undone
                .map_or_else(|| source.clone(), |undone| undone.0.finish()),
            picture: picture.ok_or_else(|| broken(0, "no picture digest was worked out"))?,
            source,
        })
    }
}

/// What is worked out of the copy while it is written, and the reading back.
pub(super) struct Copying<'a> {
    digests: Vec<Copied>,
    back: Option<ReadBack<'a>>,
}

impl<'a> Copying<'a> {
    /// Begins.
    pub(super) fn new(algorithms: &[Algorithm], back: Option<&'a mut (dyn Read + Send)>) -> Self {
        Self {
            digests: algorithms
                .iter()
                .copied()
                .map(|one| Copied(Running::new(one)))
                .collect(),
            back: back.map(ReadBack::new),
        }
    }

    /// Returns how many of those who listen work out SHA-256.
    pub(super) fn sha256(&self) -> usize {
        self.digests.iter().filter(|one| one.is_sha256()).count()
    }

    /// Returns all who listen, SHA-256 first.
    pub(super) fn listeners(&mut self) -> Vec<&mut dyn Listener> {
        let (mut all, others): (Vec<_>, Vec<_>) =
            self.digests.iter_mut().partition(|one| one.is_sha256());
        all.extend(others);
        let digests = all.into_iter().map(listening);
        digests.chain(self.back.iter_mut().map(listening)).collect()
    }

    /// Returns the checksums in the order asked for, if the copy was read back as it was meant.
    pub(super) fn finish<E>(self) -> Result<Vec<Digest>, SpliceError<E>> {
        if let Some(back) = self.back {
            back.finish()?;
        }
        Ok(self.digests.into_iter().map(|one| one.0.finish()).collect())
    }
}
