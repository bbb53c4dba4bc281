//! The list of mutants, as `cargo mutants --list --json` writes it.

use crate::Failure;
use serde_json::Value;
use std::fs;
use std::ops::Range;
use std::path::Path;
use std::process::Command;

/// One change to the sources.
#[derive(Debug, Clone)]
pub(crate) struct Mutant {
    /// Its switch: the place in the list, from 1.
    pub(crate) number: usize,
    /// File, line, column and change, in words.
    pub(crate) name: String,
    pub(crate) file: String,
    pub(crate) genre: String,
    pub(crate) replacement: String,
    /// The bytes of the file that it concerns.
    pub(crate) span: Range<usize>,
}

/// Lists the mutants of these files.
pub(crate) fn list(project: &Path, files: &[&str]) -> Result<Vec<Mutant>, Failure> {
    let mut command = Command::new("cargo");
    command.current_dir(project);
    command.args(["mutants", "--list", "--json"]);
    for file in files {
        command.args(["--file", file]);
    }
    let output = command.output()?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into());
    }
    let listed: Vec<Value> = serde_json::from_slice(&output.stdout)?;
    let read = |(index, value)| read(project, index + 1, value);
    listed.iter().enumerate().map(read).collect()
}

fn read(project: &Path, number: usize, value: &Value) -> Result<Mutant, Failure> {
    let text = |field: &str| value[field].as_str().unwrap_or_default().to_owned();
    let source = fs::read_to_string(project.join(text("file")))?;
    let place = |end: &str, part: &str| {
        let number = value["span"][end][part].as_u64();
        number.and_then(|number| usize::try_from(number).ok())
    };
    let at = |end: &str| offset(&source, place(end, "line")?, place(end, "column")?);
    let span = at("start").zip(at("end"));
    let (start, end) = span.ok_or_else(|| format!("no such place: {}", text("name")))?;
    Ok(Mutant {
        number,
        name: text("name"),
        file: text("file"),
        genre: text("genre"),
        replacement: text("replacement"),
        span: start..end,
    })
}

/// Lines and columns count from 1, columns in characters.
fn offset(source: &str, line: usize, column: usize) -> Option<usize> {
    let start: usize = source
        .split_inclusive('\n')
        .take(line - 1)
        .map(str::len)
        .sum();
    let rest = source.get(start..)?;
    let within = rest
        .char_indices()
        .map(|(at, _)| at)
        .chain([rest.len()])
        .nth(column - 1)?;
    Some(start + within)
}
