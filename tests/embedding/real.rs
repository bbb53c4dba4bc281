//! Over real files of many cameras and programs. Their folder is given by `KITHBAG_SHARED`.

use super::check_blanked;
use super::check_described;
use super::describe;
use super::describe_again;
use super::record;
use kithbag::format::container::examine;
use kithbag::format::container::sniff;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::PathBuf;

/// Returns the real files of a folder in name order, or nothing, said aloud, when they are not there to be tested.
pub(super) fn real_files(folder: &str) -> Vec<(String, Vec<u8>)> {
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
    assert!(!files.is_empty(), "{} is empty", folder.display());
    files
        .into_iter()
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(&path).unwrap())
        })
        .collect()
}

#[test]
fn ordinary_files_are_accepted_and_lose_nothing() {
    let mut counts: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (name, original) in real_files("ordinary") {
        let kind = sniff(&original).unwrap();
        if !kind.can_be_described() {
            assert!(examine(&mut Cursor::new(&original)).is_err(), "{name}");
            continue;
        }
        let count = counts.entry(kind.name()).or_default();
        count.0 += 1;
        if let Err(error) = describe(&original, &record("n"), false) {
            println!("{name}: refused: {error}");
            continue;
        }
        check_described(&name, &original, &record("notes"));
        check_blanked(&name, &original, &record("notes"));
        count.1 += 1;
    }
    println!("accepted of all: {counts:?}");
    let all: usize = counts.values().map(|count| count.0).sum();
    let accepted: usize = counts.values().map(|count| count.1).sum();
    assert!(accepted * 100 >= all * 99, "{accepted} of {all}");
}

#[test]
fn describing_again_and_again_does_not_grow_a_file() {
    for (name, original) in real_files("ordinary") {
        if !sniff(&original).unwrap().can_be_described() {
            continue;
        }
        let (mut copy, _) = describe(&original, &record("round 0"), false).unwrap();
        let first = copy.len();
        for round in 1..4 {
            copy = describe_again(&copy, &record(&format!("round {round}")))
                .unwrap()
                .0;
            assert_eq!(copy.len(), first, "{name}");
        }
        copy = describe_again(&copy, &record("round 0")).unwrap().0;
        let (fresh, _) = describe(&original, &record("round 0"), false).unwrap();
        assert!(copy == fresh, "{name}: describing again leaves traces");
    }
}
