//! Measures how fast packages are audited and made and described copies written, side by side with stock commands on the same files in the same minutes.
//!
//! ```text
//! cargo bench --bench ratios -- [--scale 0.1] [--rounds 5] [--threads 2] [--work FOLDER] [--only V1,V4]
//! ```
//!
//! At scale 1 the data sets are: A, 20 files of 150 MB; A8, eight such; C, 100,000 files of 8 KB; C20, 20,000 such; one TIFF of 600 MB;
//! 200 JPEG files of 1 MB. A smaller scale makes the files of A and the TIFF shorter and the others fewer. Everything is read once before it is measured, so that the disk does not count. Each figure is the least
//! of all rounds, ours and the reference taking turns; only ratios mean anything on another machine.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    clippy::print_stdout,
    clippy::panic,
    reason = "a measuring program may fail loudly"
)]

mod bare;
mod child;
mod data;
mod embedding;
mod packing;

use data::Sets;
use kithbag::fixity::Algorithm;
use mimalloc::MiMalloc;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;
use std::time::Instant;

/// As in the program.
#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

/// What is asked for on the command line.
struct Options {
    scale: f64,
    rounds: u32,
    threads: usize,
    work: Option<PathBuf>,
    only: Option<Vec<String>>,
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if arguments.first().is_some_and(|one| one == "--child") {
        return child::run(&arguments[1..]);
    }
    let options = options(&arguments);
    let scratch;
    let work: &Path = if let Some(work) = &options.work {
        std::fs::create_dir_all(work).unwrap();
        work
    } else {
        scratch = tempfile::tempdir().unwrap();
        scratch.path()
    };
    println!("{}", processor());
    println!(
        "scale {}, best of {} rounds, {} threads\n",
        options.scale, options.rounds, options.threads
    );
    println!(
        "{:<4} {:>9} {:>9} {:>7} {:>7}  what",
        "id", "ours s", "other s", "ratio", "goal"
    );
    embedding::rows(&options, work);
    // The other sets take gigabytes; they are made only for rows that need them.
    let embedding_alone = |only: &Vec<String>| only.iter().all(|id| id.starts_with('I'));
    if options.only.as_ref().is_some_and(embedding_alone) {
        return;
    }
    // In memory where the system has such a place: making many small files on a disk cannot be measured to any purpose.
    let memory = tempfile::tempdir_in("/dev/shm").ok();
    let sets = Sets::make(
        work,
        memory.as_ref().map(tempfile::TempDir::path),
        options.scale,
    );
    let mut most_memory = verify(&options, &sets);
    most_memory = most_memory.max(packing::all(&options, &sets, work));
    if most_memory > 0 {
        let megabytes = most_memory as f64 / 1024.0;
        println!("M1   {megabytes:>9.1} MB resident at most in all of ours above (goal 32)");
    }
    growth(&options, &sets);
}

fn options(arguments: &[String]) -> Options {
    let mut options = Options {
        scale: 0.1,
        rounds: 5,
        threads: 2,
        work: None,
        only: None,
    };
    let mut arguments = arguments.iter().filter(|one| *one != "--bench");
    while let Some(name) = arguments.next() {
        let value = arguments
            .next()
            .unwrap_or_else(|| panic!("{name} needs a value"));
        match name.as_str() {
            "--scale" => options.scale = value.parse().unwrap(),
            "--rounds" => options.rounds = value.parse().unwrap(),
            "--threads" => options.threads = value.parse().unwrap(),
            "--work" => options.work = Some(value.into()),
            "--only" => options.only = Some(value.split(',').map(str::to_owned).collect()),
            other => panic!("{other} is not known"),
        }
    }
    options
}

impl Options {
    fn wants(&self, id: &str) -> bool {
        self.only
            .as_ref()
            .is_none_or(|only| only.iter().any(|one| one == id))
    }
}

