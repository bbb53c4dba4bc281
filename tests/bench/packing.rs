//! Making packages of plain files against what stock commands need for the same work: P2, P3, Z1, Z2. P0 is what P3 cannot be less than.

use super::Options;
use super::data::Sets;
use super::measured;
use super::row;
use super::warm;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

/// One measurement.
#[derive(Clone, Copy)]
struct Case<'a> {
    id: &'a str,
    files: &'a Path,
    /// The folder in which package and copy are made.
    work: &'a Path,
    form: &'a str,
    algorithms: &'a str,
    /// What the reference does, in the folder above `files`; its copy is `$OUT`.
    reference: &'a str,
    goal: f64,
    what: &'a str,
}

/// Copies, forces the copy to the disk, works out both checksums of the originals, drops the copy from memory and reads it again.
const COPY_AND_CHECK: &str = r#"cp -r files "$OUT" && sync -f "$OUT" &&
find files -type f -print0 | xargs -0 openssl dgst -sha256 &&
find files -type f -print0 | xargs -0 openssl dgst -sha512 &&
find "$OUT" -type f -exec dd if={} iflag=nocache count=0 status=none ';' &&
find "$OUT" -type f -print0 | xargs -0 openssl dgst -sha256"#;

/// Runs those that are wanted. Returns the most memory that any of ours took.
pub(super) fn all(options: &Options, sets: &Sets, work: &Path) -> u64 {
    let (eight, fifth) = (sets.eight.files(), sets.fifth.files());
    let in_memory = sets.fifth_in_memory.as_ref().map(super::data::Set::files);
    let memory = in_memory.as_deref().unwrap_or(&fifth);
    let small = Case {
        id: "P3",
        files: memory,
        work: memory.parent().unwrap(),
        form: "folder",
        algorithms: "sha256",
        reference: r#"cp -r files "$OUT""#,
        goal: 0.80,
        what: "package of small files in memory, SHA-256, against a bare copy",
    };
    let cases = [
        Case {
            id: "P2",
            files: &eight,
            work,
            form: "folder",
            algorithms: "sha256,sha512",
            reference: COPY_AND_CHECK,
            goal: 0.45,
            what: "package of large files, both, forced to the disk and read back",
        },
        Case {
            id: "P0",
            form: "bare",
            what: "copying and reading back alone, of the files of P3, without checksums, against a bare copy",
            ..small
        },
        small,
        Case {
            id: "Z1",
            files: &eight,
            work,
            form: "zip",
            algorithms: "sha256",
            reference: r#"zip -q -0 -r "$OUT" files"#,
            goal: 0.50,
            what: "zip of large files, SHA-256, against a bare zip",
        },
        Case {
            id: "Z2",
            files: &fifth,
            work,
            form: "zip",
            algorithms: "sha256",
            reference: r#"tar cf "$OUT" files"#,
            goal: 1.60,
            what: "zip of small files, SHA-256, against a bare tar",
        },
    ];
    let wanted = cases.iter().filter(|case| options.wants(case.id));
    wanted.map(|case| one(options, case)).max().unwrap_or(0)
}

fn one(options: &Options, case: &Case<'_>) -> u64 {
    warm(case.files);
    let mut most_memory = 0;
    let mut ours = Duration::MAX;
    let mut other = Some(Duration::MAX);
    for _ in 0..options.rounds {
        let scratch = tempfile::tempdir_in(case.work).unwrap();
        let target = scratch.path().join("package");
        let threads = options.threads.to_string();
        let (files, out) = (case.files.to_str().unwrap(), target.to_str().unwrap());
        let (wall, told) = measured(&["pack", files, out, &threads, case.form, case.algorithms]);
        ours = ours.min(wall);
        most_memory = most_memory.max(told.memory_kb);
        drop(scratch);
        settle();
        other = other.and_then(|least| Some(least.min(reference(case)?)));
        settle();
    }
    row(case.id, ours, other, case.goal, case.what);
    most_memory
}

fn reference(case: &Case<'_>) -> Option<Duration> {
    let scratch = tempfile::tempdir_in(case.work).unwrap();
    let begun = Instant::now();
    let status = Command::new("sh")
        .args(["-c", case.reference])
        .env("OUT", scratch.path().join("copy.zip"))
        .current_dir(case.files.parent().unwrap())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .ok()?;
    let wall = begun.elapsed();
    let is_there = fs::read_dir(scratch.path()).unwrap().next().is_some();
    (status.success() && is_there).then_some(wall)
}

/// Lets the disk come to rest, so that what one side left to be written does not slow the other.
fn settle() {
    let _ = Command::new("sync").status();
}
