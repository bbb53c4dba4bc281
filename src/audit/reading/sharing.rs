//! One large file, when there are fewer of them than threads: each of its checksums on a thread of its own.

use super::Bytes;
use super::Crew;
use super::file::Asked;
use super::file::Tally;
use super::file::has_crc;
use super::file::read_from;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::store::StoreError;
use std::sync::Arc;
use std::sync::mpsc;

/// Chunks that may wait for a checksum that is slower than reading.
const CHUNKS_AHEAD: usize = 4;

/// Reads a file.
pub(super) fn read(crew: &Crew<'_>, asked: &Asked) -> Result<Bytes, StoreError> {
    let (holding, position) = (crew.holding, asked.position);
    let mut reader = holding.open(position)?;
    let mut rest = Tally::new(&[], has_crc(holding, position));
    std::thread::scope(|scope| {
        let mut senders = Vec::new();
        let mut threads = Vec::new();
        for algorithm in &asked.algorithms {
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
            let count = read_from(&mut reader, holding, position, &mut buffer)?;
            if count == 0 {
                break;
            }
            let chunk: Arc<[u8]> = buffer.get(..count).unwrap_or_default().into();
            rest.count(&chunk);
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