/// Auditing against checksum commands: V1 to V4. Returns the most memory that any of them took.
fn verify(options: &Options, sets: &Sets) -> u64 {
    const BOTH: &[Algorithm] = &[Algorithm::Sha256, Algorithm::Sha512];
    let rows = [
        (
            "V1",
            &sets.large,
            &BOTH[..1],
            1.00,
            "audit of large files, SHA-256",
        ),
        (
            "V2",
            &sets.large,
            &BOTH[1..],
            1.25,
            "audit of large files, SHA-512",
        ),
        ("V3", &sets.large, BOTH, 1.15, "audit of large files, both"),
        (
            "V4",
            &sets.small,
            &BOTH[..1],
            0.70,
            "audit of small files, SHA-256",
        ),
    ];
    let mut most_memory = 0;
    for (id, set, algorithms, goal, what) in rows {
        if !options.wants(id) {
            continue;
        }
        let bag = set.bag(algorithms);
        warm(&bag);
        let batch = if id == "V4" { "" } else { "-n10" };
        let mut ours = Duration::MAX;
        let mut other = Some(Duration::MAX);
        for _ in 0..options.rounds {
            let (wall, told) = audit(&bag, options.threads, 1);
            ours = ours.min(wall);
            most_memory = most_memory.max(told.memory_kb);
            other = other.and_then(|least| Some(least.min(reference(&bag, algorithms, batch)?)));
        }
        row(id, ours, other, goal, what);
    }
    most_memory
}

/// Ten times the files should take ten times the work: N1. The smaller set is read ten times over, because processor time is
/// counted in steps of ten milliseconds.
fn growth(options: &Options, sets: &Sets) {
    const TIMES: u64 = 10;
    if !options.wants("N1") {
        return;
    }
    let least = |bag: &Path, times: u64| {
        warm(bag);
        let spent = (0..options.rounds).map(|_| audit(bag, options.threads, times).1.processor_ms);
        spent.min().unwrap_or_default() as f64 / 1000.0 / times as f64
    };
    let all = least(&sets.small.bag(&[Algorithm::Sha256]), 1);
    let tenth = least(&sets.tenth.bag(&[Algorithm::Sha256]), TIMES);
    let ratio = all / tenth;
    println!(
        "N1   {all:>9.3} {tenth:>9.3} {ratio:>7.2} {:>7.2}  processor time of ten times as many small files",
        11.0
    );
}

fn row(id: &str, ours: Duration, other: Option<Duration>, goal: f64, what: &str) {
    let ours = ours.as_secs_f64();
    match other {
        Some(other) => {
            let other = other.as_secs_f64();
            let ratio = ours / other;
            let met = if ratio <= goal { "" } else { "  NOT MET" };
            println!("{id:<4} {ours:>9.3} {other:>9.3} {ratio:>7.2} {goal:>7.2}  {what}{met}");
        }
        None => {
            println!("{id:<4} {ours:>9.3} not measured: the reference command is not here  {what}");
        }
    }
}

/// Audits a bag in a process of its own, so many times over.
fn audit(bag: &Path, threads: usize, times: u64) -> (Duration, child::Told) {
    let (threads, times) = (threads.to_string(), times.to_string());
    measured(&["audit", bag.to_str().unwrap(), &threads, &times])
}

/// Does something in a process of its own.
fn measured(arguments: &[&str]) -> (Duration, child::Told) {
    let begun = Instant::now();
    let output = Command::new(std::env::current_exe().unwrap())
        .arg("--child")
        .args(arguments)
        .output()
        .unwrap();
    let wall = begun.elapsed();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    (
        wall,
        child::Told::read(&String::from_utf8_lossy(&output.stdout)),
    )
}

/// Two processes of the checksum command at once for each algorithm, one algorithm after the other.
fn reference(bag: &Path, algorithms: &[Algorithm], batch: &str) -> Option<Duration> {
    let begun = Instant::now();
    for algorithm in algorithms {
        let parallel = if batch.is_empty() { "" } else { "-P2" };
        let line = format!(
            "find data -type f -print0 | xargs -0 {parallel} {batch} openssl dgst -{algorithm}"
        );
        let status = Command::new("sh")
            .args(["-c", &line])
            .current_dir(bag)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .ok()?;
        if !status.success() {
            return None;
        }
    }
    Some(begun.elapsed())
}

/// Reads everything once, so that all that follows comes from memory.
fn warm(bag: &Path) {
    let line = "find . -type f -print0 | xargs -0 cat > /dev/null";
    let status = Command::new("sh")
        .args(["-c", line])
        .current_dir(bag)
        .status();
    assert!(status.unwrap().success());
}

fn processor() -> String {
    let text = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model = text
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split_once(':'))
        .map_or("unknown processor", |(_, name)| name.trim());
    let count = std::thread::available_parallelism().map_or(0, usize::from);
    format!("{model}, {count} processors")
}
