//! The program as a person runs it: survey, weigh, pack, audit on the sample, and what happens when something is wrong.
//!
//! The sample and everything in it is invented; what is expected of it stands in its EXPECTED.md.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod support;

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Output;

const DAY: &str = "2026-11-25";

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("samples")
        .join(name)
}

/// A folder of its own for each test, gone when it ends.
fn workshop() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

#[must_use]
fn kithbag(words: &[&str]) -> Output {
    support::program(&[words, &["--as-of", DAY]].concat())
}

fn succeed(words: &[&str]) -> String {
    let output = kithbag(words);
    let (said, complained) = (
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    );
    assert_eq!(
        output.status.code(),
        Some(0),
        "{words:?}\n{said}\n{complained}"
    );
    said.into_owned()
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn pack(collection: &Path, audience: &str, into: &Path) -> PathBuf {
    succeed(&[
        "pack",
        text(collection),
        "--for",
        audience,
        "--into",
        text(into),
    ]);
    let name = collection.file_name().unwrap().to_str().unwrap();
    into.join(format!("{name}-{audience}-{DAY}"))
}

/// Every file below a folder, with its bytes.
fn files(root: &Path) -> Vec<(String, Vec<u8>)> {
    let walk = walkdir::WalkDir::new(root).sort_by_file_name();
    let entries = walk
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file());
    entries
        .map(|entry| {
            (
                entry
                    .path()
                    .strip_prefix(root)
                    .unwrap()
                    .to_string_lossy()
                    .into_owned(),
                fs::read(entry.path()).unwrap(),
            )
        })
        .collect()
}

fn copy_folder(from: &Path, to: &Path) {
    for (name, bytes) in files(from) {
        let target = to.join(name);
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::write(target, bytes).unwrap();
    }
}

#[test]
fn the_same_input_gives_the_same_bytes_and_leaves_the_originals_alone() {
    let place = workshop();
    let before = files(&sample("trevanick-pair"));
    let first = pack(
        &sample("trevanick-pair"),
        "family",
        &place.path().join("first"),
    );
    let second = pack(
        &sample("trevanick-pair"),
        "family",
        &place.path().join("second"),
    );
    assert_eq!(files(&first), files(&second));
    assert_eq!(files(&sample("trevanick-pair")), before);
    succeed(&["audit", text(&first)]);
}

#[test]
fn folder_and_zip_hold_the_same_bytes() {
    let place = workshop();
    let folder = pack(
        &sample("trevanick-pair"),
        "public",
        &place.path().join("both"),
    );
    succeed(&[
        "pack",
        text(&sample("trevanick-pair")),
        "--for",
        "public",
        "--zip",
        "--into",
        text(&place.path().join("both")),
    ]);
    let zip_path = place
        .path()
        .join("both")
        .join(format!("trevanick-pair-public-{DAY}.zip"));
    let mut zip = zip::ZipArchive::new(fs::File::open(&zip_path).unwrap()).unwrap();
    let mut inside = Vec::new();
    for index in 0..zip.len() {
        let mut entry = zip.by_index(index).unwrap();
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut entry, &mut bytes).unwrap();
        inside.push((
            entry.name().unwrap().split_once('/').unwrap().1.to_owned(),
            bytes,
        ));
    }
    inside.sort();
    assert_eq!(inside, files(&folder));
    succeed(&["audit", text(&zip_path)]);
}

#[test]
fn an_existing_target_is_refused_and_left_alone() {
    let place = workshop();
    let package = pack(&sample("trevanick-pair"), "family", place.path());
    let before = files(&package);
    let again = kithbag(&[
        "pack",
        text(&sample("trevanick-pair")),
        "--for",
        "family",
        "--into",
        text(place.path()),
    ]);
    assert_eq!(again.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&again.stderr).contains("is there already"));
    assert_eq!(files(&package), before);
}

