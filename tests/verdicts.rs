//! The verdict on a bag as scripts get it: the program's exit code, 0 for a valid bag and 1 for an invalid one, warnings on the
//! second channel; from a folder and from a zip. And bags with one defect each for the rules that the published set leaves out.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail loudly")]

mod support;

use kithbag::fixity::Algorithm;
use std::fs;
use std::path::Path;
use std::process::Command;
use support::Bag;
use support::codes;
use support::shared;
use support::verdicts;

struct Answer {
    code: Option<i32>,
    said: String,
    complained: String,
}

fn audit(path: &Path) -> Answer {
    let output = Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .args(["audit", "--quiet"])
        .arg(path)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    Answer {
        code: output.status.code(),
        said: String::from_utf8_lossy(&output.stdout).into_owned(),
        complained: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Audits a folder and a zip of it; both must come to the same code. Returns the folder's answer.
fn audit_both(root: &Path) -> Answer {
    let scratch = tempfile::tempdir().unwrap();
    let zip = scratch.path().join("bag.zip");
    support::zip_folder(root, &zip);
    let from_folder = audit(root);
    let from_zip = audit(&zip);
    let name = root.display();
    assert_eq!(from_folder.code, from_zip.code, "{name}\n{}", from_zip.said);
    let has_warned = |answer: &Answer| !answer.complained.is_empty();
    assert_eq!(has_warned(&from_folder), has_warned(&from_zip), "{name}");
    from_folder
}

fn written(bag: &Bag) -> (tempfile::TempDir, std::path::PathBuf) {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    bag.write(&root);
    (scratch, root)
}

fn plain() -> Bag {
    Bag::sound().algorithms(&[Algorithm::Sha256])
}

/// The published set: RFC 8493's own conformance bags, named by what they must come to.
#[test]
fn every_conformance_bag_gets_the_exit_code_of_its_folder() {
    let Some(root) = shared("data/bagit-conformance") else {
        return;
    };
    let mut seen = 0;
    for version in ["v0.97", "v1.0"] {
        for (folder, expected) in [("valid", 0), ("invalid", 1)] {
            for entry in fs::read_dir(root.join(version).join(folder)).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    let answer = audit_both(&path);
                    let told = format!("{}\n{}", path.display(), answer.said);
                    assert_eq!(answer.code, Some(expected), "{told}");
                    seen += 1;
                }
            }
        }
    }
    assert_eq!(seen, 28, "bags in the set");
}

/// The kinds of bag that the published set calls `warning`, built anew: valid, with a word on the second channel.
#[test]
fn a_warning_leaves_the_exit_code_alone() {
    let twice = plain().manifest(Algorithm::Sha256).repeat(2);
    let with_stars = plain().manifest(Algorithm::Sha256).replace("  ", " *");
    let twins = plain()
        .without("bag-info.txt")
        .with("data/A.txt", "other\n");
    let bags = [
        plain().version("0.97").with("manifest-sha256.txt", twice),
        plain().with("manifest-sha256.txt", with_stars),
        twins,
    ];
    for bag in bags {
        let (_scratch, root) = written(&bag);
        let answer = audit_both(&root);
        assert_eq!(answer.code, Some(0), "{}", answer.said);
        assert!(answer.complained.contains("warning"), "{}", answer.said);
    }
    let (_scratch, root) = written(&Bag::sound());
    let answer = audit_both(&root);
    assert_eq!((answer.code, &*answer.complained), (Some(0), ""));
}

/// The two bags of the set's `warning` folder that are called invalid here, since a listed file is not there. [RFC8493 3]
#[test]
fn what_is_listed_and_not_there_is_no_mere_warning() {
    let listed = |path: &str| {
        let bag = plain().without("bag-info.txt").with(path, "hello\n");
        let text = bag.manifest(Algorithm::Sha256);
        bag.without(path).with("manifest-sha256.txt", text)
    };
    for path in ["data/A.TXT", "data/.DS_Store"] {
        let (_scratch, root) = written(&listed(path));
        let answer = audit_both(&root);
        assert_eq!(answer.code, Some(1), "{}", answer.said);
        assert!(answer.said.contains("missing"), "{}", answer.said);
    }
}

