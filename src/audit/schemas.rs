//! The published schemas of what an audit says and what a ledger keeps.

use super::compare::Comparison;
use super::ledger::LedgerLine;
use super::report::AuditReport;
use serde_json::Value;

/// The name of a schema's file in `schemas/`, its committed text, and what makes it anew from the types.
pub type Schema = (&'static str, &'static str, fn() -> Value);

/// Every schema of this stage.
pub const PUBLISHED: &[Schema] = &[
    (
        "audit-report.schema.json",
        include_str!("../../schemas/audit-report.schema.json"),
        || schemars::schema_for!(AuditReport).to_value(),
    ),
    (
        "comparison.schema.json",
        include_str!("../../schemas/comparison.schema.json"),
        || schemars::schema_for!(Comparison).to_value(),
    ),
    (
        "ledger-line.schema.json",
        include_str!("../../schemas/ledger-line.schema.json"),
        || schemars::schema_for!(LedgerLine).to_value(),
    ),
];
