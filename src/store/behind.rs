//! Reading a file back while it is still being written, behind the writer: never a byte that may still change, none before it was
//! forced to the disk, and none that the system was not asked to forget first.

use super::error::DiskErrors;
use super::error::StoreError;
use super::staged_file::let_go;
use super::window;
use std::fs::File;
use std::io;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;
use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;

/// Bytes that are forced to the disk and read back at once.
const STEP: u64 = 32 * 1024 * 1024;

/// Reading ends at a multiple of this while more is being written: the system holds and forgets files in pieces of up to this
/// length, and a piece that is still written to would be read from memory.
const PIECE: u64 = 2 * 1024 * 1024;

/// How far the writer is.
#[derive(Debug, Default)]
pub(super) struct Reached {
    state: Mutex<State>,
    moved: Condvar,
}

#[derive(Debug, Default)]
struct State {
    settled: u64,
    /// How far the reader waits for the writer to come.
    awaited: Option<u64>,
    is_complete: bool,
    is_given_up: bool,
}

impl Reached {
    /// Tells that bytes up to here will not change.
    pub(super) fn settle(&self, settled: u64) {
        let mut state = self.locked();
        state.settled = state.settled.max(settled);
        if state.awaited.is_some_and(|awaited| awaited <= settled) {
            self.moved.notify_all();
        }
    }

    /// Tells that all is written and forced to the disk.
    pub(super) fn complete(&self, length: u64) {
        let mut state = self.locked();
        (state.settled, state.is_complete) = (length, true);
        self.moved.notify_all();
    }

    /// Tells that nothing more comes.
    pub(super) fn give_up(&self) {
        self.locked().is_given_up = true;
        self.moved.notify_all();
    }

    fn locked(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until bytes up to some place will not change, or all is written. Returns how far it is, and whether that is all.
    fn wait_for(&self, awaited: u64) -> io::Result<(u64, bool)> {
        let mut state = self.locked();
        loop {
            if state.is_complete {
                return Ok((state.settled, true));
            }
            if state.is_given_up {
                return Err(io::Error::other("it was given up before it was whole"));
            }
            if state.settled >= awaited {
                return Ok((state.settled, false));
            }
            state.awaited = Some(awaited);
            let moved = self.moved.wait(state);
            state = moved.unwrap_or_else(PoisonError::into_inner);
            state.awaited = None;
        }
    }
}

/// Reads what another thread is writing; waits for it where there is nothing to read yet.
#[derive(Debug)]
pub(super) struct Behind {
    file: Arc<File>,
    reached: Arc<Reached>,
    position: u64,
    limit: u64,
}

impl Behind {
    pub(super) fn new(path: &Path, reached: Arc<Reached>) -> Result<Self, StoreError> {
        Ok(Self {
            file: Arc::new(File::open(path).while_doing("read", path)?),
            reached,
            position: 0,
            limit: 0,
        })
    }

    /// Returns the file.
    pub(super) fn file(&self) -> &Arc<File> {
        &self.file
    }

    /// Returns how long the file is, when all of it was read.
    pub(super) const fn length(&self) -> u64 {
        self.limit
    }

    fn go_on(&mut self) -> io::Result<()> {
        // Elsewhere a file that is opened for reading cannot be forced to the disk, and is read when it is whole.
        let next = if cfg!(unix) {
            self.limit.saturating_add(STEP)
        } else {
            u64::MAX
        };
        let (settled, is_all) = self.reached.wait_for(next)?;
        let limit = if is_all {
            settled
        } else {
            self.file.sync_data()?;
            settled & !PIECE.saturating_sub(1)
        };
        let_go(&self.file, self.limit, limit);
        self.limit = limit;
        Ok(())
    }
}

impl Read for Behind {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.position == self.limit {
            self.go_on()?;
        }
        let left = self.limit.saturating_sub(self.position);
        let wanted = usize::try_from(left).unwrap_or(usize::MAX);
        let wanted = wanted.min(buffer.len());
        let buffer = buffer.get_mut(..wanted).unwrap_or_default();
        let count = window::read_at(&self.file, buffer, self.position)?;
        let passed = u64::try_from(count).unwrap_or(u64::MAX);
        self.position = self.position.saturating_add(passed);
        Ok(count)
    }
}
