//! The program on a disk that fills up, killed at any moment, with files that only their owner may read, and on many threads.

use super::drawn;
use super::drawn::Tiff;
use super::record;
use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::inscribe::InscribeOptions;
use kithbag::inscribe::inscribe_all;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::PortraitNumber;
use kithbag::record::Scan;
use kithbag::store::staging::Staging;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;
use std::time::Duration;

const PROGRAM: &str = env!("CARGO_BIN_EXE_kithbag");

/// A collection of files with its catalogue.
fn collection(root: &Path, files: &[(String, Vec<u8>)]) -> PathBuf {
    let folder = root.join("collection");
    fs::create_dir_all(folder.join("catalogue")).unwrap();
    let (mut portraits, mut scans) = (
        "\"Portrait no. *\"\n".to_owned(),
        "\"File name now *\",\"Portrait no. *\",\"View *\"\n".to_owned(),
    );
    for (index, (name, bytes)) in files.iter().enumerate() {
        fs::write(folder.join(name), bytes).unwrap();
        portraits.push_str(&format!("A-{index:03}\n"));
        scans.push_str(&format!("{name},A-{index:03},front\n"));
    }
    fs::write(folder.join("catalogue/portraits.csv"), portraits).unwrap();
    fs::write(folder.join("catalogue/scans.csv"), scans).unwrap();
    folder
}

fn digests(folder: &Path) -> Vec<(String, Digest)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(one) = folders.pop() {
        for entry in fs::read_dir(one).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().display().to_string();
                found.push((
                    name,
                    Digest::of(Algorithm::Sha256, &fs::read(&path).unwrap()),
                ));
            }
        }
    }
    found.sort();
    found
}

/// Runs the program through a shell that limits how long a file may become, in blocks of 512 bytes. With `trap`, the signal that
/// comes with it is ignored, so that writing fails as on a full disk; without, the process is ended in the midst of it.
fn limited(blocks: u64, trap: &str, folder: &Path, into: &Path) -> Output {
    Command::new("sh")
        .args([
            "-c",
            &format!("{trap} ulimit -f {blocks}; exec \"$@\"; "),
            "sh",
            PROGRAM,
            "inscribe",
        ])
        .arg(folder)
        .arg("--into")
        .arg(into)
        .args(["--quiet", "--as-of", "2026-11-25"])
        .output()
        .unwrap()
}

#[test]
fn a_full_disk_leaves_no_half_file() {
    let root = tempfile::tempdir().unwrap();
    // 60 kB each, so that 36 limits of 2 KiB fall into every part of a copy: header, picture, packet.
    let large = Tiff {
        bits: 16,
        pages: 24,
        ..Tiff::default()
    }
    .bytes();
    let files = [
        ("a.tif".to_owned(), large),
        (
            "b.jpg".to_owned(),
            [drawn::jpeg(300, 200, 1), vec![b'x'; 30_000]].concat(),
        ),
    ];
    let folder = collection(root.path(), &files);
    let before = digests(&folder);
    let longest = files.iter().map(|(_, bytes)| bytes.len()).max().unwrap() as u64;
    let (mut failed, mut ended, mut done) = (0, 0, 0);
    for cut in 0..36 {
        let blocks = cut * (longest + 20_000) / 512 / 35;
        for trap in ["trap '' XFSZ;", ""] {
            let into = root.path().join("copies");
            let output = limited(blocks, trap, &folder, &into);
            assert_eq!(
                digests(&folder),
                before,
                "{blocks} blocks: an original changed"
            );
            match output.status.code() {
                Some(0) => {
                    assert_eq!(digests(&into).len(), files.len());
                    fs::remove_dir_all(&into).unwrap();
                    done += 1;
                }
                Some(3) => {
                    let told = String::from_utf8_lossy(&output.stderr).into_owned();
                    assert!(told.contains("write"), "{blocks} blocks: {told}");
                    // All is cleared away: nothing but the collection is there.
                    assert_eq!(
                        fs::read_dir(root.path()).unwrap().count(),
                        1,
                        "{blocks} blocks"
                    );
                    failed += 1;
                }
                None => {
                    assert!(
                        !into.exists(),
                        "{blocks} blocks: half a result under its final name"
                    );
                    fs::remove_dir_all(root.path().join(".copies.partial")).unwrap();
                    ended += 1;
                }
                other => panic!(
                    "{blocks} blocks: {other:?} {}",
                    String::from_utf8_lossy(&output.stderr)
                ),
            }
        }
    }
    println!(
        "36 cut points: {failed} failed and cleared up, {ended} were ended by the signal, {done} fitted"
    );
    assert!(failed > 25 && ended > 25 && done > 1);
}

