//! Keeps the layers: which part of the crate may use which, and who may touch the disk, the terminal, the clock.
//!
//! Reads the source as text. Limit: a path that a macro builds is not seen.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use std::fs;
use std::path::Path;

const WORDS: [&str; 8] = [
    "crew",
    "concern",
    "counting",
    "fixity",
    "portable_path",
    "progress",
    "record",
    "verdict",
];

/// Every part, and the parts it may use besides itself; `WORDS` are added for all but the words themselves.
const MAY_USE: &[(&str, &[&str])] = &[
    ("concern", &[]),
    ("counting", &[]),
    ("crew", &[]),
    ("fixity", &[]),
    ("portable_path", &[]),
    ("progress", &[]),
    ("record", &["concern", "fixity", "portable_path"]),
    ("verdict", &["concern", "fixity", "record"]),
    ("format", &[]),
    ("store", &["format"]),
    ("catalogue", &["store", "format"]),
    ("survey", &["catalogue", "store", "format"]),
    ("weigh", &["catalogue", "format"]),
    ("inscribe", &["weigh", "store", "format"]),
    (
        "pack",
        &["inscribe", "weigh", "catalogue", "store", "format"],
    ),
    ("audit", &["store", "format"]),
    ("mend", &["audit", "store", "format"]),
    (
        "cli",
        &[
            "survey",
            "catalogue",
            "weigh",
            "inscribe",
            "pack",
            "audit",
            "mend",
            "store",
            "format",
        ],
    ),
];

/// Words that only the named places may hold.
const KEPT_APART: &[(&str, &[&str])] = &[
    ("std::fs", &["store/"]),
    ("fs::File", &["store/"]),
    ("walkdir::", &["store/"]),
    ("tempfile::", &["store/"]),
    ("rustix::", &["store/"]),
    ("xmp_toolkit", &["format/xmp/toolkit.rs"]),
    ("XmpFile", &[]),
    ("exif::Reader", &["format/exif.rs"]),
    ("exif::parse_exif", &["format/exif.rs"]),
    ("println!", &["cli/"]),
    ("eprintln!", &["cli/"]),
    ("std::env", &["cli/", "main.rs"]),
    ("SystemTime::now", &["cli/"]),
    ("Timestamp::now", &["cli/"]),
    ("ZonedDateTime::now", &["cli/"]),
    ("Instant::now", &["cli/"]),
    ("unsafe ", &[]),
];

struct Source {
    name: String,
    part: String,
    lines: Vec<String>,
}

fn sources() -> Vec<Source> {
    let mut found = Vec::new();
    collect(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/src")),
        "",
        &mut found,
    );
    assert!(
        found.len() > 20,
        "the scan found too little: {}",
        found.len()
    );
    found
}

fn collect(folder: &Path, prefix: &str, found: &mut Vec<Source>) {
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.file_type().unwrap().is_dir() {
            collect(&entry.path(), &format!("{name}/"), found);
        } else if name.ends_with(".rs") {
            let text = fs::read_to_string(entry.path()).unwrap();
            let part = name.split(['/', '.']).next().unwrap().to_owned();
            found.push(Source {
                part,
                lines: code_of(&text),
                name,
            });
        }
    }
}

/// The lines before the tests at a file's foot, comments blanked.
fn code_of(text: &str) -> Vec<String> {
    let code = text
        .lines()
        .take_while(|line| !line.starts_with("#[cfg(test)]"));
    code.map(|line| {
        if line.trim_start().starts_with("//") {
            String::new()
        } else {
            line.to_owned()
        }
    })
    .collect()
}

fn is_test_file(source: &Source) -> bool {
    source.name.ends_with("tests.rs") || source.name.contains("/tests/")
}

#[test]
fn uses_go_down_only() {
    let mut faults = Vec::new();
    let beside_the_layers = ["lib.rs", "main.rs"];
    for source in sources().iter().filter(|source| !is_test_file(source)) {
        if beside_the_layers.contains(&source.name.as_str()) {
            continue;
        }
        let Some((_, allowed)) = MAY_USE.iter().find(|(part, _)| *part == source.part) else {
            faults.push(format!(
                "{}: `{}` is no part that is listed here",
                source.name, source.part
            ));
            continue;
        };
        for (index, line) in source.lines.iter().enumerate() {
            for used in parts_used(line) {
                let is_word =
                    WORDS.contains(&used.as_str()) && !WORDS.contains(&source.part.as_str());
                if used != source.part && !is_word && !allowed.contains(&used.as_str()) {
                    faults.push(format!(
                        "{}:{}: `{}` may not use `{used}`",
                        source.name,
                        index + 1,
                        source.part
                    ));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

fn parts_used(line: &str) -> Vec<String> {
    let is_name = |c: char| c.is_alphanumeric() || c == '_';
    let is_part = |c: &char| is_name(*c) || *c == '{';
    let pieces: Vec<&str> = line.split("crate::").collect();
    // In `ro_crate::write` the word is only the end of another name.
    let begins = |pair: &&[&str]| !pair[0].ends_with(is_name);
    pieces
        .windows(2)
        .filter(begins)
        .map(|pair| pair[1].chars().take_while(is_part).collect())
        .collect()
}

#[test]
fn disk_terminal_and_clock_are_kept_apart() {
    let mut faults = Vec::new();
    for source in sources().iter().filter(|source| !is_test_file(source)) {
        for (index, line) in source.lines.iter().enumerate() {
            for (word, places) in KEPT_APART {
                let here = places.iter().any(|place| source.name.starts_with(place));
                if line.contains(word) && !here {
                    faults.push(format!(
                        "{}:{}: `{word}` has no place here",
                        source.name,
                        index + 1
                    ));
                }
            }
            let grouped = line.trim_start().starts_with("use ") && line.contains('{');
            if grouped || line.contains("super::super") {
                faults.push(format!(
                    "{}:{}: one path per line, and no super::super",
                    source.name,
                    index + 1
                ));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn files_stay_readable() {
    let long = |source: &&Source| source.lines.len() > 450;
    let faults: Vec<String> = sources()
        .iter()
        .filter(long)
        .map(|source| format!("{} has {} lines", source.name, source.lines.len()))
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_checks_see_what_they_should() {
    assert_eq!(parts_used("use crate::store::open;"), ["store"]);
    assert!(parts_used("ro_crate::write(x)").is_empty());
    assert_eq!(parts_used("    crate::format::xmp::read(x)"), ["format"]);
    assert!(
        code_of("a\n// std::fs\n#[cfg(test)]\nmod tests {}")
            .iter()
            .all(|line| !line.contains("std::fs"))
    );
}
