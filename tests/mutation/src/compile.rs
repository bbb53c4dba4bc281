//! Leaves out mutants that do not compile, round by round, from what the compiler says.

use crate::Failure;
use crate::list::Mutant;
use crate::switch;
use crate::switch::Switched;
use serde_json::Value;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// More rounds than this mean that the compiler's words are not understood.
const MOST_ROUNDS: usize = 40;

/// Writes the mutants into the copy of the project until it compiles. Returns those left out, and why.
pub(crate) fn until_it_compiles(
    project: &Path,
    tree: &Path,
    mutants: &[Mutant],
) -> Result<BTreeMap<usize, String>, Failure> {
    let mut left_out = BTreeMap::new();
    for round in 1..=MOST_ROUNDS {
        let written = write(project, tree, mutants, &mut left_out)?;
        let errors = errors(tree)?;
        if errors.is_empty() {
            return Ok(left_out);
        }
        let mut culprits = BTreeMap::new();
        for error in &errors {
            let said = error["message"].as_str().unwrap_or_default();
            let found = blamed(error, &written);
            if found.is_empty() && error["spans"].as_array().is_some_and(|all| !all.is_empty()) {
                eprintln!(
                    "not understood: {}",
                    error["rendered"].as_str().unwrap_or_default()
                );
            }
            culprits.extend(found.into_iter().map(|number| (number, said.to_owned())));
        }
        println!("round {round}: {} do not compile", culprits.len());
        if culprits.is_empty() {
            return Err("the compiler blames no mutant".into());
        }
        left_out.extend(culprits);
    }
    Err("too many rounds".into())
}

fn write(
    project: &Path,
    tree: &Path,
    mutants: &[Mutant],
    left_out: &mut BTreeMap<usize, String>,
) -> Result<BTreeMap<String, Switched>, Failure> {
    let mut by_file: BTreeMap<&str, Vec<&Mutant>> = BTreeMap::new();
    for mutant in mutants {
        let of_file = by_file.entry(&mutant.file).or_default();
        if !left_out.contains_key(&mutant.number) {
            of_file.push(mutant);
        }
    }
    let mut written = BTreeMap::new();
    for (file, mutants) in by_file {
        let source = fs::read_to_string(project.join(file))?;
        let switched =
            switch::switch(&source, &mutants).map_err(|error| format!("{file}: {error}"))?;
        let why = |(number, why): &(usize, &str)| (*number, (*why).to_owned());
        left_out.extend(switched.without.iter().map(why));
        crate::write_if_new(&tree.join(file), &switched.text)?;
        written.insert(file.to_owned(), switched);
    }
    Ok(written)
}

fn errors(tree: &Path) -> Result<Vec<Value>, Failure> {
    let output = Command::new("cargo")
        .current_dir(tree)
        .args(["test", "--no-run", "--lib", "--message-format=json"])
        .output()?;
    let said = String::from_utf8_lossy(&output.stdout);
    let messages = said
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok());
    let errors: Vec<Value> = messages
        .filter(|message| message["message"]["level"] == "error")
        .map(|message| message["message"].clone())
        .collect();
    if errors.is_empty() && !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into());
    }
    Ok(errors)
}

/// The mutants that an error is about: the smallest changed stretch that it points into; else the smallest switch.
fn blamed(error: &Value, written: &BTreeMap<String, Switched>) -> BTreeSet<usize> {
    let spans: Vec<&Value> = error["spans"].as_array().into_iter().flatten().collect();
    let of = |is_primary: bool,
              stretches: fn(&Switched) -> &Vec<(std::ops::Range<usize>, usize)>| {
        let meant = spans.iter().filter(|span| span["is_primary"] == is_primary);
        let numbers = meant.filter_map(|span| {
            let file = written.get(span["file_name"].as_str()?)?;
            let start = usize::try_from(span["byte_start"].as_u64()?).ok()?;
            let within = stretches(file)
                .iter()
                .filter(|(range, _)| range.contains(&start));
            within
                .min_by_key(|(range, _)| range.len())
                .map(|(_, number)| *number)
        });
        numbers.collect::<BTreeSet<usize>>()
    };
    [
        of(true, |file| &file.changed),
        of(false, |file| &file.changed),
        of(true, |file| &file.around),
        of(false, |file| &file.around),
    ]
    .into_iter()
    .find(|numbers| !numbers.is_empty())
    .unwrap_or_default()
}
