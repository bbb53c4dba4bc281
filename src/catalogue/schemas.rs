//! The published schemas of what this stage saves or says: committed, embedded, and held against the types by a test.

use super::json;
use crate::concern::ConcernList;
use serde_json::Value;

/// A schema as it is published.
#[derive(Debug, Clone, Copy)]
pub struct PublishedSchema {
    /// The name of its file in `schemas/`.
    pub file_name: &'static str,
    /// The committed text.
    pub text: &'static str,
    /// Makes it anew from the types.
    pub generate: fn() -> Value,
}

/// The schemas of the record and of the concerns.
pub const PUBLISHED: &[PublishedSchema] = &[
    PublishedSchema {
        file_name: json::SCHEMA_FILE_NAME,
        text: json::SCHEMA,
        generate: json::schema,
    },
    PublishedSchema {
        file_name: "concerns.schema.json",
        text: include_str!("../../schemas/concerns.schema.json"),
        generate: concerns,
    },
];

fn concerns() -> Value {
    schemars::schema_for!(ConcernList).to_value()
}

/// Returns the text of a schema's file: indented, one line end at the end.
#[must_use]
pub fn text_of(schema: &Value) -> String {
    format!("{schema:#}\n")
}
