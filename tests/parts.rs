//! A package cut into parts: between portraits, never through one; every part stands on its own, and together they hold what the
//! package in one piece holds.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may fail loudly"
)]

mod support;

use kithbag::verdict::Outcome;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;
use support::paths;

const NAME: &str = "tillyard-box-keeping-2026-11-25";
const SIZE: u64 = 3_000_000;
const KEY: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/src/format/ssh_signature/plain-key"
);

fn pack(into: &Path, more: &[&str]) -> Output {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/tillyard-box");
    Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .arg("pack")
        .arg(sample)
        .args(["--for", "keeping", "--as-of", "2026-11-25", "--into"])
        .arg(into)
        .args(more)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn packed(into: &Path, more: &[&str]) -> (PathBuf, String) {
    let output = pack(into, more);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let complained = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}\n{complained}");
    (into.join(NAME), said)
}

/// The parts in a folder, in order.
fn parts(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut parts: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir() || ending == ".zip")
        .filter(|path| path.to_str().unwrap().ends_with(ending))
        .collect();
    parts.sort();
    parts
}

fn files(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let read = |path: String| (path.clone(), fs::read(root.join(path)).unwrap());
    paths(root).into_iter().map(read).collect()
}

fn is_picture(path: &str) -> bool {
    ["data/portraits/", "data/originals/", "data/viewing/"]
        .iter()
        .any(|folder| path.starts_with(folder))
}

/// The portrait whose picture this is, by the folder or the name.
fn portrait(path: &str) -> String {
    let at = path
        .find("B-")
        .unwrap_or_else(|| panic!("{path} names no portrait"));
    path[at..].chars().take(4).collect()
}

#[test]
fn parts_stand_on_their_own_and_are_the_whole_together() {
    let scratch = tempfile::tempdir().unwrap();
    let (whole, _) = packed(&scratch.path().join("whole"), &[]);
    let (folder, said) = packed(&scratch.path().join("cut"), &["--split-at", "3MB"]);
    let parts = parts(&folder, "");
    assert!(parts.len() > 2, "{parts:?}");
    assert!(said.contains(&format!("It was cut into {} parts", parts.len())));

    let whole = files(&whole);
    let mut together: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut portraits: BTreeMap<String, usize> = BTreeMap::new();
    let mut groups = BTreeSet::new();
    for (index, part) in parts.iter().enumerate() {
        let count = format!("{} of {}", index + 1, parts.len());
        let report = support::audit_both(part);
        assert_eq!(report.outcome, Outcome::Sound, "{}", report.verdict);
        assert_eq!((report.complete, report.valid), (Some(true), Some(true)));
        assert_eq!(support::codes(&report), Vec::<String>::new());
        let info: BTreeMap<String, String> = report.bag.unwrap().info.into_iter().collect();
        assert_eq!(info["Bag-Count"], count);
        groups.insert(info["Bag-Group-Identifier"].clone());
        let own = files(part);
        let size: usize = own.values().map(Vec::len).sum();
        assert!(u64::try_from(size).unwrap() <= SIZE, "{count}: {size}");
        let receipt = format!("{}-receipt.txt", part.display());
        let receipt = fs::read_to_string(receipt).unwrap();
        assert!(receipt.contains(part.file_name().unwrap().to_str().unwrap()));
        let page = String::from_utf8(own["START-HERE.txt"].clone()).unwrap();
        assert!(page.contains(&format!("This is part {count}.")));
        for (path, bytes) in own {
            if is_picture(&path) {
                let of = portraits.entry(portrait(&path)).or_insert(index);
                assert_eq!(*of, index, "{path} is in another part than its portrait");
                assert!(!together.contains_key(&path), "{path} is in two parts");
                together.insert(path, bytes);
            } else if path.starts_with("data/catalogue/") {
                assert!(whole[&path] == bytes, "{path} of part {count}");
            }
        }
    }
    assert_eq!(groups.len(), 1, "{groups:?}");
    // The twelfth was not scanned: its powdery bloom may be mould.
    assert_eq!(portraits.len(), 11);
    let pictures: BTreeMap<String, Vec<u8>> = whole
        .into_iter()
        .filter(|(path, _)| is_picture(path))
        .collect();
    assert!(pictures == together, "the parts together are the whole");
    let all = fs::read_to_string(format!("{}-receipt.txt", folder.display())).unwrap();
    assert_eq!(
        all.matches("manifest-sha256.txt (SHA-256)").count(),
        2 * parts.len()
    );

    let audited = Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .arg("audit")
        .arg(&folder)
        .output()
        .unwrap();
    let audited = String::from_utf8_lossy(&audited.stdout).into_owned();
    let expected = format!("{0} of {0} are sound.", parts.len());
    assert!(audited.contains(&expected), "{audited}");
    assert!(!audited.contains("belong to none"), "{audited}");
}

