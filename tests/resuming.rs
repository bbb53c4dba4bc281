//! A run that was cut off is taken up: what it left is compared byte by byte, and the result is that of a run that was not cut off.
//! Real interruptions, at random moments and at every system call, are made by `tests/outside/faults/table.py`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::Output;

const DAY: &str = "2026-11-25";
const NAME: &str = "trevanick-pair-family-2026-11-25";

fn pack(into: &Path, more: &[&str]) -> Output {
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/trevanick-pair");
    Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .args(["pack", sample, "--for", "family", "--as-of", DAY, "--into"])
        .arg(into)
        .args(more)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn told(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn tree(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let walk = walkdir::WalkDir::new(root).into_iter().map(Result::unwrap);
    let files = walk.filter(|entry| entry.file_type().is_file());
    files
        .map(|entry| {
            let path = entry.path().strip_prefix(root).unwrap();
            (
                path.to_str().unwrap().to_owned(),
                fs::read(entry.path()).unwrap(),
            )
        })
        .collect()
}

/// Puts a staging folder there as a run leaves it that was cut off, with a file cut short, one damaged, one that belongs to
/// nothing, and the last ones missing.
fn leave(whole: &BTreeMap<String, Vec<u8>>, staging: &Path) {
    for (place, (path, bytes)) in whole.iter().enumerate() {
        let mut bytes = bytes.clone();
        match place % 4 {
            0 => bytes.truncate(bytes.len() / 2),
            1 if !bytes.is_empty() => {
                let middle = bytes.len() / 2;
                bytes[middle] ^= 0x20;
            }
            2 => continue,
            _ => {}
        }
        let at = staging.join(path);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::write(at, bytes).unwrap();
    }
    fs::create_dir_all(staging.join("data/old")).unwrap();
    fs::write(
        staging.join("data/old/scan.jpg"),
        "no longer in the collection",
    )
    .unwrap();
}

#[test]
fn a_package_that_was_taken_up_is_the_same_as_one_made_in_one_go() {
    let shop = tempfile::tempdir().unwrap();
    let once = shop.path().join("once");
    assert_eq!(pack(&once, &[]).status.code(), Some(0));
    let whole = tree(&once.join(NAME));

    let again = shop.path().join("again");
    leave(&whole, &again.join(format!(".{NAME}.partial")));
    let refused = pack(&again, &[]);
    assert_eq!(refused.status.code(), Some(3));
    assert!(
        told(&refused).contains(&format!(".{NAME}.partial")),
        "{}",
        told(&refused)
    );
    assert!(told(&refused).contains("--resume"), "{}", told(&refused));

    let resumed = pack(&again, &["--resume"]);
    assert_eq!(resumed.status.code(), Some(0), "{}", told(&resumed));
    assert_eq!(tree(&again.join(NAME)), whole);
    assert!(!again.join(format!(".{NAME}.partial")).exists());
}

#[test]
fn a_zip_that_was_taken_up_is_the_same_too() {
    let shop = tempfile::tempdir().unwrap();
    let once = shop.path().join("once");
    assert_eq!(pack(&once, &["--zip"]).status.code(), Some(0));
    let again = shop.path().join("again");
    let left = again.join(format!(".{NAME}.zip-contents.partial/data"));
    fs::create_dir_all(&left).unwrap();
    fs::write(left.join("rights.txt"), "half").unwrap();
    fs::write(again.join(format!(".{NAME}.zip.partial")), "half a zip").unwrap();
    let resumed = pack(&again, &["--zip", "--resume"]);
    assert_eq!(resumed.status.code(), Some(0), "{}", told(&resumed));
    let zip = format!("{NAME}.zip");
    assert!(fs::read(once.join(&zip)).unwrap() == fs::read(again.join(&zip)).unwrap());
    assert_eq!(
        fs::read_dir(&again).unwrap().count(),
        4,
        "only zip, receipt, papers and the list of people who may be living"
    );
}
