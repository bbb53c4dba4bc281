//! Every parser is given sound files with damage of many kinds, the same each time, and everything that was ever found to be wrong.
//!
//! This is the steady part of what the coverage-guided targets under `tests/fuzz` do; what must hold stands in `properties.rs` there.
//! `KITHBAG_HOSTILE_ROUNDS` says how many damaged inputs each parser gets.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    reason = "a test may fail loudly"
)]

#[path = "fuzz/properties.rs"]
mod properties;

use properties::Property;
use std::fs;
use std::panic;
use std::path::Path;
use std::path::PathBuf;

/// Larger files are no better seeds, and slow.
const LARGEST_SEED: u64 = 200 * 1024;

/// Most seeds of one parser.
const MOST_SEEDS: usize = 40;

/// Numbers that look harmless and are not: lengths and offsets at the edges of their types.
const EDGES: [u32; 8] = [
    0,
    1,
    0x7F,
    0xFF,
    0xFFFF,
    0x7FFF_FFFF,
    0x8000_0000,
    0xFFFF_FFFF,
];

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Numbers that are the same on every machine and in every run. [Marsaglia, "Xorshift RNGs", 2003]
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }
}

/// Damages bytes in one to four places.
fn damage(bytes: &mut Vec<u8>, other: &[u8], dice: &mut Dice) {
    for _ in 0..=dice.roll(4) {
        let at = dice.roll(bytes.len());
        match dice.roll(8) {
            _ if bytes.is_empty() => bytes.extend_from_slice(other),
            0 => bytes[at] ^= 1 << dice.roll(8),
            1 => bytes[at] = dice.roll(256) as u8,
            2 => bytes.truncate(at),
            3 | 4 => {
                let edge = EDGES[dice.roll(EDGES.len())];
                let edge = if dice.roll(2) == 0 {
                    edge.to_be_bytes()
                } else {
                    edge.to_le_bytes()
                };
                for (place, byte) in bytes[at..].iter_mut().zip(edge) {
                    *place = byte;
                }
            }
            5 => {
                let end = (at + dice.roll(64)).min(bytes.len());
                bytes.drain(at..end);
            }
            6 => {
                let end = (at + dice.roll(64)).min(bytes.len());
                let twice = bytes[at..end].to_vec();
                bytes.splice(at..at, twice);
            }
            _ => {
                let from = dice.roll(other.len());
                let end = (from + dice.roll(64)).min(other.len());
                bytes.splice(at..at, other[from..end].iter().copied());
            }
        }
    }
}

fn seeds(endings: &[&str]) -> Vec<Vec<u8>> {
    let mut places = vec![here("samples"), here("tests/fuzz/seeds")];
    places.extend(std::env::var_os("KITHBAG_SHARED").map(|shared| Path::new(&shared).join("data")));
    let mut seeds = Vec::new();
    for place in places {
        for entry in walkdir::WalkDir::new(place).sort_by_file_name() {
            let entry = entry.unwrap();
            let name = entry.file_name().to_string_lossy().to_ascii_lowercase();
            let small = entry.metadata().unwrap().len() <= LARGEST_SEED;
            if entry.file_type().is_file()
                && small
                && endings.iter().any(|ending| name.ends_with(ending))
            {
                seeds.push(fs::read(entry.path()).unwrap());
            }
        }
    }
    // An even choice, so that the rare kinds at the end are among them.
    let step = seeds.len().div_ceil(MOST_SEEDS).max(1);
    seeds.into_iter().step_by(step).collect()
}

fn found(name: &str) -> Vec<Vec<u8>> {
    let folder = here("tests/fuzz/found").join(name);
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .map(|entry| fs::read(entry.unwrap().path()).unwrap())
        .collect()
}

fn rounds() -> usize {
    std::env::var("KITHBAG_HOSTILE_ROUNDS").map_or(400, |text| text.parse().unwrap())
}

fn attack((name, holds, endings): Property) {
    let seeds = seeds(endings);
    assert!(!seeds.is_empty(), "no seeds for {name}");
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut tried = 0_usize;
    let mut give = |bytes: &[u8]| {
        tried += 1;
        if panic::catch_unwind(|| holds(bytes)).is_err() {
            let kept = here("target").join(format!("hostile-{name}"));
            fs::write(&kept, bytes).unwrap();
            panic!("{name} does not hold for the bytes in {}", kept.display());
        }
    };
    seeds.iter().chain(&found(name)).for_each(|seed| give(seed));
    for round in 0..rounds() {
        let mut bytes = seeds[round % seeds.len()].clone();
        let other = &seeds[dice.roll(seeds.len())];
        damage(&mut bytes, other, &mut dice);
        give(&bytes);
    }
    println!("{name}: {} seeds, {tried} inputs", seeds.len());
}

fn attack_all(names: &[&str]) {
    for property in properties::ALL.iter().filter(|one| names.contains(&one.0)) {
        attack(*property);
    }
}

#[test]
fn pictures() {
    attack_all(&["picture", "private", "capture", "caption"]);
}

#[test]
fn sound_pictures_come_through() {
    let seeds = seeds(&["jpg", "png", "tif", "webp"]);
    let described = seeds
        .iter()
        .filter(|seed| properties::describe(seed, false));
    let described = described.count();
    assert!(
        described * 2 > seeds.len(),
        "{described} of {}",
        seeds.len()
    );
}

#[test]
fn packets_and_signatures() {
    attack_all(&["packet", "signature"]);
}

#[test]
fn bags() {
    attack_all(&["declaration", "manifest", "bag-info", "fetch", "zip"]);
}

#[test]
fn sheets_dates_and_family_trees() {
    attack_all(&["date", "csv", "workbook", "family-tree"]);
}

#[test]
fn every_parser_is_attacked() {
    let text = fs::read_to_string(here("tests/hostile.rs")).unwrap();
    for (name, _, _) in properties::ALL {
        assert!(text.contains(&format!("\"{name}\"")), "{name}");
    }
}
