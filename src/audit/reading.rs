//! Reading the files of a holding once, on several threads, with every checksum that is asked for.
//!
//! Measured: one file per thread is best as long as there are files for all threads; looking up lengths beforehand costs more than
//! reading small files does. So files are opened in the order of their names, those that turn out large are put aside and read
//! afterwards, largest first, and when there are fewer of these than threads, the checksums of one file are shared among threads.
//! Where the processor gains by it, and there are enough of them for all threads, each thread reads several of them in step.

mod several;

use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::fixity::fill;
use crate::progress::Progress;
use crate::store::DiskErrors;
use crate::store::Holding;
use crate::store::StoreError;
use std::cmp::Reverse;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::sync::mpsc;

/// From this length on a file is put aside, in bytes.
const LARGE: u64 = 8 * 1024 * 1024;

/// Chunks that may wait for a checksum that is slower than reading.
const CHUNKS_AHEAD: usize = 4;

/// Results that a thread keeps to itself before it hands them in.
const RESULTS_ASIDE: usize = 256;

/// Progress is told after this many bytes.
const PROGRESS_STEP: u64 = 1024 * 1024;

/// What reading a file from the first byte to the last gave.
#[derive(Debug)]
pub(crate) struct Bytes {
    /// The checksums, in the order in which they were asked for.
    pub(crate) digests: Vec<Digest>,
    /// The length in bytes.
    pub(crate) length: u64,
    /// The CRC-32, when the holding states one.
    pub(crate) crc: Option<u32>,
}

/// Reads the files at `positions` and returns what `judge` makes of each, in the order of `positions`.
pub(crate) fn each<R: Send>(
    crew: &Crew<'_>,
    positions: &[usize],
    algorithms: impl Fn(usize) -> Vec<Algorithm> + Sync,
    judge: impl Fn(usize, Result<Bytes, StoreError>) -> R + Sync,
) -> Vec<R> {
    let large: Mutex<Vec<(u64, usize)>> = Mutex::new(Vec::new());
    let mut done = crew.run(positions.len(), |worker, index| {
        let position = *positions.get(index)?;
        let algorithms = algorithms(position);
        match worker.read(crew, position, &algorithms, true) {
            Ok(Found::Read(bytes)) => Some(judge(position, Ok(bytes))),
            Ok(Found::Large(length)) => {
                locked(&large).push((length, index));
                None
            }
            Err(error) => Some(judge(position, Err(error))),
        }
    });
    let mut large = large.into_inner().unwrap_or_else(PoisonError::into_inner);
    large.sort_unstable_by_key(|(length, index)| (Reverse(*length), *index));
    let share_checksums = large.len() < crew.threads;
    let one_by_one = if share_checksums { 1 } else { crew.threads };
    let alone = Crew {
        threads: one_by_one,
        ..*crew
    };
    let files: Vec<Asked> = large
        .into_iter()
        .filter_map(|(_, index)| {
            let position = *positions.get(index)?;
            Some(Asked {
                index,
                position,
                algorithms: algorithms(position),
            })
        })
        .collect();
    let groups = several::groups(&files, crew.threads);
    let large = alone.run(groups.len(), |worker, turn| {
        let group = *groups.get(turn)?;
        let read = match group {
            [one] if share_checksums && one.algorithms.len() > 1 => {
                vec![shared(crew, one.position, &one.algorithms)]
            }
            [one] => vec![worker.read_whole(crew, one.position, &one.algorithms)],
            more => several::read(worker, crew, more),
        };
        let judged = group.iter().zip(read);
        Some(
            judged
                .map(|(one, read)| (one.index, judge(one.position, read)))
                .collect::<Vec<_>>(),
        )
    });
    done.extend(large.into_iter().flat_map(|(_, judged)| judged));
    done.sort_unstable_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// Who reads, what, and who hears of it.
#[derive(Clone, Copy)]
pub(crate) struct Crew<'a> {
    pub(crate) holding: &'a dyn Holding,
    pub(crate) threads: usize,
    pub(crate) progress: &'a dyn Progress,
}