#[test]
fn parts_as_zips_hold_the_same_and_come_out_the_same_twice() {
    let scratch = tempfile::tempdir().unwrap();
    let (folders, _) = packed(&scratch.path().join("one"), &["--split-at", "4 MB"]);
    let zipped = ["--split-at", "4MB", "--zip"];
    let (zips, _) = packed(&scratch.path().join("two"), &zipped);
    let (again, _) = packed(&scratch.path().join("three"), &zipped);
    let (folders, zips, again) = (
        parts(&folders, ""),
        parts(&zips, ".zip"),
        parts(&again, ".zip"),
    );
    assert!(zips.len() > 1);
    assert_eq!((folders.len(), again.len()), (zips.len(), zips.len()));
    for ((folder, zip), again) in folders.iter().zip(&zips).zip(&again) {
        assert!(fs::read(zip).unwrap() == fs::read(again).unwrap());
        assert!(fs::metadata(zip).unwrap().len() <= 4_000_000);
        let mut archive = zip::ZipArchive::new(fs::File::open(zip).unwrap()).unwrap();
        let own = files(folder);
        assert_eq!(archive.len(), own.len());
        let top = folder.file_name().unwrap().to_str().unwrap();
        for (path, bytes) in own {
            let mut entry = archive.by_name(&format!("{top}/{path}")).unwrap();
            let mut found = Vec::new();
            std::io::copy(&mut entry, &mut found).unwrap();
            assert!(found == bytes, "{path}");
        }
        let report = support::run(zip);
        assert_eq!(report.outcome, Outcome::Sound, "{}", report.verdict);
    }
    let left: Vec<PathBuf> = fs::read_dir(scratch.path().join("two"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(left.len(), 2, "the folder and its receipt: {left:?}");
}

#[test]
fn a_portrait_that_is_larger_than_a_part_is_told_plainly() {
    let scratch = tempfile::tempdir().unwrap();
    let output = pack(scratch.path(), &["--split-at", "1MB", "--json"]);
    let parts = parts(&scratch.path().join(NAME), "");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told["parts"].as_array().unwrap().len(), parts.len());
    let mut warned = 0;
    for part in told["parts"].as_array().unwrap() {
        if part["size"].as_u64().unwrap() > 1_000_000 {
            assert_eq!(part["portraits"].as_array().unwrap().len(), 1);
            warned += 1;
        }
    }
    let concerns = told["concerns"].as_array().unwrap();
    let large: Vec<&str> = concerns
        .iter()
        .filter(|one| one["code"] == "part-larger-than-asked")
        .map(|one| one["what"].as_str().unwrap())
        .collect();
    assert!(warned > 0, "the sample has a portrait of more than 1 MB");
    assert_eq!(large.len(), warned);
    assert!(
        large[0].contains("and a portrait is never cut through"),
        "{}",
        large[0]
    );
}

#[test]
fn what_fits_is_not_cut() {
    let scratch = tempfile::tempdir().unwrap();
    let (plain, _) = packed(&scratch.path().join("plain"), &[]);
    let (large, said) = packed(&scratch.path().join("large"), &["--split-at", "4.7GB"]);
    assert!(files(&plain) == files(&large));
    assert!(!said.contains("cut into"), "{said}");
    for wrong in ["quarto", "12", "3,5GB", "-1GB"] {
        let output = pack(
            &scratch.path().join("wrong"),
            &[&format!("--split-at={wrong}")],
        );
        assert_eq!(output.status.code(), Some(2), "{wrong}");
    }
}

/// Puts back what a run left that was cut off while it made its parts: pictures that no part has taken over yet, some of them
/// damaged, and a part that is half there.
fn leave(whole: &BTreeMap<String, Vec<u8>>, staging: &Path) {
    let mut left: Vec<(String, Vec<u8>)> = Vec::new();
    for (place, (path, bytes)) in whole.iter().enumerate() {
        let (part, inside) = path.split_once('/').unwrap_or(("", path));
        let mut bytes = bytes.clone();
        match place % 3 {
            0 => bytes.truncate(bytes.len() / 2),
            1 => bytes.iter_mut().take(1).for_each(|byte| *byte ^= 0x20),
            _ => {}
        }
        if part.contains("-1-of-") {
            left.push((path.clone(), bytes));
        } else if is_picture(inside) {
            left.push((inside.to_owned(), bytes));
        }
    }
    assert!(left.len() > 10, "{}", left.len());
    for (path, bytes) in left {
        let at = staging.join(path);
        fs::create_dir_all(at.parent().unwrap()).unwrap();
        fs::write(at, bytes).unwrap();
    }
}

#[test]
fn parts_that_were_taken_up_and_signed_are_those_of_one_run() {
    let scratch = tempfile::tempdir().unwrap();
    let words = ["--split-at", "3MB", "--sign", KEY];
    let (once, _) = packed(&scratch.path().join("once"), &words);
    let whole = files(&once);

    let again = scratch.path().join("again");
    leave(&whole, &again.join(format!(".{NAME}.partial")));
    let refused = pack(&again, &words);
    assert_eq!(refused.status.code(), Some(3));
    let (resumed, _) = packed(&again, &[&words[..], &["--resume"]].concat());
    assert!(files(&resumed) == whole, "taking up gives another package");
    assert!(!again.join(format!(".{NAME}.partial")).exists());

    let folders = parts(&resumed, "");
    assert!(folders.len() > 2, "{folders:?}");
    for part in &folders {
        for name in ["manifest-sha256.txt.sig", "SIGNED.txt"] {
            assert!(part.join(name).is_file(), "{name} of {}", part.display());
        }
        let receipt = format!("{}-receipt.txt.sig", part.display());
        assert!(Path::new(&receipt).is_file(), "{receipt}");
    }
    let audited = support::program(&["audit", resumed.to_str().unwrap()]);
    assert_eq!(audited.status.code(), Some(0));

    // A list that was changed does not fit its signature, whichever part it is in.
    let list = folders[1].join("manifest-sha256.txt");
    let text = fs::read_to_string(&list).unwrap();
    fs::write(&list, text.replacen("  data/", "  data/./", 1)).unwrap();
    let audited = support::program(&["audit", resumed.to_str().unwrap()]);
    let said = String::from_utf8_lossy(&audited.stdout).into_owned();
    assert_eq!(audited.status.code(), Some(1), "{said}");
    assert!(said.contains("does not fit manifest-sha256.txt"), "{said}");
}

#[test]
fn zips_of_parts_that_were_taken_up_and_signed_are_those_of_one_run() {
    let scratch = tempfile::tempdir().unwrap();
    let words = ["--split-at", "3MB", "--zip", "--sign", KEY];
    let (once, _) = packed(&scratch.path().join("once"), &words);
    let whole = files(&once);
    let (as_folders, _) = packed(
        &scratch.path().join("folders"),
        &["--split-at", "3MB", "--sign", KEY],
    );

    let again = scratch.path().join("again");
    let contents = again.join(format!(".{NAME}.zip-contents.partial"));
    leave(&files(&as_folders), &contents);
    let gathered = again.join(format!(".{NAME}.partial"));
    fs::create_dir_all(&gathered).unwrap();
    for (path, bytes) in &whole {
        fs::write(gathered.join(path), &bytes[..bytes.len() / 2]).unwrap();
    }
    let (resumed, _) = packed(&again, &[&words[..], &["--resume"]].concat());
    assert!(files(&resumed) == whole, "taking up gives other zip files");
    let left: Vec<PathBuf> = fs::read_dir(&again)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(
        left.len(),
        3,
        "the folder, its receipt and the signature of that: {left:?}"
    );
    for zip in parts(&resumed, ".zip") {
        let report = support::run(&zip);
        assert_eq!(report.outcome, Outcome::Sound, "{}", report.verdict);
        let signed = report.concerns.iter().filter(|one| one.code == "signed");
        assert_eq!(signed.count(), 2, "{}", zip.display());
    }
}
