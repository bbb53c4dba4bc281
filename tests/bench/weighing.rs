//! Measures how long a catalogue takes to weigh, side by side with calamine reading the same workbook, and how the time grows.
//!
//! ```text
//! cargo bench --bench weighing -- [--portraits 2500,5000,10000] [--rounds 5] [--keep FILE.xlsx]
//! ```
//!
//! The workbook is invented: three clues, one claim and one scan for each portrait. Each figure is the least of all rounds, the three
//! ways taking turns; only ratios mean anything on another machine. Reading comes from memory, so that the disk does not count. What
//! counts is the time until the whole result is in hand; the program ends without letting go of it piece by piece. The last column counts
//! that too, for calamine as for ours. Memory is managed as in the program, for all three.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_precision_loss,
    clippy::print_stdout,
    clippy::panic,
    reason = "a measuring program may fail loudly"
)]

use calamine::Data;
use calamine::Range;
use calamine::Reader;
use calamine::Xlsx;
use kithbag::catalogue;
use kithbag::record::Answer;
use kithbag::record::Certainty;
use kithbag::record::Claim;
use kithbag::record::Clue;
use kithbag::record::ClueKind;
use kithbag::record::Collection;
use kithbag::record::DateEntry;
use kithbag::record::Day;
use kithbag::record::Listing;
use kithbag::record::Person;
use kithbag::record::Portrait;
use kithbag::record::PortraitKind;
use kithbag::record::Scan;
use kithbag::record::Sitter;
use kithbag::record::View;
use kithbag::record::YesNo;
use kithbag::weigh;
use kithbag::weigh::WeighOptions;
use mimalloc::MiMalloc;
use rust_xlsxwriter::Workbook;
use std::io::Cursor;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;
use std::time::Instant;

#[global_allocator]
static MEMORY: MiMalloc = MiMalloc;

/// What one run may take against reading the workbook alone.
const GOAL: f64 = 1.5;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| {
        let at = arguments.iter().position(|one| one == name)?;
        arguments.get(at + 1).cloned()
    };
    let sizes = value("--portraits").unwrap_or_else(|| "2500,5000,10000".to_owned());
    let rounds: u32 = value("--rounds").map_or(5, |rounds| rounds.parse().unwrap());
    println!(
        "{} processors",
        std::thread::available_parallelism().map_or(1, usize::from)
    );
    println!(
        "{:>9} {:>9} {:>10} {:>10} {:>9} {:>7} {:>7} {:>14} {:>12}",
        "portraits",
        "clues",
        "calamine s",
        "reading s",
        "all s",
        "ratio",
        "goal",
        "µs a portrait",
        "with letting go"
    );
    for size in sizes.split(',') {
        let count: usize = size.trim().parse().unwrap();
        let root = tempfile::tempdir().unwrap();
        std::fs::write(
            root.path().join("catalogue.xlsx"),
            workbook(&collection(count)),
        )
        .unwrap();
        if let Some(keep) = value("--keep").map(PathBuf::from) {
            std::fs::copy(root.path().join("catalogue.xlsx"), keep).unwrap();
        }
        measure(root.path(), count, rounds);
    }
}

fn measure(root: &Path, count: usize, rounds: u32) {
    let (mut alone, mut reading, mut all) = (Took::MAX, Took::MAX, Took::MAX);
    for _ in 0..rounds {
        alone.time(|| with_calamine(root));
        reading.time(|| {
            let read = catalogue::read(root).unwrap();
            assert_eq!(read.collection.clues.len(), count * 3);
            read
        });
        all.time(|| {
            let read = catalogue::read(root).unwrap();
            assert!(!read.concerns.has_stop());
            let options = WeighOptions {
                threads: std::thread::available_parallelism().map_or(1, usize::from),
                ..WeighOptions::as_of(Day::from_iso("2026-11-26").unwrap())
            };
            let weighing = weigh::weigh_owned(read.collection, &options);
            assert!(
                weighing
                    .portraits
                    .iter()
                    .all(|one| one.dates.print.is_some())
            );
            weighing
        });
    }
    let seconds = |took: Duration| took.as_secs_f64();
    let ratio = seconds(all.in_hand) / seconds(alone.in_hand);
    let met = if ratio <= GOAL { "" } else { "  NOT MET" };
    println!(
        "{count:>9} {:>9} {:>10.3} {:>10.3} {:>9.3} {ratio:>7.2} {GOAL:>7.2} {:>14.1} {:>12.2}{met}",
        count * 3,
        seconds(alone.in_hand),
        seconds(reading.in_hand),
        seconds(all.in_hand),
        seconds(all.in_hand) * 1e6 / count as f64,
        seconds(all.let_go) / seconds(alone.let_go),
    );
}

/// The least times that some work took until its result was in hand, and until that was let go.
#[derive(Clone, Copy)]
struct Took {
    in_hand: Duration,
    let_go: Duration,
}

impl Took {
    const MAX: Self = Self {
        in_hand: Duration::MAX,
        let_go: Duration::MAX,
    };

