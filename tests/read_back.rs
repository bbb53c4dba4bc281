//! A zip is read back from the disk before it gets its name: what the disk changed meanwhile is noticed, and nothing stays behind.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use kithbag::fixity::Algorithm;
use kithbag::pack::PackError;
use kithbag::pack::PackOptions;
use kithbag::pack::plain;
use kithbag::progress::Progress;
use kithbag::record::Audience;
use std::fs;
use std::fs::OpenOptions;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::path::PathBuf;

/// What the program says when all is written and what remains is read back.
const READS_BACK: &str = "Reading the zip file back";

/// A disk that changes one byte of a file at the moment at which it is to be read back.
struct BadDisk {
    folder: PathBuf,
    place: u64,
}

impl Progress for BadDisk {
    fn begin(&self, what: &str, _total: u64) {
        if what == READS_BACK {
            let staged = fs::read_dir(&self.folder)
                .unwrap()
                .map(|entry| entry.unwrap().path());
            let staged = staged.filter(|path| path.to_str().unwrap().ends_with(".zip.partial"));
            let staged: Vec<PathBuf> = staged.collect();
            let mut file = OpenOptions::new().write(true).open(&staged[0]).unwrap();
            file.seek(SeekFrom::Start(self.place)).unwrap();
            file.write_all(b"?").unwrap();
        }
    }
    fn advance(&self, _amount: u64) {}
    fn end(&self) {}
}

fn make(place: u64) -> (Result<PathBuf, PackError>, Vec<PathBuf>) {
    let files = tempfile::tempdir().unwrap();
    for name in ["a.tif", "b.tif", "c.tif"] {
        fs::write(files.path().join(name), vec![b'x'; 700_000]).unwrap();
    }
    let into = tempfile::tempdir().unwrap();
    let options = PackOptions {
        audience: Audience::Keeping,
        zip: true,
        algorithms: vec![Algorithm::Sha256, Algorithm::Sha512],
        as_of: jiff::civil::Date::constant(2026, 11, 25),
        threads: 2,
        tool: "kithbag".to_owned(),
        resume: false,
        signer: None,
        supersedes: None,
        split_at: None,
    };
    let disk = BadDisk {
        folder: into.path().to_owned(),
        place,
    };
    let made = plain(files.path(), &into.path().join("p"), &options, &disk);
    let left = fs::read_dir(into.path())
        .unwrap()
        .map(|entry| entry.unwrap().path());
    (made, left.collect())
}

#[test]
fn what_the_disk_changed_is_noticed_and_nothing_stays_behind() {
    // Among the bytes of a file, and in the name that its header bears.
    for place in [1000, 750_000, 32] {
        let (made, left) = make(place);
        let told = match made {
            Err(PackError::ReadBack { path, .. }) => path,
            other => panic!("{other:?}"),
        };
        let victim = if place > 700_000 { "b.tif" } else { "a.tif" };
        assert!(told.ends_with(victim), "{told}");
        assert!(left.is_empty(), "{left:?}");
    }
}

#[test]
fn a_change_behind_the_end_is_noticed() {
    let (made, left) = make(5_000_000);
    assert!(matches!(made, Err(PackError::Store(_))), "{made:?}");
    assert!(left.is_empty(), "{left:?}");
}
