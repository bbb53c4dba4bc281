use super::*;
use std::io::Cursor;
use std::io::Write as _;
use zip::CompressionMethod;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// A sound zip, written by the zip library.
fn sample(names: &[&str]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for name in names {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        writer.start_file(*name, options).unwrap();
        writer.write_all(b"hello\n").unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn read_bytes(bytes: &[u8]) -> Result<Vec<Entry>, ZipFault> {
    read(&mut Cursor::new(bytes))
}

/// Writes bytes over others, at the `nth` place where `find` stands, `shift` bytes on.
#[expect(clippy::arithmetic_side_effects, reason = "a test may fail loudly")]
fn overwrite(bytes: &mut [u8], find: &[u8], shift: usize, new: &[u8]) {
    let at = bytes
        .windows(find.len())
        .position(|one| one == find)
        .unwrap();
    bytes[at + shift..at + shift + new.len()].copy_from_slice(new);
}

#[test]
fn entries_and_where_they_lie() {
    let bytes = sample(&["top/a.txt", "top/Zo\u{eb}.txt"]);
    let entries = read_bytes(&bytes).unwrap();
    assert_eq!(entries.len(), 2);
    assert_eq!(&*entries[1].name, "top/Zo\u{eb}.txt");
    for entry in &entries {
        assert_eq!((entry.method, entry.length), (Method::Stored, 6));
        assert!(!entry.is_encrypted && !entry.is_link && !entry.name_is_doubtful);
        let start = data_start(&mut Cursor::new(&bytes), entry).unwrap();
        let start = usize::try_from(start).unwrap();
        assert_eq!(&bytes[start..start + 6], b"hello\n");
        assert_eq!(entry.crc, crc32fast::hash(b"hello\n"));
    }
}

#[test]
fn an_empty_zip() {
    let bytes = sample(&[]);
    assert_eq!(read_bytes(&bytes).unwrap().len(), 0);
}

#[test]
fn cut_at_every_byte() {
    let bytes = sample(&["a", "b"]);
    for length in 0..bytes.len() {
        assert!(read_bytes(&bytes[..length]).is_err(), "{length}");
    }
}

#[test]
fn bytes_before_or_behind_are_refused() {
    let bytes = sample(&["a"]);
    let mut before = b"MZ".to_vec();
    before.extend(&bytes);
    assert!(matches!(
        read_bytes(&before),
        Err(ZipFault::Contradiction { .. })
    ));
    let mut behind = bytes;
    behind.push(0);
    assert!(matches!(read_bytes(&behind), Err(ZipFault::NoDirectory)));
}

/// A changed byte of the directory must never panic.
#[test]
fn every_byte_changed() {
    let bytes = sample(&["a", "b"]);
    for position in 0..bytes.len() {
        for value in [0, 1, 0x7f, 0xff] {
            let mut changed = bytes.clone();
            changed[position] = value;
            if let Ok(entries) = read_bytes(&changed) {
                for entry in &entries {
                    let _ = data_start(&mut Cursor::new(&changed), entry);
                }
            }
        }
    }
}

#[test]
fn two_entries_of_one_name_are_both_seen() {
    let mut bytes = sample(&["top/a", "top/b"]);
    let last = bytes.windows(5).rposition(|one| one == b"top/b").unwrap();
    bytes[last + 4] = b'a';
    let entries = read_bytes(&bytes).unwrap();
    assert!(entries.iter().all(|entry| &*entry.name == "top/a"));
    // The header beside the bytes still says b.
    assert!(matches!(
        data_start(&mut Cursor::new(&bytes), &entries[1]),
        Err(ZipFault::Contradiction { .. })
    ));
}

#[test]
fn entries_that_share_bytes_are_refused() {
    let bytes = sample(&["a", "b"]);
    let second_header = bytes
        .windows(4)
        .rposition(|one| one == CENTRAL_HEADER.to_le_bytes())
        .unwrap();
    let mut same_place = bytes.clone();
    same_place[second_header + 42..second_header + 46].copy_from_slice(&0_u32.to_le_bytes());
    assert!(matches!(read_bytes(&same_place), Err(ZipFault::Overlap)));
    let mut too_long = bytes;
    overwrite(
        &mut too_long,
        &CENTRAL_HEADER.to_le_bytes(),
        20,
        &7_u32.to_le_bytes(),
    );
    assert!(matches!(read_bytes(&too_long), Err(ZipFault::Overlap)));
}

#[test]
fn encryption_and_links_are_seen() {
    let mut encrypted = sample(&["a"]);
    overwrite(&mut encrypted, &CENTRAL_HEADER.to_le_bytes(), 8, &[1, 0]);
    assert!(read_bytes(&encrypted).unwrap()[0].is_encrypted);
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer
        .add_symlink("link", "/etc/passwd", SimpleFileOptions::default())
        .unwrap();
    let linked = writer.finish().unwrap().into_inner();
    assert!(read_bytes(&linked).unwrap()[0].is_link);
}

#[test]
fn long_lengths_stand_in_the_extra_field() {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .large_file(true);
    writer.start_file("a", options).unwrap();
    writer.write_all(b"hello\n").unwrap();
    let bytes = writer.finish().unwrap().into_inner();
    let entries = read_bytes(&bytes).unwrap();
    assert_eq!(entries[0].length, 6);
    assert!(data_start(&mut Cursor::new(&bytes), &entries[0]).is_ok());
}
