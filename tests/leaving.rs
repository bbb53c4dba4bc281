//! Whatever stands in a collection, nothing that is not meant for an audience is in any byte of its package: small collections with
//! words of their own in every field, packed by the program for each audience.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

mod bytes;

use bytes::members;
use kithbag::catalogue;
use kithbag::catalogue::columns::Column;
use kithbag::catalogue::columns::Holds;
use kithbag::catalogue::columns::SHEETS;
use kithbag::catalogue::columns::SheetPlan;
use kithbag::record::Audience;
use kithbag::record::audience;
use proptest::prelude::*;
use serde_json::Value;
use std::collections::HashMap;
use std::fs;
use std::io::Cursor;
use std::path::Path;
use std::process::Command;

const DAY: &str = "2026-11-25";

/// Columns in which words of nobody's language would be a mistake of another kind.
const NOT_FREE: [&str; 7] = [
    "File name now",
    "Height",
    "Width",
    "Where the face is",
    "Altered from",
    "Applies to",
    "Directory year",
];

/// Columns with the name of somebody who did the work: those are asked for, and may or may not leave.
const CREDITS: [&str; 6] = [
    "made_by",
    "altered_by",
    "said_by",
    "seen_by",
    "worked_out_by",
    "successor",
];

/// The cells of one row that are fixed: heading and text.
type FixedCells = &'static [(&'static str, &'static str)];

/// What is fixed in each row of each sheet: who and what is held back.
const ROWS: [(&str, &[FixedCells]); 11] = [
    ("Collection", &[&[]]),
    (
        "Portraits",
        &[
            &[("Portrait no.", "A-1"), ("Lot no.", "L-1")],
            &[
                ("Portrait no.", "A-2"),
                ("Lot no.", "L-2"),
                ("Show this portrait to", "nobody"),
            ],
        ],
    ),
    (
        "Scans",
        &[
            &[
                ("File name now", "one/front.jpg"),
                ("Portrait no.", "A-1"),
                ("View", "front"),
                ("Kind of copy", "untouched"),
            ],
            &[
                ("File name now", "one/back.png"),
                ("Portrait no.", "A-1"),
                ("View", "back"),
                ("Kind of copy", "untouched"),
            ],
            &[
                ("File name now", "one/altered.jpg"),
                ("Portrait no.", "A-1"),
                ("View", "altered copy"),
                ("Kind of copy", "altered"),
            ],
            &[
                ("File name now", "two/front.jpg"),
                ("Portrait no.", "A-2"),
                ("View", "front"),
                ("Kind of copy", "untouched"),
            ],
        ],
    ),
    (
        "Words found",
        &[&[("Portrait no.", "A-1")], &[("Portrait no.", "A-2")]],
    ),
    (
        "People",
        &[
            &[("Person no.", "P-1"), ("Born", "1861"), ("Died", "1930")],
            &[("Person no.", "P-2"), ("Born", "1990"), ("Living?", "yes")],
            &[
                ("Person no.", "P-3"),
                ("Born", "1850"),
                ("Died", "1900"),
                ("Show to", "nobody"),
            ],
        ],
    ),
    (
        "Who is it",
        &[
            &[
                ("Portrait no.", "A-1"),
                ("Person no. or unknown man", "P-1"),
                ("How sure", "possible"),
            ],
            &[
                ("Portrait no.", "A-1"),
                ("Person no. or unknown man", "P-2"),
                ("How sure", "suggested"),
            ],
            &[
                ("Portrait no.", "A-2"),
                ("Person no. or unknown man", "P-3"),
                ("How sure", "suggested"),
            ],
        ],
    ),
    (
        "Clues",
        &[
            &[
                ("Clue no.", "K-1"),
                ("About portrait", "A-1"),
                ("About person", "P-1"),
            ],
            &[
                ("Clue no.", "K-2"),
                ("About portrait", "A-2"),
                ("About person", "P-3"),
            ],
        ],
    ),
    (
        "How it came",
        &[
            &[("Lot no.", "L-1")],
            &[("Lot no.", "L-2"), ("Private?", "yes")],
        ],
    ),
    ("Makers' addresses", &[&[]]),
    (
        "Rights",
        &[&[("Applies to", "A-1")], &[("Applies to", "A-2")]],
    ),
    (
        "Receivers",
        &[&[
            ("Receiver no.", "R-1"),
            ("Kind", "family"),
            ("Adult?", "yes"),
        ]],
    ),
];

/// Words that stand nowhere else, the same for the same seed.
struct Words {
    seed: u64,
}

