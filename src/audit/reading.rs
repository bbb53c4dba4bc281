//! Reading the files of a holding once, on several threads, with every checksum that is asked for.
//!
//! Measured: one file per thread, or several in step where the processor gains by it, is best as long as there are files for all
//! threads; looking up lengths beforehand costs more than reading small files does. So files are opened in the order of their names,
//! those that turn out large are put aside and read afterwards, largest first, and when there are fewer of these than threads, the
//! checksums of one file are shared among threads.

mod file;
mod sharing;

use crate::fixity;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::Room;
use crate::progress::Progress;
use crate::store;
use crate::store::Holding;
use crate::store::StoreError;
use file::Asked;
use file::NotRead;
use file::Reading;
use file::Untold;
use std::cmp::Reverse;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;

/// So many files at most are read in step by one thread.
const IN_STEP: usize = 8;

/// Results that a thread keeps to itself before it hands them in.
const RESULTS_ASIDE: usize = 256;

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
    let ask = |index: usize| {
        let position = *positions.get(index)?;
        Some(Asked {
            index,
            position,
            algorithms: algorithms(position),
        })
    };
    let alternates = store::seeks_freely(crew.holding.location());
    // Nearly always all are asked for with the same.
    let in_step = crew.in_step(positions.len(), ask(0).iter());
    let large = Mutex::new(Vec::new());
    let mut done = crew.run(positions.len(), |queue, tell| {
        crew.read(
            queue.filter_map(ask),
            &mut Room::of(in_step, alternates),
            Some(&large),
            |asked, read| {
                tell((asked.index, judge(asked.position, read)));
            },
        );
    });
    let mut large = large.into_inner().unwrap_or_else(PoisonError::into_inner);
    large.sort_unstable_by_key(|(length, asked): &(u64, Asked)| (Reverse(*length), asked.index));
    let large: Vec<Asked> = large.into_iter().map(|(_, asked)| asked).collect();
    done.extend(crew.read_large(&large, alternates, |asked, read| {
        (asked.index, judge(asked.position, read))
    }));
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
    /// Returns how many of so many files one thread reads in step.
    fn in_step<'f>(&self, count: usize, files: impl Iterator<Item = &'f Asked>) -> usize {
        files
            .map(|one| fixity::files_in_step(count, self.threads, &one.algorithms, IN_STEP))
            .min()
            .unwrap_or(1)
    }

    /// Reads files to their ends, or puts large ones aside where there is a place for them. What is wrong with one does not stop
    /// the others.
    fn read(
        &self,
        files: impl Iterator<Item = Asked>,
        room: &mut Room,
        aside: Option<&Mutex<Vec<(u64, Asked)>>>,
        mut tell: impl FnMut(&Asked, Result<Bytes, StoreError>),
    ) {
        let untold = Untold::new(self.progress);
        let files =
            files.map(|asked| Reading::begin(self.holding, asked, aside.is_some(), &untold));
        fixity::in_step(files, room, |ended| {
            match ended.map(Reading::finish) {
                Ok((asked, bytes)) => tell(&asked, Ok(bytes)),
                Err((asked, NotRead::Failed(error))) => tell(&asked, Err(error)),
                Err((asked, NotRead::Large(length))) => {
                    if let Some(aside) = aside {
                        locked(aside).push((length, asked));
                    }
                }
            }
            true
        });
    }

    /// Reads large files.
    fn read_large<R: Send>(
        &self,
        files: &[Asked],
        alternates: bool,
        judge: impl Fn(&Asked, Result<Bytes, StoreError>) -> R + Sync,
    ) -> Vec<R> {
        let has_idle_threads = files.len() < self.threads;
        if has_idle_threads && files.iter().any(|one| one.algorithms.len() > 1) {
            let each = files.iter();
            return each
                .map(|one| judge(one, sharing::read(self, one)))
                .collect();
        }
        let in_step = if alternates {
            self.in_step(files.len(), files.iter())
        } else {
            1
        };
        self.run(files.len(), |queue, tell| {
            let files = queue.filter_map(|turn| files.get(turn).cloned());
            self.read(files, &mut Room::of(in_step, true), None, |asked, read| {
                tell(judge(asked, read));
            });
        })
    }

    /// Lets each thread do `work` on the numbers below `count` that it takes in turn, and collects what it tells.
    fn run<R: Send>(
        &self,
        count: usize,
        work: impl Fn(&mut dyn Iterator<Item = usize>, &mut dyn FnMut(R)) + Sync,
    ) -> Vec<R> {
        let next = AtomicUsize::new(0);
        let all: Mutex<Vec<R>> = Mutex::new(Vec::with_capacity(count));
        let turn = || {
            let mut done = Vec::new();
            let take = || Some(next.fetch_add(1, Ordering::Relaxed)).filter(|index| *index < count);
            work(&mut std::iter::from_fn(take), &mut |result| {
                done.push(result);
                // Few are kept twice over: of a hundred thousand files, that would be felt.
                if done.len() >= RESULTS_ASIDE {
                    locked(&all).append(&mut done);
                }
            });
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

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::READ_BUFFER;
    use crate::progress::Silent;
    use file::LARGE;

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
            2 * READ_BUFFER + 3,
            129,
        ];
        for (index, length) in lengths.iter().enumerate() {
            let name = folder.path().join(format!("{index}"));
            std::fs::write(name, pattern(*length)).unwrap();
        }
        let holding = store::holding::open(folder.path()).unwrap();
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
        let holding = store::holding::open(folder.path()).unwrap();
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
