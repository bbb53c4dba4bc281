//! Viewing copies of pictures from many cameras and scanners, sound and broken.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::missing_panics_doc,
    reason = "a test may panic, and says when it was not run"
)]

use kithbag::format::viewing::viewing_jpeg;
use std::io::Cursor;
use std::path::PathBuf;

/// The shared test pictures, when there.
fn shared(folder: &str) -> Option<Vec<PathBuf>> {
    let Some(shared) = std::env::var_os("KITHBAG_SHARED") else {
        println!("not run: KITHBAG_SHARED is not set");
        return None;
    };
    let folder = PathBuf::from(shared).join("data/images").join(folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    Some(files)
}

#[test]
fn ordinary_pictures_can_be_shown() {
    let Some(files) = shared("ordinary") else {
        return;
    };
    let mut shown = 0;
    for file in files {
        let bytes = std::fs::read(&file).unwrap();
        match viewing_jpeg(Cursor::new(&bytes), 200) {
            Ok(_) => shown += 1,
            Err(fault) => println!("{}: {fault}", file.display()),
        }
    }
    println!("{shown} shown");
    assert!(shown >= 60);
}

#[test]
fn broken_pictures_are_never_a_panic() {
    let Some(files) = shared("broken") else {
        return;
    };
    for file in files {
        let bytes = std::fs::read(&file).unwrap();
        if let Err(fault) = viewing_jpeg(Cursor::new(&bytes), 200) {
            println!("{}: {fault}", file.display());
        }
    }
}
