//! Reading a zip back from the disk while it is still being written, and all of it before it gets its name.

use super::PackError;
use super::contents::Files;
use super::reread::agree;
use super::reread::checked_with;
use crate::fixity::Algorithm;
use crate::progress::Progress;
use crate::store::zip_reread::ZipReread;
use crate::store::zip_writer::ZipPackage;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::sync::mpsc::SyncSender;
use std::thread::JoinHandle;

/// Advances that may wait to be heard of.
const ADVANCES_AHEAD: usize = 16;

/// Reads a zip back on a thread of its own, behind those that write it.
#[derive(Debug)]
pub(super) struct Following {
    thread: JoinHandle<Result<usize, PackError>>,
    /// How many bytes were read, now and then.
    advances: Receiver<u64>,
}

impl Following {
    /// Begins to read. Every entry must be among `files` by the time that the next one is begun.
    pub(super) fn begin(
        zip: &ZipPackage,
        files: Files,
        algorithms: &[Algorithm],
    ) -> Result<Self, PackError> {
        let reread = zip.read_back()?;
        let algorithm = checked_with(algorithms.iter().copied()).unwrap_or(Algorithm::Sha256);
        let (sender, advances) = mpsc::sync_channel(ADVANCES_AHEAD);
        let thread = std::thread::Builder::new().spawn(move || {
            let advance = Advance { sender, bytes: 0 };
            follow(reread, &files, algorithm, advance)
        });
        let thread = thread.map_err(|error| PackError::read(zip.staged(), error))?;
        Ok(Self { thread, advances })
    }

    /// Waits until everything was read, when the zip is complete. Tells how many entries it has.
    pub(super) fn finish(self, progress: &dyn Progress) -> Result<usize, PackError> {
        for bytes in self.advances {
            progress.advance(bytes);
        }
        let read = self.thread.join();
        read.unwrap_or_else(|panic| std::panic::resume_unwind(panic))
    }
}

/// What is told of reading, without ever waiting for somebody to listen.
struct Advance {
    sender: SyncSender<u64>,
    bytes: u64,
}

impl Advance {
    fn tell(&mut self, bytes: u64) {
        self.bytes = self.bytes.saturating_add(bytes);
        if self.sender.try_send(self.bytes).is_ok() {
            self.bytes = 0;
        }
    }
}

/// Compares every entry with the checksum of what was to be written; tells how many there are.
fn follow(
    mut reread: ZipReread,
    files: &Files,
    algorithm: Algorithm,
    mut advance: Advance,
) -> Result<usize, PackError> {
    let mut entries = 0_usize;
    while let Some(entry) = reread.next_entry(algorithm)? {
        let expected = files.digest(&entry.path, algorithm);
        let expected = expected.ok_or_else(|| PackError::ReadBack {
            path: entry.path.clone(),
            expected: "nothing".to_owned(),
            found: "an entry".to_owned(),
        })?;
        agree(&entry.path, &expected, Some(&entry.digest))?;
        if !entry.is_as_stated {
            return Err(PackError::ReadBack {
                path: entry.path,
                expected: "the length and the check value that the zip states".to_owned(),
                found: "others".to_owned(),
            });
        }
        entries = entries.saturating_add(1);
        advance.tell(entry.length);
    }
    reread.confirm_directory()?;
    Ok(entries)
}
