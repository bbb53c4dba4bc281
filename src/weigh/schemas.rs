//! What `weigh --json` prints, and its published schemas: committed, and held against the types by a test.

use super::CalledCaution;
use super::Explanation;
use super::Weighing;
use crate::concern::ConcernList;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::Value;

/// Everything about a collection: what was weighed, and what was odd about the sheets.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "WeighReport")]
pub struct WeighReport<'a> {
    /// The portraits and what was noticed about them.
    pub weighing: &'a Weighing,
    /// What was noticed when the sheets of the catalogue were read.
    pub catalogue: &'a ConcernList,
    /// The cautions that the collection calls for.
    pub cautions: Vec<CalledCaution>,
}

/// The name of a schema's file in `schemas/`, its committed text, and what makes it anew from the types.
pub type Schema = (&'static str, &'static str, fn() -> Value);

/// The schemas of `weigh --json` and of `weigh --explain --json`.
pub const PUBLISHED: &[Schema] = &[
    (
        "weigh-report.schema.json",
        include_str!("../../schemas/weigh-report.schema.json"),
        as_written::<WeighReport<'_>>,
    ),
    (
        "explanation.schema.json",
        include_str!("../../schemas/explanation.schema.json"),
        as_written::<Explanation>,
    ),
];

/// Returns the schema of what is written: these documents are only ever written.
fn as_written<T: JsonSchema>() -> Value {
    SchemaSettings::default()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<T>()
        .to_value()
}
