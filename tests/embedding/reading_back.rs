//! Copies that are read back while they are written, with every checksum on a thread of its own.

use super::drawn;
use super::drawn::Tiff;
use super::packet_of;
use super::record;
use kithbag::fixity::Algorithm;
use kithbag::format::container::Anatomy;
use kithbag::format::container::SpliceError;
use kithbag::format::container::SpliceOptions;
use kithbag::format::container::SplicedCopy;
use kithbag::format::container::Target;
use kithbag::format::container::examine;
use kithbag::format::container::splice;
use kithbag::format::xmp;
use kithbag::format::xmp::PacketError;
use std::io::Cursor;
use std::io::Read;
use std::io::Write;
use std::sync::Arc;
use std::sync::Mutex;

/// What was written, for whoever reads it meanwhile; at one place a disk may give back another byte than it took.
#[derive(Clone, Default)]
struct Tape {
    bytes: Arc<Mutex<Vec<u8>>>,
    read: usize,
    spoilt: Option<usize>,
    ends: Option<usize>,
}

impl Write for Tape {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.bytes.lock().unwrap().write(bytes)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Read for Tape {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let bytes = self.bytes.lock().unwrap();
        let end = self.ends.unwrap_or(bytes.len()).min(bytes.len());
        let mut rest = bytes.get(self.read..end).unwrap_or_default();
        let count = rest.read(buffer)?;
        if let Some(at) = self.spoilt.and_then(|at| at.checked_sub(self.read))
            && at < count
        {
            buffer[at] ^= 1;
        }
        self.read += count;
        Ok(count)
    }
}

fn described(
    original: &[u8],
    anatomy: &Anatomy,
    (threads, drop_private, held): (usize, bool, bool),
    mut back: Tape,
) -> Result<(Vec<u8>, SplicedCopy), SpliceError<PacketError>> {
    let existing = anatomy.packet.as_deref().map(|packet| {
        let text = xmp::screen(packet).unwrap();
        text.into_owned()
    });
    let options = SpliceOptions {
        drop_private,
        also_dropped: Vec::new(),
        algorithms: vec![Algorithm::Sha256, Algorithm::Sha512],
        threads,
        held,
    };
    let mut write = back.clone();
    let done = splice(
        &mut Cursor::new(original),
        anatomy,
        &options,
        &mut |inscription| packet_of(existing.as_deref(), &record("w"), drop_private, inscription),
        Target {
            write: &mut write,
            read_back: Some(&mut back),
        },
    )?;
    let bytes = write.bytes.lock().unwrap().clone();
    Ok((bytes, done))
}

/// Every form, and a file of many buffers.
fn files() -> Vec<(String, Vec<u8>)> {
    let mut files = drawn::files();
    let long = [drawn::jpeg(2000, 1500, 3), vec![b'x'; 3_000_000]].concat();
    files.push(("long".to_owned(), long));
    let pages = Tiff {
        bits: 16,
        pages: 900,
        ..Tiff::default()
    };
    files.push(("many pages".to_owned(), pages.bytes()));
    files
}

#[test]
fn threads_change_nothing_and_the_picture_is_found_where_it_went() {
    let mut found = 0;
    for (name, original) in files() {
        let before = examine(&mut Cursor::new(&original)).unwrap();
        for drop_private in [false, true] {
            let run = |threads| {
                let how = (threads, drop_private, true);
                described(&original, &before, how, Tape::default())
                    .unwrap_or_else(|error| panic!("{name}: {error}"))
            };
            let (copy, done) = run(1);
            for threads in [2, 8] {
                assert!(
                    run(threads) == (copy.clone(), done.clone()),
                    "{name}: {threads}"
                );
            }
            let after = examine(&mut Cursor::new(&copy)).unwrap();
            assert!(done.carries_picture(&before, &after), "{name}");
            // The original is no copy of itself: its picture lies elsewhere, or it is shorter.
            assert!(!done.carries_picture(&before, &before), "{name}");
            found += 1;
        }
    }
    println!("{found} copies");
}

#[test]
fn a_byte_that_reads_back_otherwise_is_named() {
    for (name, original) in [
        ("jpeg", drawn::jpeg(900, 700, 5)),
        ("tiff", Tiff::default().bytes()),
    ] {
        let anatomy = examine(&mut Cursor::new(&original)).unwrap();
        let (copy, _) = described(&original, &anatomy, (1, false, true), Tape::default()).unwrap();
        for threads in [1, 2, 8] {
            for at in [0, 5, copy.len() / 2, copy.len() - 1] {
                let spoilt = Tape {
                    spoilt: Some(at),
                    ..Tape::default()
                };
                let ended = Tape {
                    ends: Some(at),
                    ..Tape::default()
                };
                for tape in [spoilt, ended] {
                    let refused = described(&original, &anatomy, (threads, false, true), tape);
                    let Err(SpliceError::Differs { offset }) = refused else {
                        panic!("{name}: byte {at} was not missed");
                    };
                    assert_eq!(offset, at as u64, "{name}");
                }
            }
        }
    }
}

#[test]
fn what_is_read_twice_from_a_disk_is_not_taken_for_the_same() {
    for (name, original, once) in [
        ("jpeg", drawn::jpeg(90, 70, 5), false),
        ("tiff", Tiff::default().bytes(), true),
    ] {
        let before = examine(&mut Cursor::new(&original)).unwrap();
        let how = (1, false, false);
        let (copy, done) = described(&original, &before, how, Tape::default()).unwrap();
        let after = examine(&mut Cursor::new(&copy)).unwrap();
        assert_eq!(done.carries_picture(&before, &after), once, "{name}");
    }
}
