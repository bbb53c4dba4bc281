//! The process that is measured: does one thing and tells what it took.

use super::bare;
use kithbag::audit::AuditOptions;
use kithbag::audit::audit;
use kithbag::fixity::Algorithm;
use kithbag::inscribe::InscribeOptions;
use kithbag::inscribe::inscribe_all;
use kithbag::pack::PackOptions;
use kithbag::pack::plain;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Audience;
use kithbag::record::Collection;
use kithbag::record::Portrait;
use kithbag::record::PortraitNumber;
use kithbag::record::RECORD_VERSION;
use kithbag::record::Scan;
use kithbag::store::staging::Staging;
use std::path::Path;

/// What a process took.
pub(crate) struct Told {
    /// The most memory that was resident, in kilobytes.
    pub(crate) memory_kb: u64,
    /// Processor time of all threads, in milliseconds.
    pub(crate) processor_ms: u64,
}

impl Told {
    pub(crate) fn read(line: &str) -> Self {
        let numbers: Vec<u64> = line
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        match numbers.as_slice() {
            [memory_kb, processor_ms] => Self {
                memory_kb: *memory_kb,
                processor_ms: *processor_ms,
            },
            _ => panic!("the measured process said: {line}"),
        }
    }
}

/// Does what the arguments say, makes sure that it was done, and prints what it took.
pub(crate) fn run(arguments: &[String]) {
    match arguments {
        [act, path, threads, times] if act == "audit" => {
            let options = AuditOptions {
                threads: threads.parse().unwrap(),
                ..AuditOptions::default()
            };
            for _ in 0..times.parse::<u32>().unwrap() {
                let report = audit(Path::new(path), &options, &Silent).unwrap();
                assert!(report.is_sound(), "{}", report.verdict);
                assert!(report.seen.files_read > 0);
            }
        }
        [act, root, target, threads, form, _] if act == "pack" && form == "bare" => {
            let (root, target) = (Path::new(root), Path::new(target));
            bare::copy_and_read_back(root, target, threads.parse().unwrap());
        }
        [act, root, target, threads, form, algorithms] if act == "pack" => {
            let named = |name: &str| Algorithm::named(name).unwrap();
            let options = PackOptions {
                audience: Audience::Keeping,
                zip: form == "zip",
                algorithms: algorithms.split(',').map(named).collect(),
                as_of: jiff::civil::Date::constant(2026, 11, 25),
                threads: threads.parse().unwrap(),
                tool: "kithbag".to_owned(),
                resume: false,
                signer: None,
                supersedes: None,
                split_at: None,
            };
            plain(Path::new(root), Path::new(target), &options, &Silent).unwrap();
        }
        [act, folder, target, threads] if act == "inscribe" => {
            inscribe(
                Path::new(folder),
                Path::new(target),
                threads.parse().unwrap(),
            );
        }
        other => panic!("not known: {other:?}"),
    }
    println!("{} {}", memory_kb(), processor_ms());
}

/// Describes every file of a folder, each as a portrait of its own.
fn inscribe(folder: &Path, target: &Path, threads: usize) {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let mut collection = Collection {
        record_version: RECORD_VERSION,
        ..Collection::default()
    };
    for (index, file) in names.into_iter().enumerate() {
        let number = PortraitNumber::new(format!("A-{index:04}"));
        collection.portraits.push(Portrait {
            number: number.clone(),
            shows: Answer::Given("woman with a brooch".to_owned()),
            ..Portrait::default()
        });
        collection.scans.push(Scan {
            file,
            portrait: Answer::Given(number),
            ..Scan::default()
        });
    }
    let options = InscribeOptions {
        prefix: String::new(),
        algorithms: vec![Algorithm::Sha256],
        threads,
        drop_private: false,
        tool: "kithbag".to_owned(),
    };
    let staging = Staging::beside(target).unwrap();
    let set = inscribe_all(&collection, folder, &options, &staging, &Silent).unwrap();
    assert!(
        set.files.iter().all(|file| !file.sidecar),
        "{:?}",
        set.concerns
    );
    staging.commit().unwrap();
}

fn memory_kb() -> u64 {
    let text = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    text.lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| rest.split_whitespace().next()?.parse().ok())
        .unwrap_or_default()
}

/// User and system time stand in ticks of ten milliseconds behind the name in brackets. [proc(5)]
fn processor_ms() -> u64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let behind = text.rsplit_once(')').map_or("", |(_, rest)| rest);
    let fields: Vec<u64> = behind
        .split_whitespace()
        .skip(11)
        .take(2)
        .filter_map(|field| field.parse().ok())
        .collect();
    fields.iter().sum::<u64>() * 10
}
