//! The table of limits in DEVELOPERS.md is that of the code: every value as it stands there, and no limit left out.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use std::collections::BTreeSet;
use std::path::Path;

/// Constants whose names say that they bound what is read, so that a new one must stand in the table.
fn says_limit(name: &str) -> bool {
    name.ends_with("_LIMIT") || name.starts_with("MAX_")
}

fn table() -> Vec<(String, String, String)> {
    let text = std::fs::read_to_string("DEVELOPERS.md").unwrap();
    let section = text.split("## Limits\n").nth(1).unwrap();
    let section = section.split("\n## ").next().unwrap();
    let rows = section.lines().filter(|line| line.starts_with("| `"));
    rows.map(|row| {
        let quoted: Vec<&str> = row.split('`').skip(1).step_by(2).collect();
        (
            quoted[0].to_owned(),
            quoted[1].to_owned(),
            quoted[2].to_owned(),
        )
    })
    .collect()
}

fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let name = path.to_str().unwrap().replace('\\', "/");
            found.push((name, std::fs::read_to_string(&path).unwrap()));
        }
    }
}

#[test]
fn the_table_of_limits_is_that_of_the_code() {
    let rows = table();
    assert!(rows.len() > 30, "{}", rows.len());
    for (file, name, value) in &rows {
        let code = std::fs::read_to_string(file).unwrap();
        let stands = code.lines().any(|line| {
            line.contains(&format!("const {name}: ")) && line.ends_with(&format!(" = {value};"))
        });
        assert!(stands, "{file}: {name} is not {value}");
    }
    let told: BTreeSet<(String, String)> = rows
        .into_iter()
        .map(|(file, name, _)| (file, name))
        .collect();
    let mut code = Vec::new();
    sources(Path::new("src"), &mut code);
    let mut counted = 0;
    for (file, text) in &code {
        for line in text.lines() {
            let Some((_, rest)) = line.split_once("const ") else {
                continue;
            };
            let Some((name, _)) = rest.split_once(": ").filter(|(name, _)| says_limit(name)) else {
                continue;
            };
            counted += 1;
            let key = (file.clone(), name.to_owned());
            assert!(told.contains(&key), "{file}: {name} is not in the table");
        }
    }
    assert!(counted > 15, "{counted}");
}