/// One defect each, every one of them the only reason for the answer 1.
#[test]
fn bags_with_one_defect_are_answered_by_1() {
    let text = plain().manifest(Algorithm::Sha256);
    let digest = text.get(..64).unwrap().to_owned();
    let listing = |path: &str| format!("{text}{digest}  {path}\n");
    let with_list = |path: &str| plain().with("manifest-sha256.txt", listing(path));
    let mut cases: Vec<(Bag, &str)> = vec![
        (
            plain().with("bagit.txt", "BagIt-Version: 1.0\n"),
            "bag-declaration-malformed",
        ),
        (
            plain().with("bag-info.txt", "Payload-Oxum: 6.2\npayload-oxum: 6.2\n"),
            "bag-oxum-twice",
        ),
        (with_list("data/b/"), "bag-manifest-line"),
    ];
    // Places of every system that lie outside the bag. [RFC8493 5.1]
    for path in [
        "/tmp/foo",
        "~/foo",
        "~root/foo",
        "../foo",
        "data/../../foo",
        "C:\\Windows\\foo",
        "c:/foo",
        "\\\\?\\C:\\foo",
        "\\\\server\\share\\foo",
        "%HomeDrive%\\foo",
    ] {
        let path = path.replace('%', "%25");
        cases.push((with_list(&path), "bag-path-unsafe"));
        let fetch = format!("https://x.example/a - {path}\n");
        cases.push((plain().with("fetch.txt", fetch), "bag-path-unsafe"));
    }
    for (bag, code) in cases {
        let report = bag.audit();
        assert_eq!(codes(&report), [code], "{}", report.verdict);
        assert_eq!((report.complete, report.valid), (Some(false), Some(false)));
        let (_scratch, root) = written(&bag);
        assert_eq!(audit(&root).code, Some(1), "{code}");
    }
}

/// There has to be a folder for the payload, be it empty. [RFC8493 2.1.2]
#[test]
fn the_folder_of_the_payload() {
    let empty = plain()
        .without("data/a.txt")
        .without("data/b/c.txt")
        .without("bag-info.txt");
    let (_scratch, root) = written(&empty);
    assert_eq!(audit(&root).code, Some(0), "an empty payload is a payload");
    fs::remove_dir(root.join("data")).unwrap();
    let report = support::run(&root);
    assert_eq!(codes(&report), ["bag-payload-missing"]);
    assert_eq!(report.valid, Some(false));
    assert_eq!(audit(&root).code, Some(1));
}

/// Per cent forms are read in any case of their letters, and only those three are read. [RFC8493 2.1.3]
#[test]
fn encoded_line_ends_in_names() {
    let bag = plain().without("bag-info.txt").with("data/100%.txt", "x");
    let text = bag.manifest(Algorithm::Sha256);
    assert!(text.contains("100%25.txt"));
    let (_scratch, root) = written(&bag);
    assert_eq!(audit(&root).code, Some(0));
    if cfg!(unix) {
        for (name, forms) in [
            ("a\nb", ["a%0Ab", "a%0ab"]),
            ("a\rb", ["a%0Db", "a%0db"]),
            ("a\r\nb", ["a%0D%0Ab", "a%0d%0ab"]),
        ] {
            for form in forms {
                let bag = plain().without("bag-info.txt");
                let digest = kithbag::fixity::Digest::of(Algorithm::Sha256, b"x");
                let text = format!("{}{digest}  data/{form}\n", bag.manifest(Algorithm::Sha256));
                let (_scratch, root) = written(&bag.with("manifest-sha256.txt", text));
                fs::write(root.join("data").join(name), "x").unwrap();
                let answer = audit(&root);
                assert_eq!(answer.code, Some(0), "{form}: {}", answer.said);
            }
        }
    }
    // %41 is no letter A: only the three are decoded.
    let text = format!(
        "{}{}  data/%41.txt\n",
        plain().manifest(Algorithm::Sha256),
        kithbag::fixity::Digest::of(Algorithm::Sha256, b"x")
    );
    let bag = plain().without("bag-info.txt").with("data/A.txt", "x");
    let report = bag.with("manifest-sha256.txt", text).audit();
    assert_eq!(report.valid, Some(false));
}

/// Names that Windows keeps for itself are told and let pass; they are advice. [RFC8493 6.1.2]
#[test]
fn names_that_some_disks_refuse() {
    if cfg!(windows) {
        return;
    }
    for name in ["CON", "aux.txt", "lpt1", "what?.txt", "dot."] {
        let bag = plain().without("bag-info.txt");
        let digest = kithbag::fixity::Digest::of(Algorithm::Sha256, b"x");
        let text = format!("{}{digest}  data/{name}\n", bag.manifest(Algorithm::Sha256));
        let (_scratch, root) = written(&bag.with("manifest-sha256.txt", text));
        fs::write(root.join("data").join(name), "x").unwrap();
        let report = support::run(&root);
        assert_eq!(report.valid, Some(true), "{name}");
        assert!(report.concerns.has("bag-name-awkward"), "{name}");
    }
}

