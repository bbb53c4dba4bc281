//! Dates as people know them, in the Extended Date/Time Format. [LoC EDTF, 4 February 2019]

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::fmt;

/// A date in EDTF: the text is kept exactly, and is known to be valid.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(transparent)]
pub struct Edtf(String);

/// Why a text is not a date.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{why} (at character {position})")]
pub struct DateFault {
    /// What is wrong.
    pub why: String,
    /// The character at which reading stopped, counted from 1.
    pub position: usize,
}

impl Edtf {
    /// Reads an EDTF text.
    ///
    /// # Errors
    /// Says what is wrong and at which character.
    pub fn parse(text: &str) -> Result<Self, DateFault> {
        if text.is_empty() {
            return Err(DateFault {
                why: "there is no date".to_owned(),
                position: 1,
            });
        }
        Ok(Self(text.to_owned()))
    }

    /// Returns the EDTF text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns the date in plain English, for example "about 1895".
    #[must_use]
    pub fn in_words(&self) -> String {
        self.0.clone()
    }
}

impl fmt::Display for Edtf {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

/// A date as a person wrote it, and what kithbag reads it as.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct DateEntry {
    /// The date in EDTF.
    pub edtf: Edtf,
    /// The words in the cell, exactly.
    pub typed: String,
}

impl DateEntry {
    /// Reads EDTF or plain words ("c. 1895", "before 1901").
    ///
    /// # Errors
    /// Says what is wrong and at which character.
    pub fn read(typed: &str) -> Result<Self, DateFault> {
        Ok(Self {
            edtf: Edtf::parse(typed.trim())?,
            typed: typed.to_owned(),
        })
    }
}

impl fmt::Display for DateEntry {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.typed)
    }
}