    fn time<T>(&mut self, work: impl FnOnce() -> T) {
        let begun = Instant::now();
        let done = work();
        self.in_hand = self.in_hand.min(begun.elapsed());
        drop(done);
        self.let_go = self.let_go.min(begun.elapsed());
    }
}

/// Every sheet as calamine's own ranges, nothing else.
fn with_calamine(root: &Path) -> Vec<Range<Data>> {
    let bytes = std::fs::read(root.join("catalogue.xlsx")).unwrap();
    let mut book = Xlsx::new(Cursor::new(bytes)).unwrap();
    let names = book.sheet_names();
    let sheets = names.iter().map(|name| book.worksheet_range(name).unwrap());
    sheets.collect()
}

fn given(text: impl Into<String>) -> Answer<String> {
    Answer::Given(text.into())
}

fn date(text: &str) -> Answer<DateEntry> {
    Answer::Given(DateEntry::read(text).unwrap())
}

fn collection(count: usize) -> Collection {
    const MAKERS: usize = 40;
    const PEOPLE: usize = 500;
    Collection {
        portraits: (0..count)
            .map(|number| portrait(number, number % MAKERS))
            .collect(),
        scans: (0..count)
            .map(|number| Scan {
                file: format!("box {}/A-{number:05} front.jpg", number / 100),
                portrait: Answer::Given(format!("A-{number:05}").as_str().into()),
                view: Answer::Given(View::Front),
                ..Scan::default()
            })
            .collect(),
        people: (0..PEOPLE)
            .map(|number| Person {
                number: format!("P-{number:03}").as_str().into(),
                name: given(format!("Person {number} Example")),
                born: date(&format!("{}", 1800 + number % 80)),
                died: date(&format!("c. {}", 1860 + number % 80)),
                ..Person::default()
            })
            .collect(),
        claims: (0..count)
            .map(|number| Claim {
                portrait: format!("A-{number:05}").as_str().into(),
                sitter: Sitter::Person(format!("P-{:03}", number % PEOPLE).as_str().into()),
                certainty: Answer::Given(Certainty::Possible),
                reasons_for: vec!["a name on the back".to_owned()],
                clues_for: vec![format!("C-{:06}", number * 3).as_str().into()],
                said_by: given("the keeper"),
                said_on: date("2026-03-14"),
                ..Claim::default()
            })
            .collect(),
        clues: (0..count * 3).map(clue).collect(),
        listings: (0..MAKERS)
            .flat_map(|maker| (0..6).map(move |edition| listing(maker, edition)))
            .collect(),
        ..Collection::default()
    }
}

fn portrait(number: usize, maker: usize) -> Portrait {
    let mut one = Portrait {
        number: format!("A-{number:05}").as_str().into(),
        kind: Answer::Given(PortraitKind::CabinetCard),
        shows: given("a sitter beside a chair"),
        lot: Answer::Given(format!("L-{:02}", number % 20).as_str().into()),
        condition: given("corners worn"),
        ..Portrait::default()
    };
    one.maker.as_printed = given(format!("Maker {maker}"));
    one.maker.address_as_printed = given(format!("{maker} Market Place"));
    one.maker.number = given(format!("no. {number}"));
    one
}

fn clue(number: usize) -> Clue {
    const SAYS: [(ClueKind, &str, &str); 3] = [
        (ClueKind::Words, "a name in pencil on the back", ""),
        (
            ClueKind::Object,
            "gold bevel on a plain card",
            "between 1884 and 1893",
        ),
        (ClueKind::Dress, "high collar, narrow sleeves", "c. 1888"),
    ];
    let (kind, says, gives) = SAYS[number % 3];
    Clue {
        number: format!("C-{number:06}").as_str().into(),
        portraits: vec![format!("A-{:05}", number / 3).as_str().into()],
        kind: Answer::Given(kind),
        says: given(says),
        source: given(format!("the object itself, seen in box {}", number / 300)),
        date: if gives.is_empty() {
            Answer::Blank
        } else {
            date(gives)
        },
        ..Clue::default()
    }
}

fn listing(maker: usize, edition: usize) -> Listing {
    let year = 1878 + 4 * edition;
    let listed = (1..5).contains(&edition);
    Listing {
        maker: given(format!("Maker {maker}")),
        address: given(format!("{maker} Market Place")),
        year: given(year.to_string()),
        listed: Answer::Given(if listed { YesNo::Yes } else { YesNo::No }),
        source: given(format!("directory of {year}")),
        ..Listing::default()
    }
}

/// The sheets of the catalogue as a plain workbook, cells of text as a person's spreadsheet program would save them.
fn workbook(collection: &Collection) -> Vec<u8> {
    let mut workbook = Workbook::new();
    for table in catalogue::tables(collection) {
        let sheet = workbook.add_worksheet();
        sheet.set_name(&table.name).unwrap();
        for (column, heading) in (0..).zip(&table.headings) {
            sheet.write_string(0, column, heading).unwrap();
        }
        for row in &table.rows {
            for (column, cell) in (0..).zip(&row.cells) {
                if !cell.text.is_empty() {
                    sheet
                        .write_string(row.number - 1, column, &cell.text)
                        .unwrap();
                }
            }
        }
    }
    workbook.save_to_buffer().unwrap()
}