impl Crew<'_> {
    /// Does `work` for every number below `count`; numbers for which it returns nothing are left out.
    fn run<R: Send>(
        &self,
        count: usize,
        work: impl Fn(&mut Worker, usize) -> Option<R> + Sync,
    ) -> Vec<(usize, R)> {
        let next = AtomicUsize::new(0);
        let all: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(count));
        let turn = || {
            let mut worker = Worker::new();
            let mut done = Vec::new();
            loop {
                let index = next.fetch_add(1, Ordering::Relaxed);
                if index >= count {
                    break;
                }
                if let Some(result) = work(&mut worker, index) {
                    done.push((index, result));
                }
                // Few are kept twice over: of a hundred thousand files, that would be felt.
                if done.len() >= RESULTS_ASIDE {
                    locked(&all).append(&mut done);
                }
            }
            worker.tell_rest(self.progress);
            locked(&all).append(&mut done);
        };
        if self.threads <= 1 || count <= 1 {
            turn();
        } else {
            std::thread::scope(|scope| {
                for _ in 0..self.threads.min(count) {
                    scope.spawn(turn);
                }
            });
        }
        all.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

fn locked<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A large file that is to be read.
struct Asked {
    /// Its place among those asked for.
    index: usize,
    position: usize,
    algorithms: Vec<Algorithm>,
}

enum Found {
    Read(Bytes),
    Large(u64),
}

/// One thread's buffer and its count of bytes not yet told of.
struct Worker {
    buffer: ReadBuffer,
    untold: u64,
}

impl Worker {
    fn new() -> Self {
        Self {
            buffer: ReadBuffer::of(READ_BUFFER),
            untold: 0,
        }
    }

    fn read_whole(
        &mut self,
        crew: &Crew<'_>,
        position: usize,
        algorithms: &[Algorithm],
    ) -> Result<Bytes, StoreError> {
        match self.read(crew, position, algorithms, false)? {
            Found::Read(bytes) => Ok(bytes),
            // Never: large files are only put aside when asked.
            Found::Large(length) => Ok(Bytes {
                digests: Vec::new(),
                length,
                crc: None,
            }),
        }
    }

    fn read(
        &mut self,
        crew: &Crew<'_>,
        position: usize,
        algorithms: &[Algorithm],
        put_aside: bool,
    ) -> Result<Found, StoreError> {
        let holding = crew.holding;
        let mut reader = holding.open(position)?;
        let mut tally = Tally::new(algorithms, holding.stated_crc(position).is_some());
        let mut is_first = true;
        loop {
            let count = fill(&mut reader, &mut self.buffer)
                .while_doing("read", &holding.location().join(path(holding, position)))?;
            let read = self.buffer.get(..count).unwrap_or_default();
            let is_full = count == self.buffer.len();
            if put_aside && is_first && is_full {
                let length = holding.length(position)?;
                if length >= LARGE {
                    return Ok(Found::Large(length));
                }
            }
            is_first = false;
            tally.update(read);
            self.tell(count, crew.progress);
            if !is_full {
                return Ok(Found::Read(tally.finish()));
            }
        }
    }

    fn tell(&mut self, count: usize, progress: &dyn Progress) {
        let count = u64::try_from(count).unwrap_or(u64::MAX);
        self.untold = self.untold.saturating_add(count);
        if self.untold >= PROGRESS_STEP {
            self.tell_rest(progress);
        }
    }

    fn tell_rest(&mut self, progress: &dyn Progress) {
        progress.advance(self.untold);
        self.untold = 0;
    }
}

fn path(holding: &dyn Holding, position: usize) -> &str {
    holding
        .entries()
        .get(position)
        .map_or("", |entry| &entry.path)
}

struct Tally {
    running: Vec<Running>,
    crc: Option<crc32fast::Hasher>,
    length: u64,
}

impl Tally {
    fn new(algorithms: &[Algorithm], with_crc: bool) -> Self {
        Self {
            running: algorithms.iter().copied().map(Running::new).collect(),
            crc: with_crc.then(crc32fast::Hasher::new),
            length: 0,
        }
    }

    /// Begins one that is taken in step with those of other files.
    fn beside_others(algorithms: &[Algorithm], with_crc: bool) -> Self {
        let running = algorithms.iter().copied().map(Running::beside_others);
        Self {
            running: running.collect(),
            ..Self::new(&[], with_crc)
        }
    }

    fn update(&mut self, read: &[u8]) {
        self.running.iter_mut().for_each(|one| one.update(read));
        self.count(read);
    }

