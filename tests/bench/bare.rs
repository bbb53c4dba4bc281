//! Copying files and reading them back, and nothing else: what packing small files cannot be faster than.

use kithbag::crew;
use std::fs;
use std::fs::File;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use walkdir::WalkDir;

/// Files that a thread takes at a time, as packing does.
const TOGETHER: usize = 64;

/// Copies every file below `root`, each with one call to read and one to write it, and reads every copy; works out no checksum and writes
/// no list. As packing does, it asks each file how long it is before and after.
pub(crate) fn copy_and_read_back(root: &Path, target: &Path, threads: usize) {
    let mut files: Vec<PathBuf> = Vec::new();
    for entry in WalkDir::new(root).sort_by_file_name() {
        let entry = entry.unwrap();
        let below = entry.path().strip_prefix(root).unwrap();
        if entry.file_type().is_dir() {
            fs::create_dir(target.join(below)).unwrap();
        } else {
            files.push(below.to_owned());
        }
    }
    let stretches: Vec<&[PathBuf]> = files.chunks(TOGETHER).collect();
    crew::share_with(&stretches, threads, room, |room, some| {
        for file in *some {
            let mut original = File::open(root.join(file)).unwrap();
            let length = original.metadata().unwrap().len();
            let mut copy = File::create_new(target.join(file)).unwrap();
            let count = original.read(room).unwrap();
            copy.write_all(&room[..count]).unwrap();
            assert_eq!(original.metadata().unwrap().len(), length);
            assert_eq!(u64::try_from(count).unwrap(), length);
        }
    });
    crew::share_with(&stretches, threads, room, |room, some| {
        for file in *some {
            let count = File::open(target.join(file)).unwrap().read(room).unwrap();
            assert!(count > 0);
        }
    });
}

fn room() -> Vec<u8> {
    vec![0; 64 * 1024]
}
