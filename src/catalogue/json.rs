//! `record.json`: the whole record for programs. Its schema is [`schema`].

use crate::record::Collection;
use crate::record::RECORD_VERSION;

/// The name of the file in a package.
pub const FILE_NAME: &str = "record.json";

/// The schema of `record.json`, as it is committed and put into packages.
pub const SCHEMA: &str = include_str!("../../schemas/record.schema.json");

/// The name of the schema's file in a package.
pub const SCHEMA_FILE_NAME: &str = "record.schema.json";

/// Why a `record.json` cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum JsonFault {
    /// It is no JSON of this form.
    #[error("it is no record of a collection (line {line}, column {column}: {why})")]
    NotARecord {
        /// The line at which reading stopped.
        line: usize,
        /// The column at which reading stopped.
        column: usize,
        /// What was met.
        why: String,
    },
    /// A later kithbag wrote it, in a form that this one would misunderstand.
    #[error("it has version {found} of the record; this kithbag reads versions up to {known}")]
    TooNew {
        /// The version of the file.
        found: u32,
        /// The latest version that can be read.
        known: u32,
    },
    /// The record cannot be written as JSON.
    #[error("the record cannot be written: {why}")]
    NotWritten {
        /// What was met.
        why: String,
    },
}

/// Writes a record as JSON: indented, in the order of the fields, one line end at the end. Same record, same bytes.
///
/// # Errors
/// Says what could not be written; no record that was read from anywhere is so.
pub fn write(collection: &Collection) -> Result<String, JsonFault> {
    let mut text =
        serde_json::to_string_pretty(collection).map_err(|error| JsonFault::NotWritten {
            why: error.to_string(),
        })?;
    text.push('\n');
    Ok(text)
}

/// Reads a record from JSON.
///
/// # Errors
/// Says where it is no record, or that a later kithbag wrote it.
pub fn read(bytes: &[u8]) -> Result<Collection, JsonFault> {
    /// Only the version, whatever else a later form may hold.
    #[derive(serde::Deserialize)]
    struct Version {
        #[serde(default)]
        record_version: u32,
    }
    let version: Version = serde_json::from_slice(bytes).map_err(|error| not_a_record(&error))?;
    if version.record_version > RECORD_VERSION {
        return Err(JsonFault::TooNew {
            found: version.record_version,
            known: RECORD_VERSION,
        });
    }
    serde_json::from_slice(bytes).map_err(|error| not_a_record(&error))
}

fn not_a_record(error: &serde_json::Error) -> JsonFault {
    JsonFault::NotARecord {
        line: error.line(),
        column: error.column(),
        why: error.to_string(),
    }
}

/// Returns the schema of `record.json` made from the types. [JSON Schema 2020-12]
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(Collection).to_value()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Portrait;
    use crate::record::PortraitNumber;

    fn small() -> Collection {
        Collection {
            record_version: RECORD_VERSION,
            portraits: vec![Portrait {
                number: PortraitNumber::new("A-001"),
                ..Portrait::default()
            }],
            ..Collection::default()
        }
    }

    #[test]
    fn the_smallest_record_reads_back() {
        let text = write(&small()).expect("JSON");
        assert!(text.ends_with("}\n"));
        assert_eq!(read(text.as_bytes()).expect("a record"), small());
    }

    #[test]
    fn cut_at_every_byte_it_is_refused() {
        let text = write(&small()).expect("JSON");
        let whole = text.trim_end();
        for end in 0..whole.len() {
            assert!(read(&whole.as_bytes()[..end]).is_err(), "cut at {end}");
        }
    }

    #[test]
    fn a_later_version_is_refused_even_if_its_form_changed() {
        let later = br#"{"record_version": 2, "portraits": "elsewhere"}"#;
        assert!(matches!(
            read(later),
            Err(JsonFault::TooNew { found: 2, known: 1 })
        ));
    }
}