#[test]
fn a_process_killed_at_any_moment_leaves_no_half_file() {
    let root = tempfile::tempdir().unwrap();
    let files: Vec<(String, Vec<u8>)> = (0..12)
        .map(|number| (format!("{number}.jpg"), drawn::jpeg(400, 300, number)))
        .collect();
    let folder = collection(root.path(), &files);
    let before = digests(&folder);
    let into = root.path().join("copies");
    let run = || {
        Command::new(PROGRAM)
            .arg("inscribe")
            .arg(&folder)
            .arg("--into")
            .arg(&into)
            .args(["--quiet", "--as-of", "2026-11-25"])
            .stderr(std::process::Stdio::piped())
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap()
    };
    let begun = std::time::Instant::now();
    assert!(run().wait().unwrap().success());
    let (whole, took) = (digests(&into), begun.elapsed());
    fs::remove_dir_all(&into).unwrap();
    let (mut nothing, mut partial, mut complete) = (0, 0, 0);
    for round in 0..30_u32 {
        let mut child = run();
        std::thread::sleep(took * (round * 37 % 30) / 30 + Duration::from_millis(1));
        let _ = child.kill();
        child.wait().unwrap();
        assert_eq!(
            digests(&folder),
            before,
            "round {round}: an original changed"
        );
        let left = root.path().join(".copies.partial");
        if into.exists() {
            assert_eq!(
                digests(&into),
                whole,
                "round {round}: half a result under its final name"
            );
            fs::remove_dir_all(&into).unwrap();
            complete += 1;
        } else if left.exists() {
            // The next run refuses and names what was left.
            let output = run().wait_with_output().unwrap();
            let told = String::from_utf8_lossy(&output.stderr).into_owned();
            assert!(
                !output.status.success() && told.contains(".copies.partial"),
                "{told}"
            );
            fs::remove_dir_all(left).unwrap();
            partial += 1;
        } else {
            nothing += 1;
        }
    }
    println!(
        "killed 30 times: {nothing} before anything was written, {partial} in the midst, {complete} after the end"
    );
    assert!(partial > 0);
}

#[cfg(unix)]
#[test]
fn a_file_for_its_owner_alone_gives_such_a_copy_and_such_an_original_back() {
    use std::os::unix::fs::PermissionsExt;
    let root = tempfile::tempdir().unwrap();
    let folder = collection(root.path(), &drawn::files());
    for (name, _) in drawn::files() {
        fs::set_permissions(folder.join(name), fs::Permissions::from_mode(0o600)).unwrap();
    }
    let run = |words: &[&Path]| {
        let output = Command::new(PROGRAM)
            .arg("inscribe")
            .args(words)
            .arg("--quiet")
            .output()
            .unwrap();
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    };
    let (copies, back) = (root.path().join("copies"), root.path().join("back"));
    run(&[&folder, Path::new("--into"), &copies]);
    let mut words: Vec<PathBuf> = digests(&copies)
        .iter()
        .map(|(name, _)| copies.join(name))
        .collect();
    let count = words.len();
    words.extend(["--undo".into(), "--into".into(), back.clone()]);
    run(&words.iter().map(PathBuf::as_path).collect::<Vec<_>>());
    let written: Vec<PathBuf> = [copies, back]
        .iter()
        .flat_map(|folder| {
            digests(folder)
                .into_iter()
                .map(|(name, _)| folder.join(name))
        })
        .collect();
    assert_eq!(written.len(), count * 2);
    for path in written {
        let mode = fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode, 0o600, "{}", path.display());
    }
}

#[test]
fn eight_threads_write_what_one_writes() {
    let root = tempfile::tempdir().unwrap();
    let folder = root.path().join("scans");
    fs::create_dir(&folder).unwrap();
    let mut collection = Collection {
        scans: Vec::new(),
        portraits: Vec::new(),
        ..record("notes")
    };
    for round in 0..8 {
        for (name, bytes) in drawn::files() {
            let number = PortraitNumber::new(format!("A-{:03}", collection.scans.len()));
            let file = format!("{round}-{name}");
            fs::write(folder.join(&file), bytes).unwrap();
            collection.portraits.push(kithbag::record::Portrait {
                number: number.clone(),
                ..record("notes").portraits.remove(0)
            });
            collection.scans.push(Scan {
                file,
                portrait: Answer::Given(number),
                ..Scan::default()
            });
        }
    }
    let write = |threads| {
        let options = InscribeOptions {
            prefix: String::new(),
            algorithms: vec![Algorithm::Sha256],
            threads,
            drop_private: false,
            tool: "kithbag test".to_owned(),
        };
        let staging = Staging::beside(&root.path().join(format!("by-{threads}"))).unwrap();
        let set = inscribe_all(&collection, &folder, &options, &staging, &Silent).unwrap();
        assert!(
            set.files.iter().all(|file| !file.sidecar),
            "{:?}",
            set.concerns
        );
        (set, digests(&staging.commit().unwrap()))
    };
    let (one, eight) = (write(1), write(8));
    println!("{} copies on one and on eight threads", one.1.len());
    assert_eq!(one, eight);
}