/// A link to another file of the bag is read and told; it cannot be packed as such. [RFC8493 5.1]
#[cfg(unix)]
#[test]
fn a_link_within_the_bag() {
    let (_scratch, root) = written(&plain());
    fs::remove_file(root.join("data/a.txt")).unwrap();
    fs::write(root.join("hello.txt"), "hello\n").unwrap();
    std::os::unix::fs::symlink("../hello.txt", root.join("data/a.txt")).unwrap();
    let report = support::run(&root);
    assert_eq!(codes(&report), ["bag-tag-file-not-listed", "link-inside"]);
    assert_eq!(report.valid, Some(true), "{}", report.verdict);
    assert_eq!(audit(&root).code, Some(0));
}

/// Both tag manifests should list the same; where one lists less, the other still vouches. [RFC8493 2.2.1]
#[test]
fn tag_manifests_that_differ() {
    let sound = Bag::sound();
    let complete = sound.complete();
    let (_, text) = complete
        .iter()
        .find(|(path, _)| path == "tagmanifest-sha512.txt")
        .unwrap();
    let shorter: String = String::from_utf8(text.clone())
        .unwrap()
        .lines()
        .filter(|line| !line.ends_with("bag-info.txt"))
        .map(|line| format!("{line}\n"))
        .collect();
    let report = sound.with("tagmanifest-sha512.txt", shorter).audit();
    assert_eq!(report.valid, Some(true), "{:?}", codes(&report));
    assert_eq!(verdicts(&report), []);
}

/// UTF-16 is the one encoding whose files may begin with a mark, both ways round. [RFC8493 2.3]
#[test]
fn tag_files_of_two_bytes_a_letter() {
    let wide = |text: &str, little: bool| -> Vec<u8> {
        let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
        let bytes = |unit: u16| {
            if little {
                unit.to_le_bytes()
            } else {
                unit.to_be_bytes()
            }
        };
        units.flat_map(bytes).collect()
    };
    for little in [true, false] {
        let bag = plain()
            .with(
                "bagit.txt",
                "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-16\n",
            )
            .with(
                "bag-info.txt",
                wide("Contact-Name: Zo\u{eb}\nPayload-Oxum: 6.2\n", little),
            )
            .with(
                "manifest-sha256.txt",
                wide(&plain().manifest(Algorithm::Sha256), little),
            );
        let mut bag = bag;
        bag.with_tag_manifests = false;
        let report = bag.audit();
        assert_eq!(report.valid, Some(true), "{:?}", codes(&report));
        let info = report.bag.unwrap().info;
        assert_eq!(info.first().unwrap().1, "Zo\u{eb}");
    }
}

/// Hundreds of packages in one run: the bad ones are told, none stops the run, and the ledger has a line for each that was read.
#[test]
fn a_shelf_of_hundreds_is_checked_to_its_end() {
    const COUNT: usize = 300;
    let shelf = tempfile::tempdir().unwrap();
    for number in 0..COUNT {
        let root = shelf.path().join(format!("{number:03}"));
        plain().write(&root);
        match number {
            3 => fs::remove_file(root.join("data/a.txt")).unwrap(),
            150 => fs::write(root.join("data/a.txt"), "hellO\n").unwrap(),
            299 => fs::remove_file(root.join("bagit.txt")).unwrap(),
            _ => {}
        }
    }
    fs::write(shelf.path().join("broken.zip"), "no zip").unwrap();
    let ledger = shelf.path().join("ledger.jsonl");
    let run = |day: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_kithbag"))
            .args(["audit", "--as-of", day, "--ledger"])
            .args([&ledger, shelf.path()])
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(1));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let said = run("2026-11-25");
    assert!(said.contains("297 of 301 are sound."), "{said}");
    let lines = fs::read_to_string(&ledger).unwrap();
    assert!(lines.lines().count() >= COUNT);
    let first: serde_json::Value = serde_json::from_str(lines.lines().next().unwrap()).unwrap();
    assert_eq!(first["next_check"], "2027-11-25");
    // A year later one more has changed, and the ledger tells since when.
    fs::write(shelf.path().join("007/data/a.txt"), "gone\n").unwrap();
    let said = run("2027-11-25");
    assert!(said.contains("296 of 301 are sound."), "{said}");
    assert!(said.contains("2026-11-25"), "{said}");
    let again = fs::read_to_string(&ledger).unwrap();
    assert_eq!(again.lines().count(), 2 * lines.lines().count());
    assert!(again.starts_with(&lines), "the ledger is only added to");
}
