//! Packages that are signed: the signature travels, and a list of files that somebody changed and made to look right is noticed.
//! That stock `ssh-keygen` agrees is shown by the outside checks.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod support;

use sha2::Digest as _;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Output;

const DAY: &str = "2026-11-25";
const KEY: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/src/format/ssh_signature/plain-key"
);
const LOCKED: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/src/format/ssh_signature/locked-key"
);

fn kithbag(words: &[&str]) -> Output {
    support::program(&[words, &["--as-of", DAY]].concat())
}

fn said(output: &Output) -> String {
    let mut text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.push_str(&String::from_utf8_lossy(&output.stderr));
    text
}

fn pack(into: &Path, key: &str, more: &[&str]) -> Output {
    let sample = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/trevanick-pair");
    let mut words = vec!["pack", sample, "--for", "family", "--sign", key, "--into"];
    words.push(into.to_str().unwrap());
    words.extend(more);
    kithbag(&words)
}

fn audit(package: &Path) -> Output {
    kithbag(&["audit", package.to_str().unwrap()])
}

fn signed_package(into: &Path) -> PathBuf {
    let output = pack(into, KEY, &[]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    into.join(format!("trevanick-pair-family-{DAY}"))
}

/// Changes a picture and makes every manifest agree with it again, as somebody who wants to deceive would.
fn forge(package: &Path, algorithm: &str, digest: fn(&[u8]) -> String) {
    let victim = "data/rights.txt";
    let manifest = format!("manifest-{algorithm}.txt");
    let rewrite = |list: &str, name: &str| {
        let at = package.join(list);
        let text = fs::read_to_string(&at).unwrap();
        let fresh = digest(&fs::read(package.join(name)).unwrap());
        let line = |line: &str| match line.split_once("  ") {
            Some((_, path)) if path == name => format!("{fresh}  {path}\n"),
            _ => format!("{line}\n"),
        };
        fs::write(&at, text.lines().map(line).collect::<String>()).unwrap();
    };
    rewrite(&manifest, victim);
    for name in ["manifest-sha256.txt", "manifest-sha512.txt"] {
        rewrite(&format!("tagmanifest-{algorithm}.txt"), name);
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn a_signed_package_is_sound_and_says_by_which_key() {
    let shop = tempfile::tempdir().unwrap();
    let package = signed_package(shop.path());
    for name in [
        "manifest-sha256.txt.sig",
        "manifest-sha512.txt.sig",
        "SIGNED.txt",
    ] {
        assert!(package.join(name).is_file(), "{name}");
    }
    let receipt = format!("trevanick-pair-family-{DAY}-receipt.txt.sig");
    assert!(shop.path().join(receipt).is_file());
    let output = audit(&package);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(
        said(&output).contains("signed with the key SHA256:"),
        "{}",
        said(&output)
    );
}

#[test]
fn lists_that_were_made_to_look_right_are_noticed() {
    let shop = tempfile::tempdir().unwrap();
    let package = signed_package(shop.path());
    let rights = package.join("data/rights.txt");
    let text = fs::read_to_string(&rights).unwrap();
    let swapped = text.replacen('e', "a", 1);
    assert_ne!(text, swapped);
    fs::write(&rights, swapped).unwrap();
    forge(&package, "sha256", |bytes| {
        hex(&sha2::Sha256::digest(bytes))
    });
    forge(&package, "sha512", |bytes| {
        hex(&sha2::Sha512::digest(bytes))
    });
    // The tag manifest of the first algorithm lists the manifest of the second, which changed after it.
    forge(&package, "sha256", |bytes| {
        hex(&sha2::Sha256::digest(bytes))
    });
    let output = audit(&package);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    let told = said(&output);
    assert!(
        told.contains("The signature does not fit manifest-sha256.txt"),
        "{told}"
    );
    assert!(
        told.contains("The signature does not fit manifest-sha512.txt"),
        "{told}"
    );
}

#[test]
fn the_same_key_signs_the_same() {
    let shop = tempfile::tempdir().unwrap();
    let first = signed_package(&shop.path().join("first"));
    let second = signed_package(&shop.path().join("second"));
    for name in [
        "manifest-sha256.txt.sig",
        "SIGNED.txt",
        "tagmanifest-sha256.txt",
    ] {
        assert_eq!(
            fs::read(first.join(name)).unwrap(),
            fs::read(second.join(name)).unwrap()
        );
    }
}

#[test]
fn a_key_that_cannot_sign_stops_before_any_work() {
    let shop = tempfile::tempdir().unwrap();
    for (key, why) in [
        (LOCKED, "locked by a pass phrase"),
        (file!(), "not a secret SSH key"),
    ] {
        let output = pack(shop.path(), key, &["--zip"]);
        assert_eq!(output.status.code(), Some(3), "{}", said(&output));
        assert!(said(&output).contains(why), "{}", said(&output));
    }
    assert_eq!(fs::read_dir(shop.path()).unwrap().count(), 0);
}
