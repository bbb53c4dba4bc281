//! Reading several large files in step on one thread, so that their checksums are worked out side by side.

use super::Asked;
use super::Bytes;
use super::Crew;
use super::Tally;
use super::Worker;
use super::path;
use crate::fixity;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::fill;
use crate::store::DiskErrors;
use crate::store::Holding;
use crate::store::StoreError;
use std::io::Read;

/// So many at most are read in step by one thread.
const IN_STEP: usize = 8;

/// Cuts large files into what one thread reads at a time.
pub(super) fn groups(files: &[Asked], threads: usize) -> Vec<&[Asked]> {
    let in_step = files
        .iter()
        .map(|one| fixity::files_in_step(files.len(), threads, &one.algorithms, IN_STEP));
    files.chunks(in_step.min().unwrap_or(1)).collect()
}

/// Reads the files of a group to their ends; what is wrong with one does not stop the others.
pub(super) fn read(
    worker: &mut Worker,
    crew: &Crew<'_>,
    group: &[Asked],
) -> Vec<Result<Bytes, StoreError>> {
    let mut done = Vec::with_capacity(group.len());
    let mut open = Vec::with_capacity(group.len());
    for (turn, asked) in group.iter().enumerate() {
        match Open::new(crew.holding, asked) {
            Ok(one) => open.push((turn, one)),
            Err(error) => done.push((turn, Err(error))),
        }
    }
    while !open.is_empty() {
        let (read, failed) = step(open, crew.holding);
        done.extend(failed);
        worker.tell(read.iter().map(|(_, one)| one.count).sum(), crew.progress);
        let (more, ended): (Vec<_>, Vec<_>) = read.into_iter().partition(|(_, one)| one.is_full());
        done.extend(
            ended
                .into_iter()
                .map(|(turn, one)| (turn, Ok(one.tally.finish()))),
        );
        open = more;
    }
    done.sort_unstable_by_key(|(turn, _)| *turn);
    done.into_iter().map(|(_, result)| result).collect()
}

type Turns<T> = Vec<(usize, T)>;

/// Reads the next bytes of each and works them in; returns those that could be read, and what became of the others.
fn step(
    open: Turns<Open>,
    holding: &dyn Holding,
) -> (Turns<Open>, Turns<Result<Bytes, StoreError>>) {
    let mut read = Vec::with_capacity(open.len());
    let mut failed = Vec::new();
    for (turn, mut one) in open {
        match one.fill(holding) {
            Ok(()) => read.push((turn, one)),
            Err(error) => failed.push((turn, Err(error))),
        }
    }
    fixity::update_several(read.iter_mut().map(|(_, one)| one.checksums_and_bytes()));
    (read, failed)
}

/// A file that is being read.
struct Open {
    position: usize,
    reader: Box<dyn Read + Send>,
    tally: Tally,
    buffer: ReadBuffer,
    /// Bytes of the buffer that were read last.
    count: usize,
}

impl Open {
    fn new(holding: &dyn Holding, asked: &Asked) -> Result<Self, StoreError> {
        let with_crc = holding.stated_crc(asked.position).is_some();
        Ok(Self {
            position: asked.position,
            reader: holding.open(asked.position)?,
            tally: Tally::beside_others(&asked.algorithms, with_crc),
            buffer: ReadBuffer::of(READ_BUFFER),
            count: 0,
        })
    }

    fn fill(&mut self, holding: &dyn Holding) -> Result<(), StoreError> {
        self.count = fill(&mut self.reader, &mut self.buffer).while_doing(
            "read",
            &holding.location().join(path(holding, self.position)),
        )?;
        let read = self.buffer.get(..self.count).unwrap_or_default();
        self.tally.count(read);
        Ok(())
    }

    fn checksums_and_bytes(&mut self) -> (&mut [fixity::Running], &[u8]) {
        let read = self.buffer.get(..self.count).unwrap_or_default();
        (&mut self.tally.running, read)
    }

    /// A buffer that is not full shows the end.
    fn is_full(&self) -> bool {
        self.count == self.buffer.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
    use crate::progress::Silent;

    /// Files of all lengths, read in step, have the checksums that each has by itself; one that is gone does not stop the others.
    #[test]
    fn in_step_as_one_by_one() {
        const BOTH: [Algorithm; 2] = [Algorithm::Sha256, Algorithm::Sha512];
        let folder = tempfile::tempdir().unwrap();
        let lengths = [3 * READ_BUFFER, 0, 2 * READ_BUFFER + 1, READ_BUFFER, 129];
        let bytes: Vec<Vec<u8>> = lengths
            .iter()
            .map(|length| {
                (0..=250_u8)
                    .cycle()
                    .skip(length % 7)
                    .take(*length)
                    .collect()
            })
            .collect();
        for (number, bytes) in bytes.iter().enumerate() {
            std::fs::write(folder.path().join(number.to_string()), bytes).unwrap();
        }
        let holding = crate::store::holding::open(folder.path()).unwrap();
        std::fs::remove_file(folder.path().join("3")).unwrap();
        let crew = Crew {
            holding: &*holding,
            threads: 1,
            progress: &Silent,
        };
        for wanted in [
            vec![0, 2, 3, 4],
            vec![0, 1, 2, 3, 4],
            vec![2, 0, 4, 1],
            vec![1],
        ] {
            let asked: Vec<Asked> = wanted
                .iter()
                .map(|&position| Asked {
                    index: position,
                    position,
                    algorithms: BOTH.to_vec(),
                })
                .collect();
            let read = read(&mut Worker::new(), &crew, &asked);
            assert_eq!(read.len(), wanted.len());
            for (position, read) in wanted.into_iter().zip(read) {
                if position == 3 {
                    assert!(read.is_err());
                    continue;
                }
                let expected = BOTH.map(|algorithm| Digest::of(algorithm, &bytes[position]));
                assert_eq!(read.unwrap().digests, expected, "file {position}");
            }
        }
    }

    #[test]
    fn groups_leave_no_thread_idle() {
        let files: Vec<Asked> = (0..9)
            .map(|index| Asked {
                index,
                position: index,
                algorithms: vec![Algorithm::Sha512],
            })
            .collect();
        let gains = fixity::files_in_step(9, 1, &[Algorithm::Sha512], IN_STEP) > 1;
        let of = |threads| groups(&files, threads).len();
        assert_eq!(
            (of(1), of(2), of(3)),
            if gains { (3, 3, 9) } else { (9, 9, 9) }
        );
        assert_eq!(fixity::files_in_step(9, 1, &[Algorithm::Sha512], 1), 1);
        assert_eq!(fixity::files_in_step(9, 1, &[Algorithm::Md5], IN_STEP), 1);
    }
}