    /// Takes in all but the checksums.
    fn count(&mut self, read: &[u8]) {
        if let Some(crc) = self.crc.as_mut() {
            crc.update(read);
        }
        let count = u64::try_from(read.len()).unwrap_or(u64::MAX);
        self.length = self.length.saturating_add(count);
    }

    fn finish(self) -> Bytes {
        Bytes {
            digests: self.running.into_iter().map(Running::finish).collect(),
            length: self.length,
            crc: self.crc.map(crc32fast::Hasher::finalize),
        }
    }
}

/// Reads one file with one thread per checksum.
fn shared(crew: &Crew<'_>, position: usize, algorithms: &[Algorithm]) -> Result<Bytes, StoreError> {
    let holding = crew.holding;
    let mut reader = holding.open(position)?;
    let mut rest = Tally::new(&[], holding.stated_crc(position).is_some());
    std::thread::scope(|scope| {
        let mut senders = Vec::new();
        let mut threads = Vec::new();
        for algorithm in algorithms {
            let (sender, receiver) = mpsc::sync_channel::<Arc<[u8]>>(CHUNKS_AHEAD);
            senders.push(sender);
            threads.push(scope.spawn(move || {
                let mut running = Running::new(*algorithm);
                receiver.iter().for_each(|chunk| running.update(&chunk));
                running.finish()
            }));
        }
        let mut buffer = ReadBuffer::of(READ_BUFFER);
        loop {
            let count = fill(&mut reader, &mut buffer)
                .while_doing("read", &holding.location().join(path(holding, position)))?;
            if count == 0 {
                break;
            }
            let chunk: Arc<[u8]> = buffer.get(..count).unwrap_or_default().into();
            rest.update(&chunk);
            for sender in &senders {
                // A thread that stopped early did so with a panic, which joining passes on.
                let _ = sender.send(Arc::clone(&chunk));
            }
            crew.progress
                .advance(u64::try_from(count).unwrap_or(u64::MAX));
        }
        drop(senders);
        let digests = threads
            .into_iter()
            .map(|thread| {
                thread
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect();
        Ok(Bytes {
            digests,
            ..rest.finish()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::progress::Silent;

    const BOTH: [Algorithm; 2] = [Algorithm::Sha256, Algorithm::Sha512];

    fn pattern(length: usize) -> Vec<u8> {
        (0..=250_u8).cycle().take(length).collect()
    }

    /// Small, full-buffer and large files, on one thread and on more, give the same checksums in the same order.
    #[test]
    fn however_it_is_shared_the_checksums_are_the_same() {
        let folder = tempfile::tempdir().unwrap();
        let large = usize::try_from(LARGE).unwrap();
        let lengths = [
            0,
            1,
            READ_BUFFER - 1,
            READ_BUFFER,
            READ_BUFFER + 1,
            large + 7,
        ];
        for (index, length) in lengths.iter().enumerate() {
            let name = folder.path().join(format!("{index}"));
            std::fs::write(name, pattern(*length)).unwrap();
        }
        let holding = crate::store::holding::open(folder.path()).unwrap();
        for threads in [1, 2, 8] {
            let crew = Crew {
                holding: &*holding,
                threads,
                progress: &Silent,
            };
            let positions: Vec<usize> = (0..lengths.len()).collect();
            let read = each(
                &crew,
                &positions,
                |_| BOTH.to_vec(),
                |_, bytes| bytes.unwrap(),
            );
            for (bytes, length) in read.iter().zip(lengths) {
                assert_eq!(bytes.length, u64::try_from(length).unwrap());
                for (digest, algorithm) in bytes.digests.iter().zip(BOTH) {
                    assert_eq!(*digest, Digest::of(algorithm, &pattern(length)));
                }
            }
        }
    }

    #[test]
    fn a_file_that_vanished_is_told_and_the_rest_is_read() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a", "b", "c"] {
            std::fs::write(folder.path().join(name), name).unwrap();
        }
        let holding = crate::store::holding::open(folder.path()).unwrap();
        std::fs::remove_file(folder.path().join("b")).unwrap();
        let crew = Crew {
            holding: &*holding,
            threads: 2,
            progress: &Silent,
        };
        let read = each(
            &crew,
            &[0, 1, 2],
            |_| BOTH.to_vec(),
            |_, bytes| bytes.is_ok(),
        );
        assert_eq!(read, [true, false, true]);
    }
}
