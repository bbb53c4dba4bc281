//! Every drawn file, described, given back, described anew; and records too large for one segment.

use super::check_blanked;
use super::check_described;
use super::describe;
use super::describe_again;
use super::drawn;
use super::embedded;
use super::record;
use kithbag::format::container::examine;
use std::io::Cursor;
use xmp_toolkit::OpenFileOptions;
use xmp_toolkit::XmpFile;

#[test]
fn every_drawn_file_is_accepted_and_loses_nothing() {
    for (name, original) in drawn::files() {
        check_described(&name, &original, &record("notes"));
        check_blanked(&name, &original, &record("notes"));
    }
    println!("{} drawn files", drawn::files().len());
}

#[test]
fn ten_rounds_of_describing_do_not_grow_a_file() {
    for (name, original) in drawn::files() {
        let (mut copy, _) = describe(&original, &record("round 0"), false).unwrap();
        let first = copy.len();
        for round in 1..=9 {
            copy = describe_again(&copy, &record(&format!("round {round}")))
                .unwrap()
                .0;
            assert_eq!(copy.len(), first, "{name}, round {round}");
        }
        copy = describe_again(&copy, &record("round 0")).unwrap().0;
        let (fresh, _) = describe(&original, &record("round 0"), false).unwrap();
        assert!(copy == fresh, "{name}: describing again leaves traces");
    }
}

/// A JPEG segment holds less than 64 KiB, so a larger record is spread over several. [XMP part 3, 1.1.3.1]
#[test]
fn a_record_of_150_kilobytes_in_a_jpeg_reads_back_here_and_through_the_toolkit() {
    let long = record(&"Женщина 𠮷 <&\"> ".repeat(6000));
    let folder = tempfile::tempdir().unwrap();
    let mut seen = 0;
    for (name, original) in drawn::files()
        .into_iter()
        .filter(|(name, _)| name.ends_with(".jpg"))
    {
        let copy = check_described(&name, &original, &long);
        assert!(copy.len() > original.len() + 150_000, "{name}");
        let ours = embedded(&examine(&mut Cursor::new(&copy)).unwrap());
        assert_eq!(ours.record.as_ref(), Some(&long), "{name}");
        let path = folder.path().join(&name);
        std::fs::write(&path, &copy).unwrap();
        let mut file = XmpFile::new().unwrap();
        file.open_file(&path, OpenFileOptions::default().for_read().only_xmp())
            .unwrap();
        let packet = file.xmp().unwrap();
        let theirs = packet
            .property(kithbag::format::xmp::OWN_NAMESPACE, "record")
            .unwrap()
            .value;
        let record: serde_json::Value = serde_json::from_str(&theirs).unwrap();
        assert_eq!(record, serde_json::to_value(&long).unwrap(), "{name}");
        seen += 1;
    }
    println!("{seen} JPEG files with records of more than 150 kB read back by both");
    assert!(seen >= 5);
}