impl Words {
    fn number(&mut self) -> u64 {
        // SplitMix64, by its published constants.
        self.seed = self.seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.seed;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A word of ten letters with a capital.
    fn word(&mut self) -> String {
        let mut number = self.number();
        let mut word = String::from("Q");
        for _ in 0..9 {
            word.push(char::from(b'a' + u8::try_from(number % 26).unwrap()));
            number /= 26;
        }
        word
    }
}

fn cell(column: &Column, fixed: &[(&str, &str)], words: &mut Words, fullness: u64) -> String {
    if let Some((_, value)) = fixed.iter().find(|(heading, _)| *heading == column.heading) {
        return (*value).to_owned();
    }
    let is_free = matches!(column.holds, Holds::Text | Holds::Texts)
        && !column.filled_by_tool
        && !NOT_FREE.contains(&column.heading);
    let (word, other) = (words.word(), words.word());
    match (is_free && words.number() % 10 < fullness, column.holds) {
        (false, _) => String::new(),
        (true, Holds::Texts) => format!("{word} ; {other}"),
        (true, _) => format!("{word} {other}"),
    }
}

fn write_sheet(folder: &Path, sheet: &SheetPlan, words: &mut Words, fullness: u64) {
    let (_, rows) = ROWS
        .iter()
        .find(|(name, _)| plain(name) == plain(sheet.name))
        .unwrap();
    let mut text: String = sheet
        .columns
        .iter()
        .map(|column| format!("\"{}\",", column.heading))
        .collect();
    text.push_str("\"My own column\"\r\n");
    for fixed in *rows {
        for column in sheet.columns {
            text.push_str(&format!("\"{}\",", cell(column, fixed, words, fullness)));
        }
        text.push_str(&format!("\"{}\"\r\n", words.word()));
    }
    fs::write(folder.join(sheet.file_name), text).unwrap();
}

fn plain(name: &str) -> String {
    name.replace('’', "'")
}

fn write_collection(root: &Path, seed: u64, fullness: u64) {
    let mut words = Words { seed };
    fs::create_dir_all(root.join("catalogue")).unwrap();
    for sheet in SHEETS {
        write_sheet(&root.join("catalogue"), sheet, &mut words, fullness);
    }
    for (index, file) in [
        "one/front.jpg",
        "one/back.png",
        "one/altered.jpg",
        "two/front.jpg",
    ]
    .iter()
    .enumerate()
    {
        let dots = image::GrayImage::from_fn(24, 32, |x, y| {
            image::Luma([
                u8::try_from((x * 7 + y * 3) % 200 + u32::try_from(index).unwrap()).unwrap(),
            ])
        });
        let mut bytes = Cursor::new(Vec::new());
        let format = image::ImageFormat::from_path(file).unwrap();
        dots.write_to(&mut bytes, format).unwrap();
        let path = root.join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes.into_inner()).unwrap();
    }
}

/// A name that must not leave, put into words that may.
fn name_somebody(root: &Path) {
    let people = fs::read_to_string(root.join("catalogue/people.csv")).unwrap();
    let name = people
        .lines()
        .find(|line| line.starts_with("\"P-2\""))
        .unwrap()
        .split('"')
        .nth(3)
        .unwrap()
        .to_owned();
    if name.is_empty() {
        return;
    }
    let path = root.join("catalogue/clues.csv");
    let clues = fs::read_to_string(&path).unwrap();
    let says = SHEETS
        .iter()
        .find(|sheet| sheet.name == "Clues")
        .unwrap()
        .columns
        .iter()
        .position(|column| column.heading == "What it says")
        .unwrap();
    let changed: Vec<String> = clues
        .lines()
        .map(|line| {
            let mut cells: Vec<String> = line.split("\",\"").map(str::to_owned).collect();
            if line.starts_with("\"K-1\"") {
                cells[says] = format!("As {name} told");
            }
            cells.join("\",\"")
        })
        .collect();
    fs::write(path, changed.join("\r\n")).unwrap();
}

/// One word of the record: where it stands.
struct Told {
    word: String,
    part: String,
    field: String,
    row: Value,
}

fn collect(value: &Value, part: &str, field: &str, row: &Value, told: &mut Vec<Told>) {
    match value {
        Value::String(text) => {
            let words = text
                .split_whitespace()
                .filter(|word| word.len() == 10 && word.starts_with('Q'));
            told.extend(words.map(|word| Told {
                word: word.to_owned(),
                part: part.to_owned(),
                field: field.to_owned(),
                row: row.clone(),
            }));
        }
        Value::Array(values) => values
            .iter()
            .for_each(|one| collect(one, part, field, row, told)),
        Value::Object(fields) => {
            for (name, one) in fields {
                if name == "given" || part.ends_with("extra") || field == "extra" {
                    collect(one, part, field, row, told);
                } else if field.is_empty() {
                    collect(one, part, name, row, told);
                } else {
                    collect(one, &format!("{part}.{field}"), name, row, told);
                }
            }
        }
        _ => {}
    }
}

