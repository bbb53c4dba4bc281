//! Reading several files in step on one thread, a buffer of each in turn, so that their checksums are worked out together.

use super::READ_BUFFER;
use super::ReadBuffer;
use super::Running;
use super::update_several;

/// A file that is read in step with others.
pub trait Intake {
    /// Why a file is not read to its end.
    type Failure;

    /// Puts the next bytes into the buffer and returns how many. A buffer that is not full shows the end.
    ///
    /// # Errors
    /// Gives what keeps the file from being read on.
    fn read_on(&mut self, buffer: &mut [u8]) -> Result<usize, Self::Failure>;

    /// Returns the checksums.
    fn checksums(&mut self) -> &mut [Running];
}

/// The least room that a file in step gets, in bytes. Measured: smaller pieces are read more slowly, larger ones not faster.
const LEAST: usize = 64 * 1024;

/// Room for files that are read in step, which serves for many more after them.
#[derive(Debug)]
pub struct Room {
    buffers: Vec<ReadBuffer>,
    /// Bytes of each buffer.
    size: usize,
    alternates: bool,
}

impl Room {
    /// Makes room for so many at once, one at least, together not much more than one file has by itself. `alternates` tells whether of files that are longer
    /// than one buffer each is read a little in turn, which some disks are slow at; else each of these is read on to its end by itself.
    #[must_use]
    pub fn of(count: usize, alternates: bool) -> Self {
        Self {
            buffers: std::iter::repeat_with(ReadBuffer::default)
                .take(count.max(1))
                .collect(),
            size: match count {
                0 | 1 => READ_BUFFER,
                _ => LEAST,
            },
            alternates,
        }
    }
}

/// Reads files to their ends, as many at once as there is room for; a file is asked for once there is. Each that came to its end or failed is
/// handed to `ended`, which tells whether more are to be begun.
pub fn in_step<T: Intake>(
    files: impl IntoIterator<Item = Result<T, T::Failure>>,
    room: &mut Room,
    mut ended: impl FnMut(Result<T, T::Failure>) -> bool,
) {
    let Room {
        buffers,
        size,
        alternates,
    } = room;
    let mut files = files.into_iter();
    let mut goes_on = true;
    let mut free: Vec<&mut ReadBuffer> = buffers.iter_mut().collect();
    let mut open: Vec<Open<'_, T>> = Vec::with_capacity(free.len());
    loop {
        while goes_on && let Some(buffer) = free.pop() {
            match files.next() {
                Some(Ok(file)) => open.push(Open::new(file, buffer, *size)),
                Some(Err(failure)) => {
                    free.push(buffer);
                    goes_on = ended(Err(failure));
                }
                None => goes_on = false,
            }
        }
        if open.is_empty() {
            return;
        }
        open.iter_mut().for_each(Open::read_on);
        update_several(open.iter_mut().map(Open::checksums_and_bytes));
        if !*alternates {
            open.iter_mut().for_each(Open::read_to_end);
        }
        for one in open.extract_if(.., |one| one.is_over()) {
            free.push(one.buffer);
            goes_on &= ended(one.failure.map_or(Ok(one.file), Err));
        }
    }
}

/// Does the same until the first failure, of a file or of `ended`, and returns it; what was begun by then is read to its end.
///
/// # Errors
/// Gives that failure.
pub fn try_in_step<T: Intake>(
    files: impl IntoIterator<Item = Result<T, T::Failure>>,
    room: &mut Room,
    mut ended: impl FnMut(T) -> Result<(), T::Failure>,
) -> Result<(), T::Failure> {
    let mut done = Ok(());
    in_step(files, room, |file| {
        let result = file.and_then(&mut ended);
        if done.is_ok() {
            done = result;
        }
        done.is_ok()
    });
    done
}

struct Open<'b, T: Intake> {
    file: T,
    buffer: &'b mut ReadBuffer,
    /// Bytes of the buffer that were read last.
    count: usize,
    failure: Option<T::Failure>,
}

impl<'b, T: Intake> Open<'b, T> {
    fn new(file: T, buffer: &'b mut ReadBuffer, size: usize) -> Self {
        // Not before it is needed: often fewer files come than there is room for.
        if buffer.is_empty() {
            *buffer = ReadBuffer::of(size);
        }
        Self {
            file,
            buffer,
            count: 0,
            failure: None,
        }
    }

    fn read_on(&mut self) {
        self.count = match self.file.read_on(self.buffer) {
            Ok(count) => count,
            Err(failure) => {
                self.failure = Some(failure);
                0
            }
        };
    }

    fn read_to_end(&mut self) {
        while !self.is_over() {
            self.read_on();
            let (checksums, read) = self.checksums_and_bytes();
            checksums.iter_mut().for_each(|one| one.update(read));
        }
    }

