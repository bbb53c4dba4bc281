//! Over real files: what `examine` makes of them. The files' folder is given by `KITHBAG_SHARED`.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use kithbag::format::container::examine;
use kithbag::format::container::picture_digest;
use kithbag::format::container::sniff;
use std::collections::BTreeMap;
use std::fs::File;
use std::path::PathBuf;

/// Returns the real files of a folder in name order, or nothing, said aloud, when they are not there to be tested.
fn real_files(folder: &str) -> Vec<PathBuf> {
    let Some(shared) = std::env::var_os("KITHBAG_SHARED") else {
        println!("not run: KITHBAG_SHARED is not set");
        return Vec::new();
    };
    let folder = PathBuf::from(shared).join("data/images").join(folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

#[test]
fn ordinary_files_are_understood() {
    let files = real_files("ordinary");
    let mut counts: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for path in &files {
        let mut file = File::open(path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let kind = sniff(&std::fs::read(path).unwrap()).unwrap();
        let count = counts.entry(kind.name()).or_default();
        count.0 += 1;
        match examine(&mut file) {
            Ok(anatomy) => {
                assert!(anatomy.width > 0 && anatomy.height > 0, "{name}");
                let digest = picture_digest(&mut file, &anatomy);
                assert!(digest.is_ok(), "{name}: {digest:?}");
                if anatomy.refusal.is_none() {
                    count.1 += 1;
                }
            }
            Err(error) => println!("{name}: {error}"),
        }
    }
    println!("{counts:?}");
    for (kind, (all, accepted)) in counts {
        if kind != "HEIC/HEIF" {
            assert!(accepted * 100 >= all * 99, "{kind}: {accepted} of {all}");
        }
    }
}
