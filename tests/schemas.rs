//! The committed schemas are those of the types. To write them anew: `KITHBAG_WRITE_SCHEMAS=1 cargo test --test schemas`, then
//! look at the difference and answer in the commit what an older reader makes of newer files and a newer reader of older ones.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may fail loudly"
)]

use kithbag::audit;
use kithbag::catalogue::json;
use kithbag::catalogue::schemas::PUBLISHED;
use kithbag::catalogue::schemas::PublishedSchema;
use kithbag::catalogue::schemas::text_of;
use kithbag::format::sheet::Cell;
use kithbag::format::sheet::Table;
use kithbag::format::sheet::TableRow;
use kithbag::mend;
use kithbag::survey;
use kithbag::weigh;
use std::collections::BTreeSet;
use std::path::Path;

/// Every schema that the program publishes.
fn published() -> Vec<PublishedSchema> {
    let later = audit::schemas::PUBLISHED
        .iter()
        .chain([&mend::PUBLISHED_SCHEMA, &survey::PUBLISHED_SCHEMA])
        .chain(weigh::schemas::PUBLISHED);
    let later = later.map(|(file_name, text, generate)| PublishedSchema {
        file_name,
        text,
        generate: *generate,
    });
    PUBLISHED.iter().copied().chain(later).collect()
}

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas")
}

#[test]
fn committed_schemas_are_those_of_the_types() {
    let mut stale = Vec::new();
    for schema in published() {
        let text = text_of(&(schema.generate)());
        let path = folder().join(schema.file_name);
        if std::env::var_os("KITHBAG_WRITE_SCHEMAS").is_some() {
            std::fs::write(&path, &text).unwrap();
        } else if std::fs::read_to_string(&path).unwrap() != text || schema.text != text {
            stale.push(schema.file_name);
        }
    }
    assert!(
        stale.is_empty(),
        "{stale:?} differ from the types: run KITHBAG_WRITE_SCHEMAS=1 cargo test --test schemas"
    );
}

#[test]
fn every_committed_schema_is_published() {
    let known: BTreeSet<String> = published()
        .iter()
        .map(|schema| schema.file_name.to_owned())
        .collect();
    let committed: BTreeSet<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".schema.json"))
        .collect();
    assert_eq!(committed, known);
}

fn filled() -> serde_json::Value {
    let tables = [
        table(
            "Portraits",
            &[
                "Portrait no.",
                "Picture made of",
                "Sitting made",
                "Belongs with",
                "Mine",
            ],
            &[
                "A-001",
                "photograph ; charcoal",
                "about 1895",
                "A-002 (same order)",
                "x",
            ],
        ),
        table(
            "Who is it",
            &[
                "Portrait no.",
                "Person no. or unknown man",
                "How sure",
                "Said on",
            ],
            &["A-001", "unknown man", "possible", "2026-03-14"],
        ),
        table(
            "Scans",
            &["File name now", "Portrait no.", "View", "Pixels wide"],
            &["a.jpg", "nk", "front", "4000"],
        ),
    ];
    let (collection, _) = kithbag::catalogue::from_tables(&tables);
    serde_json::from_str(&json::write(&collection).unwrap()).unwrap()
}

fn table(name: &str, headings: &[&str], cells: &[&str]) -> Table {
    Table {
        name: name.to_owned(),
        headings: headings.iter().map(|text| (*text).to_owned()).collect(),
        rows: vec![TableRow {
            number: 2,
            cells: cells.iter().map(|text| Cell::text(*text)).collect(),
        }],
    }
}

#[test]
fn records_follow_their_schema_and_others_do_not() {
    let schema: serde_json::Value = serde_json::from_str(json::SCHEMA).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let record = filled();
    let faults: Vec<String> = validator
        .iter_errors(&record)
        .map(|fault| format!("{}: {fault}", fault.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{faults:?}");

    let mut wrong = record.clone();
    wrong["portraits"][0]["number"] = 7.into();
    assert!(!validator.is_valid(&wrong));
    let mut wrong = record;
    wrong["claims"][0]["certainty"]["given"] = "certain".into();
    assert!(!validator.is_valid(&wrong));
}

/// Every catalogue of the samples, read and written as JSON, follows the schema.
#[test]
fn the_samples_follow_the_schema() {
    let schema: serde_json::Value = serde_json::from_str(json::SCHEMA).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut read = 0;
    for entry in std::fs::read_dir(samples).unwrap() {
        let path = entry.unwrap().path();
        if !path.is_dir() || kithbag::catalogue::locate(&path).unwrap().is_empty() {
            continue;
        }
        let collection = kithbag::catalogue::read(&path).unwrap().collection;
        let record = serde_json::from_str(&json::write(&collection).unwrap()).unwrap();
        assert!(validator.is_valid(&record), "{}", path.display());
        read += 1;
    }
    assert!(read >= 3, "{read} samples read");
}

/// What `weigh --json` says of the samples follows its schema, and something else does not.
#[test]
fn what_weighing_says_follows_its_schema() {
    let (_, text, _) = weigh::schemas::PUBLISHED[0];
    let schema: serde_json::Value = serde_json::from_str(text).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for name in ["trevanick-pair", "tillyard-box", "ravelock-gift"] {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("samples")
            .join(name);
        let reading = kithbag::catalogue::read(&root).unwrap();
        let today = kithbag::record::Day::from_iso("2026-11-26").unwrap();
        let options = weigh::WeighOptions::as_of(today);
        let weighing = weigh::weigh(&reading.collection, &options);
        let report = weigh::schemas::WeighReport {
            weighing: &weighing,
            catalogue: &reading.concerns,
            cautions: weighing.cautions(),
        };
        let mut report = serde_json::to_value(report).unwrap();
        let faults: Vec<String> = validator
            .iter_errors(&report)
            .map(|fault| format!("{}: {fault}", fault.instance_path()))
            .collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
        assert!(report["weighing"]["portraits"].as_array().unwrap().len() > 2);
        report["weighing"]["portraits"][0]["number"] = 7.into();
        assert!(!validator.is_valid(&report));
    }
}
