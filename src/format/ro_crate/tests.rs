//! What a description names, and that each name is there.

use super::*;

#[test]
fn what_a_crate_must_have_is_there() {
    let collection = Collection {
        portraits: vec![Portrait {
            number: "A 1".into(),
            ..Portrait::default()
        }],
        ..Collection::default()
    };
    let files = [CrateFile {
        path: "portraits/A 1/front.tif".to_owned(),
        bytes: 3,
        sha256: "00".repeat(32),
        about: "described copy",
        portrait: Some("A 1".into()),
        view: Some(View::Front),
        made_from: None,
    }];
    let input = Crate {
        collection: &collection,
        name: "box-family",
        made_on: "2026-11-25",
        tool: "kithbag",
        files: &files,
    };
    let value: Value = serde_json::from_str(&write(&input).unwrap()).unwrap();
    assert_eq!(value["@context"], CONTEXT);
    let graph = value["@graph"].as_array().unwrap();
    let root = graph.iter().find(|one| one["@id"] == "./").unwrap();
    for needed in ["name", "description", "datePublished", "license", "hasPart"] {
        assert!(!root[needed].is_null(), "{needed}");
    }
    assert_eq!(root["hasPart"][0]["@id"], "portraits/A%201/front.tif");
    let mut ids: Vec<&str> = graph
        .iter()
        .map(|one| one["@id"].as_str().unwrap())
        .collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "two entities with one name");
}
