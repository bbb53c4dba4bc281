//! Copies for others: small pictures stay only where they show the same, and parts of packets that nobody names go.

use super::drawn;
use super::real::real_files;
use super::record;
use image::ExtendedColorType;
use image::ImageEncoder;
use image::codecs::jpeg::JpegEncoder;
use kithbag::fixity::Algorithm;
use kithbag::format::container::PrivateFact;
use kithbag::format::container::examine;
use kithbag::format::container::sniff;
use kithbag::inscribe::InscribeOptions;
use kithbag::inscribe::InscribedSet;
use kithbag::inscribe::inscribe_all;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::Portrait;
use kithbag::record::PortraitNumber;
use kithbag::record::Scan;
use kithbag::store::staging::Staging;
use std::io::Cursor;
use std::path::PathBuf;

/// Describes files for others through the stage, and returns what was done and where the copies are.
fn outgoing(files: &[(String, Vec<u8>)]) -> (tempfile::TempDir, PathBuf, InscribedSet) {
    let root = tempfile::tempdir().unwrap();
    let mut collection = Collection {
        portraits: Vec::new(),
        scans: Vec::new(),
        ..record("notes")
    };
    for (index, (name, bytes)) in files.iter().enumerate() {
        std::fs::write(root.path().join(name), bytes).unwrap();
        let number = PortraitNumber::new(format!("A-{index:03}"));
        collection.portraits.push(Portrait {
            number: number.clone(),
            ..Portrait::default()
        });
        collection.scans.push(Scan {
            file: name.clone(),
            portrait: Answer::Given(number),
            ..Scan::default()
        });
    }
    let options = InscribeOptions {
        prefix: String::new(),
        algorithms: vec![Algorithm::Sha256],
        threads: 2,
        drop_private: true,
        tool: "kithbag test".to_owned(),
    };
    let staging = Staging::beside(&root.path().join("copies")).unwrap();
    let set = inscribe_all(&collection, root.path(), &options, &staging, &Silent).unwrap();
    let copies = staging.commit().unwrap();
    (root, copies, set)
}

/// A bright disc on a dark ground, or with `other` a bright corner.
fn scene(width: u32, height: u32, other: bool) -> Vec<u8> {
    let mut samples = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let (across, down) = (x * 100 / width, y * 100 / height);
            let disc = across.abs_diff(40).pow(2) + down.abs_diff(60).pow(2) < 700;
            let bright = if other { across + down < 60 } else { disc };
            samples.push(if bright {
                230 - down as u8 / 2
            } else {
                20 + across as u8 / 2
            });
        }
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90)
        .write_image(&samples, width, height, ExtendedColorType::L8)
        .unwrap();
    bytes
}

fn with_small(small: &[u8]) -> Vec<u8> {
    let large = scene(320, 240, false);
    let exif = drawn::segment(0xe1, &[b"Exif\0\0", &drawn::exif_with(small)]);
    assert_eq!(&large[2..4], &[0xff, 0xe0]);
    let at = 4 + usize::from(u16::from_be_bytes([large[4], large[5]]));
    [&large[..at], &exif, &large[at..]].concat()
}

#[test]
fn a_small_picture_stays_only_if_it_shows_the_same() {
    let files = [
        ("same.jpg".to_owned(), with_small(&scene(80, 60, false))),
        ("other.jpg".to_owned(), with_small(&scene(80, 60, true))),
        ("damaged.jpg".to_owned(), with_small(b"no picture at all")),
    ];
    let (_root, copies, set) = outgoing(&files);
    let words = PrivateFact::SmallPicture.words().to_owned();
    for (index, kept) in [(0, true), (1, false), (2, false)] {
        let file = &set.files[index];
        assert_eq!(file.removed.contains(&words), !kept, "{}", file.scan);
        let copy = std::fs::read(copies.join(&file.path)).unwrap();
        let before = examine(&mut Cursor::new(&files[index].1)).unwrap();
        let after = examine(&mut Cursor::new(&copy)).unwrap();
        let range = before.thumbnails[0];
        let place = range.offset as usize..range.end() as usize;
        // The packet comes behind the camera's block, so this block has not moved.
        let blank = copy[place.clone()].iter().all(|byte| *byte == 0);
        assert_eq!(blank, !kept, "{}", file.scan);
        assert!(
            !kept || copy[place.clone()] == files[index].1[place],
            "{}",
            file.scan
        );
        assert_eq!(after.thumbnails.is_empty(), !kept, "{}", file.scan);
    }
}

#[test]
fn parts_of_a_packet_that_nobody_names_go() {
    let secret = b"a place that nobody should know";
    let long = drawn::parts(secret, 100);
    // The first segment is the standard packet that names them: without it they are strays.
    let first = 2 + usize::from(u16::from_be_bytes([long[2], long[3]]));
    let files = [(
        "strays.jpg".to_owned(),
        drawn::with_segments(&long[first..]),
    )];
    let (_root, copies, set) = outgoing(&files);
    let copy = std::fs::read(copies.join(&set.files[0].path)).unwrap();
    assert!(!copy.windows(secret.len()).any(|bytes| bytes == secret));
    assert!(!set.files[0].removed.is_empty());
}

#[test]
fn most_small_pictures_of_real_files_show_the_same() {
    let files: Vec<(String, Vec<u8>)> = real_files("ordinary")
        .into_iter()
        .filter(|(_, bytes)| sniff(bytes).unwrap().can_be_described())
        .filter(|(_, bytes)| {
            !examine(&mut Cursor::new(bytes))
                .unwrap()
                .thumbnails
                .is_empty()
        })
        .collect();
    if files.is_empty() {
        return;
    }
    let (_root, _copies, set) = outgoing(&files);
    let words = PrivateFact::SmallPicture.words().to_owned();
    let gone: Vec<&str> = set
        .files
        .iter()
        .filter(|file| file.removed.contains(&words))
        .map(|file| &*file.scan)
        .collect();
    println!(
        "{} files with small pictures, taken out of {}: {gone:?}",
        files.len(),
        gone.len()
    );
    assert!(gone.len() * 4 < files.len());
}
