//! The one pass: the original goes by once, is written with its changes made, and everyone who listens takes in each step.

use super::SpliceError;
use super::listening;
use super::listening::Group;
use super::listening::Step;
use super::listening::copied;
use super::plan::Change;
use crate::crew;
use crate::fixity::ReadBuffer;
use crate::fixity::buffer_for;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::source::count_of;
use std::collections::VecDeque;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::sync::Arc;

/// Steps that may wait for a listener that is slower than reading and writing.
const AHEAD: usize = 4;

/// Buffers that can be in use at once: those that wait, one that is being taken in, one that is being filled.
const BUFFERS: usize = AHEAD + 2;

/// Size of a buffer that goes to other threads, in bytes: the smaller, the more often they wait for each other.
const SHARED_BUFFER: usize = 512 * 1024;

/// Where the copy goes.
pub(super) struct Output<'a> {
    target: &'a mut dyn Write,
    length: u64,
}

impl<'a> Output<'a> {
    /// Begins.
    pub(super) fn new(target: &'a mut dyn Write) -> Self {
        Self { target, length: 0 }
    }

    fn put(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.target.write_all(bytes)?;
        self.length = self.length.saturating_add(count_of(bytes.len()));
        Ok(())
    }

    fn write(&mut self, step: Step<'_>) -> std::io::Result<()> {
        let mut pieces = copied(step).into_iter();
        pieces.try_for_each(|bytes| self.put(bytes))
    }

    /// Returns the length of what was written.
    pub(super) fn finish<E>(self) -> Result<u64, SpliceError<E>> {
        self.target.flush().map_err(SpliceError::Write)?;
        Ok(self.length)
    }
}

/// A step that can be handed to other threads.
#[derive(Clone)]
enum Passed<'c> {
    Original {
        offset: u64,
        buffer: Arc<ReadBuffer>,
        count: usize,
        stays: bool,
    },
    Comes(&'c Change),
}

impl Passed<'_> {
    fn step(&self) -> Step<'_> {
        match self {
            Self::Original {
                offset,
                buffer,
                count,
                stays,
            } => {
                let bytes = buffer.get(..*count).unwrap_or_default();
                match stays {
                    true => Step::Stays(*offset, bytes),
                    false => Step::Goes(*offset, bytes),
                }
            }
            Self::Comes(change) => Step::Comes(change),
        }
    }
}

/// Reads the original from its first byte to its last, writes it with the changes made, and tells everyone who listens: one group on this
/// thread, several each on a thread of its own. A listener hears of a step when it was written.
pub(super) fn pass<R: Read + Seek, E>(
    reader: &mut R,
    length: u64,
    changes: &[Change],
    mut groups: Vec<Group<'_>>,
    mut output: Option<&mut Output<'_>>,
) -> Result<(), SpliceError<E>> {
    let mut write = |passed: &Passed<'_>| match output.as_deref_mut() {
        Some(output) => output.write(passed.step()).map_err(SpliceError::Write),
        None => Ok(()),
    };
    if let [group] = groups.as_mut_slice() {
        let extent = (length, buffer_for(length));
        return go_by(reader, extent, changes, &mut |passed| {
            write(&passed)?;
            listening::tell(group, passed.step());
            Ok(())
        });
    }
    let listeners = groups
        .into_iter()
        .map(|mut group| move |passed: Passed<'_>| listening::tell(&mut group, passed.step()));
    crew::tell_all(listeners.collect(), AHEAD, |tell| {
        go_by(reader, (length, SHARED_BUFFER), changes, &mut |passed| {
            write(&passed)?;
            tell(passed);
            Ok(())
        })
    })
}

/// Writes a change that was not settled while the original went by, and tells everyone who listens.
pub(super) fn add<E>(
    change: &Change,
    mut listeners: Group<'_>,
    output: &mut Output<'_>,
) -> Result<(), SpliceError<E>> {
    let step = Step::Comes(change);
    output.write(step).map_err(SpliceError::Write)?;
    listening::tell(&mut listeners, step);
    Ok(())
}

type Take<'t, 'c, E> = dyn FnMut(Passed<'c>) -> Result<(), SpliceError<E>> + 't;

fn go_by<'c, R: Read + Seek, E>(
    reader: &mut R,
    (length, size): (u64, usize),
    changes: &'c [Change],
    take: &mut Take<'_, 'c, E>,
) -> Result<(), SpliceError<E>> {
    reader
        .seek(SeekFrom::Start(0))
        .map_err(ContainerError::from)?;
    let mut original = Original {
        reader,
        at: 0,
        size,
        buffers: VecDeque::new(),
    };
    for change in changes {
        let removed = change.0.removed;
        original.until(removed.offset, true, take)?;
        original.until(removed.end(), false, take)?;
        take(Passed::Comes(change))?;
    }
    original.until(length, true, take)
}

/// The original as it is read from its first byte on.
struct Original<'r, R> {
    reader: &'r mut R,
    at: u64,
    /// How large a buffer is.
    size: usize,
    /// Those that were used longest ago come first.
    buffers: VecDeque<Arc<ReadBuffer>>,
}

impl<R: Read> Original<'_, R> {
    /// Gives the bytes up to `end` to `take`.
    fn until<E>(
        &mut self,
        end: u64,
        stays: bool,
        take: &mut Take<'_, '_, E>,
    ) -> Result<(), SpliceError<E>> {
        while self.at < end {
            let left = usize::try_from(end.saturating_sub(self.at)).unwrap_or(usize::MAX);
            let mut buffer = self.unused();
            let place = Arc::get_mut(&mut buffer)
                .and_then(|buffer| buffer.get_mut(..left.min(self.size)))
                .unwrap_or_default();
            let count = match self.reader.read(place) {
                Ok(0) => {
                    return Err(broken(self.at, "the file became shorter while it was read").into());
                }
                Ok(count) => count,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(ContainerError::from(error).into()),
            };
            self.buffers.push_back(Arc::clone(&buffer));
            take(Passed::Original {
                offset: self.at,
                buffer,
                count,
                stays,
            })?;
            self.at = self.at.saturating_add(count_of(count));
        }
        Ok(())
    }

    /// Returns a buffer that nobody uses: the one that was used longest ago, or a new one.
    fn unused(&mut self) -> Arc<ReadBuffer> {
        if let Some(mut oldest) = self.buffers.pop_front() {
            if Arc::get_mut(&mut oldest).is_some() {
                return oldest;
            }
            if self.buffers.len() < BUFFERS {
                self.buffers.push_front(oldest);
            }
        }
        Arc::new(ReadBuffer::of(self.size))
    }
}

/// Returns so many zeros, in pieces.
pub(super) fn zeros(count: u64) -> impl Iterator<Item = &'static [u8]> {
    static PIECE: [u8; 4096] = [0; 4096];
    let mut left = count;
    std::iter::from_fn(move || {
        let wanted = usize::try_from(left).unwrap_or(usize::MAX).min(PIECE.len());
        left = left.saturating_sub(count_of(wanted));
        PIECE.get(..wanted).filter(|piece| !piece.is_empty())
    })
}
