//! Where in a sheet something came from.

/// The row of a sheet that something came from. Not part of the saved record: it only serves messages, and two records
/// that differ in it are the same.
#[derive(
    Debug, Clone, Copy, Default, Eq, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(from = "()", into = "()")]
#[schemars(with = "()")]
pub struct Row(pub Option<u32>);

impl PartialEq for Row {
    fn eq(&self, _other: &Self) -> bool {
        true
    }
}

impl From<()> for Row {
    fn from(_nothing: ()) -> Self {
        Self(None)
    }
}

impl From<Row> for () {
    fn from(_row: Row) -> Self {}
}