#[test]
fn one_flipped_picture_byte_is_called_by_its_name() {
    let place = workshop();
    let package = pack(&sample("trevanick-pair"), "family", place.path());
    let victim = files(&package)
        .into_iter()
        .map(|(name, _)| name)
        .find(|name| name.contains("portraits/A-002") && name.contains("front"))
        .unwrap();
    let mut bytes = fs::read(package.join(&victim)).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(package.join(&victim), bytes).unwrap();
    let output = kithbag(&["audit", text(&package)]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(
        said.contains("picture changed") && said.contains("A-002"),
        "{said}"
    );
}

#[test]
fn one_changed_title_is_told_apart_from_a_changed_picture() {
    let place = workshop();
    let package = pack(&sample("trevanick-pair"), "family", place.path());
    let victim = package.join("data/portraits/A-002/A-002-front.tif");
    let mut bytes = fs::read(&victim).unwrap();
    let title = b"unidentified woman";
    let at = bytes
        .windows(title.len())
        .position(|window| window == title)
        .unwrap();
    bytes[at..at + title.len()].copy_from_slice(b"unidentified queen");
    fs::write(&victim, bytes).unwrap();
    let output = kithbag(&["audit", text(&package)]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(
        said.contains("label changed, picture unchanged") && said.contains("A-002"),
        "{said}"
    );
}

#[test]
fn a_fresh_draft_can_be_packed_for_keeping() {
    let place = workshop();
    let collection = place.path().join("box");
    for (name, bytes) in files(&sample("trevanick-pair"))
        .into_iter()
        .filter(|(name, _)| !name.contains("catalogue") && !name.ends_with(".md"))
    {
        let target = collection.join(name);
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::write(target, bytes).unwrap();
    }
    succeed(&["survey", text(&collection)]);
    assert!(collection.join("catalogue.xlsx").exists());
    let package = pack(&collection, "keeping", &place.path().join("out"));
    succeed(&["audit", text(&package)]);
}

#[test]
fn what_cannot_be_done_is_said_with_a_remedy() {
    let place = workshop();
    let nowhere = place.path().join("nowhere");
    for (words, code) in [
        (vec!["weigh", text(&nowhere)], 3),
        (vec!["survey", text(&nowhere)], 3),
        (vec!["audit", text(&nowhere)], 3),
        (
            vec!["pack", text(&nowhere), "--for", "everybody", "--into", "x"],
            2,
        ),
        (vec!["frobnicate"], 2),
    ] {
        let output = kithbag(&words);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{words:?} {}",
            String::from_utf8_lossy(&output.stderr)
        );
        assert!(!output.stderr.is_empty());
    }
}

#[test]
fn described_copies_alone_rebuild_the_catalogue() {
    let place = workshop();
    let package = pack(
        &sample("trevanick-pair"),
        "keeping",
        &place.path().join("out"),
    );
    let copies = place.path().join("copies");
    copy_folder(&package.join("data/portraits"), &copies);
    succeed(&["survey", text(&copies), "--sheets", "csv"]);
    let rebuilt = pack(&copies, "keeping", &place.path().join("again"));
    // A scan carries the people whom a claim or clue names. P-06, a living descendant, is named by none and stays at home.
    let named = |text: String| {
        text.lines()
            .filter(|line| !line.starts_with("\"P-06\""))
            .collect::<Vec<&str>>()
            .join("\n")
    };
    for sheet in [
        "portraits",
        "words-found",
        "people",
        "who-is-it",
        "clues",
        "how-it-came",
        "rights",
    ] {
        let name = format!("data/catalogue/{sheet}.csv");
        let (before, after) = (
            fs::read_to_string(package.join(&name)).unwrap(),
            fs::read_to_string(rebuilt.join(&name)).unwrap(),
        );
        assert_eq!(named(after), named(before), "{sheet}");
    }
}

/// The limit on how long a file may become stands for a full disk: copies of scans stay below it, the zip does not.
#[cfg(target_os = "linux")]
#[test]
fn a_zip_that_finds_the_disk_full_is_what_could_not_be_written_and_no_scan_is() {
    let room = workshop();
    let scans = room.path().join("scans");
    fs::create_dir(&scans).unwrap();
    let picture = files(&sample("trevanick-pair"));
    let (_, picture) = picture
        .iter()
        .find(|(path, _)| path.ends_with(".jpg"))
        .unwrap();
    for number in 1..=3 {
        let long = [picture.as_slice(), &vec![number; 2_000_000]].concat();
        fs::write(scans.join(format!("B-{number} front.jpg")), long).unwrap();
    }
    succeed(&["survey", text(&scans)]);
    let before = files(&scans);
    let into = room.path().join("packages");
    // Blocks of 512 bytes; the signal that comes with the limit is ignored, so that writing fails as on a full disk.
    let limited = "trap '' XFSZ; ulimit -f 8000; exec \"$@\"";
    let output = std::process::Command::new("sh")
        .args(["-c", limited, "sh", env!("CARGO_BIN_EXE_kithbag"), "pack"])
        .args([text(&scans), "--for", "keeping", "--zip", "--as-of", DAY])
        .args(["--into", text(&into)])
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let complained = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(3), "{complained}");
    let zip = format!(".scans-keeping-{DAY}.zip.partial");
    let told = format!("Could not write {}", into.join(zip).display());
    assert!(complained.contains(&told), "{complained}");
    assert!(files(&scans) == before);
    assert_eq!(fs::read_dir(&into).unwrap().count(), 0);
}
