//! Packing again what is packed already: nothing is written, and no change of scan, record or package goes unnoticed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod support;

use std::fs;
use std::path::Path;
use std::process::Output;
use support::copy_folder;

fn kithbag(words: &[&str], places: &[&Path]) -> Output {
    let places: Vec<&str> = places.iter().map(|path| path.to_str().unwrap()).collect();
    support::program(&[words, &places, &["--as-of", "2026-11-25"]].concat())
}

fn said(output: &Output) -> String {
    let (out, err) = (&output.stdout, &output.stderr);
    String::from_utf8_lossy(out).into_owned() + &String::from_utf8_lossy(err)
}

#[test]
fn the_very_same_package_is_not_written_again_and_any_change_is_seen() {
    let folder = tempfile::tempdir().unwrap();
    let (box_, into) = (folder.path().join("pair"), folder.path().join("into"));
    copy_folder(
        Path::new(concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/samples/trevanick-pair"
        )),
        &box_,
    );
    let pack = || kithbag(&["pack", "--for", "keeping", "--into"], &[&into, &box_]);
    let survey = || assert!(kithbag(&["survey"], &[&box_]).status.success());
    survey();
    assert!(pack().status.success(), "{}", said(&pack()));
    let package = into.join("pair-keeping-2026-11-25");
    let manifest = fs::read(package.join("manifest-sha256.txt")).unwrap();
    let again = pack();
    assert_eq!(again.status.code(), Some(0), "{}", said(&again));
    assert!(
        said(&again).contains("nothing was written"),
        "{}",
        said(&again)
    );
    assert!(!said(&again).contains("is ready"));
    let refused = |why: &str| {
        let again = pack();
        assert_eq!(again.status.code(), Some(3), "{why}: {}", said(&again));
        assert!(said(&again).contains("is there already"), "{why}");
    };
    // Other checksums are another package.
    let other = kithbag(
        &["pack", "--for", "keeping", "--digests", "md5", "--into"],
        &[&into, &box_],
    );
    assert_eq!(other.status.code(), Some(3), "{}", said(&other));
    // A scan of the same length with other bytes.
    let scan = box_.join("A-001/A-001-front.jpg");
    let kept = fs::read(&scan).unwrap();
    let mut changed = kept.clone();
    let middle = changed.len() / 2;
    changed[middle] ^= 1;
    fs::write(&scan, &changed).unwrap();
    refused("a changed scan");
    fs::write(&scan, &kept).unwrap();
    refused("a scan that no survey has seen since it was written");
    survey();
    assert_eq!(pack().status.code(), Some(0), "the old bytes are back");
    // A word of the catalogue.
    let people = box_.join("catalogue/people.csv");
    let text = fs::read_to_string(&people).unwrap();
    fs::write(&people, text.replace("Loveday Rowse", "Loveday Rouse")).unwrap();
    refused("a changed word");
    fs::write(&people, &text).unwrap();
    assert_eq!(pack().status.code(), Some(0));
    // Without the memory nothing is known.
    fs::remove_file(box_.join(".kithbag-cache")).unwrap();
    refused("no memory");
    assert_eq!(
        fs::read(package.join("manifest-sha256.txt")).unwrap(),
        manifest
    );
}