    fn checksums_and_bytes(&mut self) -> (&mut [Running], &[u8]) {
        let read = self.buffer.get(..self.count).unwrap_or_default();
        (self.file.checksums(), read)
    }

    /// Tells whether it is at its end, or failed.
    fn is_over(&self) -> bool {
        self.count < self.buffer.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
    use crate::fixity::fill;
    use std::cell::RefCell;

    const BOTH: [Algorithm; 2] = [Algorithm::Sha256, Algorithm::Sha512];

    struct Message<'a> {
        number: usize,
        left: &'a [u8],
        running: Vec<Running>,
        /// Notes who reads.
        reads: &'a Reads,
    }

    impl Intake for Message<'_> {
        type Failure = usize;

        /// Every seventh cannot be read.
        fn read_on(&mut self, buffer: &mut [u8]) -> Result<usize, usize> {
            if self.number % 7 == 6 {
                return Err(self.number);
            }
            self.reads.borrow_mut().push(self.number);
            Ok(fill(&mut self.left, buffer).unwrap())
        }

        fn checksums(&mut self) -> &mut [Running] {
            &mut self.running
        }
    }

    fn messages() -> Vec<Vec<u8>> {
        let lengths = [5, 3 * READ_BUFFER, 0, READ_BUFFER, 2 * READ_BUFFER + 1, 700];
        let all = lengths.iter().cycle().enumerate().take(20);
        all.map(|(number, length)| (0..=250_u8).cycle().skip(number).take(*length).collect())
            .collect()
    }

    type Reads = RefCell<Vec<usize>>;

    fn begun<'a>(
        messages: &'a [Vec<u8>],
        reads: &'a Reads,
    ) -> impl Iterator<Item = Result<Message<'a>, usize>> {
        messages.iter().enumerate().map(|(number, message)| {
            // Every fifth cannot even be opened.
            if number % 5 == 4 {
                return Err(number);
            }
            Ok(Message {
                number,
                left: message,
                running: BOTH.map(Running::new).to_vec(),
                reads,
            })
        })
    }

    /// However many at once, each has the checksums that it has by itself, and is told of once; so is each that failed.
    #[test]
    fn in_step_as_one_by_one() {
        let messages = messages();
        let rooms = [0, 1, 2, 3, 8, 30].map(|at_once| [(at_once, true), (at_once, false)]);
        for (at_once, alternates) in rooms.into_iter().flatten() {
            let (mut read, mut failed) = (Vec::new(), Vec::new());
            in_step(
                begun(&messages, &Reads::default()),
                &mut Room::of(at_once, alternates),
                |ended| {
                    match ended {
                        Ok(one) => read.push((one.number, one.running)),
                        Err(number) => failed.push(number),
                    }
                    true
                },
            );
            failed.sort_unstable();
            assert_eq!(failed, [4, 6, 9, 13, 14, 19], "{at_once}");
            read.sort_by_key(|(number, _)| *number);
            let numbers: Vec<usize> = read.iter().map(|(number, _)| *number).collect();
            let others: Vec<usize> = (0..20).filter(|one| !failed.contains(one)).collect();
            assert_eq!(numbers, others);
            for (number, running) in read {
                let expected = BOTH.map(|algorithm| Digest::of(algorithm, &messages[number]));
                let digests: Vec<Digest> = running.into_iter().map(Running::finish).collect();
                assert_eq!(digests, expected, "{number} of {at_once}");
            }
        }
    }

    /// What was begun is read to its end, and nothing more is begun.
    #[test]
    fn no_more_are_begun_once_told_so() {
        let messages = messages();
        for (at_once, expected) in [(1, 4), (3, 5)] {
            let mut told = 0;
            in_step(
                begun(&messages, &Reads::default()),
                &mut Room::of(at_once, true),
                |ended| {
                    told += 1;
                    ended.is_ok() && told < 4
                },
            );
            assert_eq!(told, expected, "{at_once}");
        }
    }

    /// Where reading in turn is slow, whoever is longer than a buffer is read to its end before another is.
    #[test]
    fn long_ones_are_read_on_by_themselves() {
        let long = [3, 1, 2].map(|count| vec![7_u8; count * LEAST + 1]);
        for (alternates, expected) in [
            (true, [0, 1, 2, 0, 1, 2, 0, 2, 0]),
            (false, [0, 1, 2, 0, 0, 0, 1, 2, 2]),
        ] {
            let reads = Reads::default();
            in_step(
                begun(&long, &reads),
                &mut Room::of(3, alternates),
                |ended| ended.is_ok(),
            );
            assert_eq!(reads.into_inner(), expected, "{alternates}");
        }
    }
}
