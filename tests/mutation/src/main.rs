//! Mutation testing: changes the sources of bag validation, audience rules and date weighing one small change at a time, and asks
//! whether a test notices.
//!
//! ```text
//! cargo install cargo-mutants          lists the changes; nothing else of it is used
//! cargo run --release --manifest-path tests/mutation/Cargo.toml
//! ```
//!
//! One build for each of a thousand changes would take days. So all of them are written into one copy of the sources, each behind
//! a switch that a variable of the environment turns on; those that do not compile are left out; and the tests, built once, are run
//! once for each change: those of its own part first, then all of the library, then the others of behaviour. A run that takes ten times as long as usual
//! counts as noticed. What it came to is kept in `target/mutation/results.tsv`; a second run tries only what is not there yet, or with
//! `--again` what nothing noticed. `--list` only shows what could be switched. Set `KITHBAG_SHARED` as for the other tests.

mod compile;
mod judge;
mod list;
mod switch;

use judge::Judge;
use judge::Outcome;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

type Failure = Box<dyn std::error::Error>;

/// What is changed.
const FILES: &[&str] = &[
    "src/audit/bag.rs",
    "src/audit/findings.rs",
    "src/audit/known.rs",
    "src/audit/lists.rs",
    "src/audit/structure.rs",
    "src/audit/summary.rs",
    "src/audit/tag_files.rs",
    "src/format/bagit/**/*.rs",
    "src/record/audience/**/*.rs",
    "src/weigh/clue_table.rs",
    "src/weigh/date_concerns.rs",
    "src/weigh/dates.rs",
    "src/weigh/directory.rs",
    "src/weigh/evidence.rs",
    "src/weigh/interval.rs",
    "src/weigh/sound.rs",
];

/// What the copy of the sources gets besides its switches.
const SWITCHBOARD: &str = "//! Which change is on.
use std::sync::OnceLock;
static ON: OnceLock<u32> = OnceLock::new();
/// Tells whether a change is on.
pub fn is_on(number: u32) -> bool {
    let read = || std::env::var(\"KITHBAG_MUTANT\").ok()?.parse().ok();
    *ON.get_or_init(|| read().unwrap_or(0)) == number
}
";

fn main() -> Result<(), Failure> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let project = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../..")
        .canonicalize()?;
    let folder = project.join("target/mutation");
    let tree = folder.join("tree");
    copy(&project, &tree)?;
    let mutants = list::list(&project, FILES)?;
    let left_out = compile::until_it_compiles(&project, &tree, &mutants)?;
    println!(
        "{} mutants, {} of them without a switch",
        mutants.len(),
        left_out.len()
    );
    let mut reasons = String::new();
    for mutant in &mutants {
        if let Some(why) = left_out.get(&mutant.number) {
            writeln!(reasons, "{}\t{why}", mutant.name)?;
        }
    }
    fs::write(folder.join("without.tsv"), reasons)?;
    if words.iter().any(|word| word == "--list") {
        return Ok(());
    }
    let results = folder.join("results.tsv");
    let mut known = known(&results, words.iter().any(|word| word == "--again"));
    let mut judge = Judge::build(&tree)?;
    for mutant in mutants
        .iter()
        .filter(|mutant| !left_out.contains_key(&mutant.number))
    {
        if !known.contains_key(&mutant.name) {
            let came_to = in_words(&judge.judge(mutant)?);
            println!("{}\t{came_to}", mutant.name);
            known.insert(mutant.name.clone(), came_to);
            keep(&results, &known)?;
        }
    }
    let survived = known
        .values()
        .filter(|came_to| *came_to == SURVIVED)
        .count();
    println!("{} tried, {survived} not noticed", known.len());
    Ok(())
}

const SURVIVED: &str = "not noticed";

fn in_words(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Caught(tests) => format!("noticed\t{tests}"),
        Outcome::HangsIn(tests) => format!("noticed, does not end\t{tests}"),
        Outcome::Survived => SURVIVED.to_owned(),
    }
}

fn known(results: &Path, is_again: bool) -> BTreeMap<String, String> {
    let text = fs::read_to_string(results).unwrap_or_default();
    let lines = text.lines().filter_map(|line| line.split_once('\t'));
    lines
        .filter(|(_, came_to)| !is_again || *came_to != SURVIVED)
        .map(|(name, came_to)| (name.to_owned(), came_to.to_owned()))
        .collect()
}

fn keep(results: &Path, known: &BTreeMap<String, String>) -> Result<(), Failure> {
    let mut text = String::new();
    for (name, came_to) in known {
        writeln!(text, "{name}\t{came_to}")?;
    }
    Ok(fs::write(results, text)?)
}

/// Copies the sources as they are, without what was built.
fn copy(project: &Path, tree: &Path) -> Result<(), Failure> {
    fs::create_dir_all(tree)?;
    for part in [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "tests",
        "samples",
        "schemas",
    ] {
        let status = Command::new("cp")
            .arg("-ru")
            .arg(project.join(part))
            .arg(tree)
            .status()?;
        if !status.success() {
            return Err(format!("{part} could not be copied").into());
        }
    }
    let library = fs::read_to_string(project.join("src/lib.rs"))?;
    write_if_new(
        &tree.join("src/lib.rs"),
        &format!("{library}pub mod mutation;\n"),
    )?;
    write_if_new(&tree.join("src/mutation.rs"), SWITCHBOARD)
}

/// What stays the same is not built again.
fn write_if_new(path: &Path, text: &str) -> Result<(), Failure> {
    if fs::read_to_string(path).is_ok_and(|before| before == text) {
        return Ok(());
    }
    Ok(fs::write(path, text)?)
}