fn told(root: &Path) -> Vec<Told> {
    let record = catalogue::read(root).unwrap().collection;
    let Value::Object(parts) = serde_json::to_value(record).unwrap() else {
        panic!("no record");
    };
    let mut told = Vec::new();
    for (part, value) in &parts {
        let rows = value
            .as_array()
            .cloned()
            .unwrap_or_else(|| vec![value.clone()]);
        for row in &rows {
            collect(row, part, "", row, &mut told);
        }
    }
    told
}

/// Whether the row is held back as a whole, as [`ROWS`] planned it.
fn is_held(one: &Told, audience: Audience) -> bool {
    let row = one.row.to_string();
    let has = |text: &str| row.contains(&format!("\"{text}\""));
    match one.part.split('.').next().unwrap() {
        "people" => has("P-2") || has("P-3"),
        "lots" => has("L-2"),
        "scans" => has("A-2") || (audience == Audience::Public && has("one/altered.jpg")),
        "portraits" | "words" | "claims" | "clues" | "rights" => has("A-2"),
        _ => false,
    }
}

/// Every run of ten letters that could be one of the words, and a file in which it is. Without the zero bytes between its letters
/// UTF-16 is the same as the other encodings.
fn runs(package: &Path) -> HashMap<Vec<u8>, String> {
    let mut found = HashMap::new();
    for (file, bytes) in members(package) {
        let letters: Vec<u8> = bytes.into_iter().filter(|byte| *byte != 0).collect();
        for window in letters.windows(10) {
            if window[0] == b'q' && window.iter().all(u8::is_ascii_lowercase) {
                found.entry(window.to_vec()).or_insert_with(|| file.clone());
            }
        }
    }
    found
}

#[must_use]
fn pack(root: &Path, audience: Audience, into: &Path, more: &[&str]) -> (i32, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .args([
            "pack",
            root.to_str().unwrap(),
            "--for",
            audience.word(),
            "--into",
            into.to_str().unwrap(),
            "--as-of",
            DAY,
        ])
        .args(more)
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    (output.status.code().unwrap(), said)
}

/// Packs, answering no to everything that has to be decided.
fn packed(root: &Path, audience: Audience, into: &Path) -> std::path::PathBuf {
    let name = format!("box-{audience}-{DAY}");
    let (code, said) = pack(root, audience, into, &[]);
    if code == 1 {
        let list = into.join(format!("{name}-living.csv"));
        let text = fs::read_to_string(&list).unwrap_or_else(|_| panic!("{said}"));
        fs::write(&list, text.replace("\r\n\"\",", "\r\n\"no\",")).unwrap();
        let (code, said) = pack(
            root,
            audience,
            into,
            &["--yes-living", list.to_str().unwrap()],
        );
        assert_eq!(code, 0, "{said}");
    } else {
        assert_eq!(code, 0, "{said}");
    }
    into.join(name)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_above_an_audience_is_in_any_byte_of_its_package(seed: u64, fullness in 5..=10_u64) {
        let place = tempfile::tempdir().unwrap();
        let root = place.path().join("box");
        write_collection(&root, seed, fullness);
        name_somebody(&root);
        let told = told(&root);
        for audience in [Audience::Archive, Audience::Family, Audience::Public] {
            let package = packed(&root, audience, &place.path().join("out"));
            let all = runs(&package);
            let (mut open, mut found) = (0, 0);
            for one in &told {
                let gets = audience::rule_of(&one.part, &one.field)
                    .unwrap_or_else(|| panic!("no rule: {} {}", one.part, one.field))
                    .gets
                    .includes(audience);
                let is_there = all.get(one.word.to_lowercase().as_bytes());
                // The name that was put into words stands in two rows; where it may not, it must not.
                let held = !gets || is_held(one, audience) || told.iter().any(|other| other.word == one.word && other.part == "people" && is_held(other, audience));
                if held {
                    prop_assert!(is_there.is_none(), "{audience}: {} ({}, {}) is in {}", one.word, one.part, one.field, is_there.unwrap());
                } else if !CREDITS.contains(&one.field.as_str()) {
                    open += 1;
                    found += u32::from(is_there.is_some());
                }
            }
            prop_assert!(open > 30 && found * 4 >= open * 3, "{audience}: only {found} of {open} words that may leave are there");
        }
    }
}
