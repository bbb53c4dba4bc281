//! Concerns: what kithbag noticed in a person's material. Faults of material are never errors: all are collected,
//! the work goes on, and only a concern of severity [`Severity::Stop`] keeps a package from being made.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::borrow::Cow;
use std::fmt;

/// How much a concern matters. Ordered from least to most.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing to do.
    Note,
    /// Only a person can answer this.
    Question,
    /// Probably wrong, or will mislead somebody later.
    Warning,
    /// Nothing can be written until this is settled.
    Stop,
}

impl Severity {
    /// Returns the word that people read.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Question => "question",
            Self::Warning => "warning",
            Self::Stop => "stop",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.word())
    }
}

/// Where something was noticed. Every part may be absent.
#[derive(
    Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(default)]
pub struct Place {
    /// The file, relative to the collection or package, `/` between folders.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// The sheet of the catalogue.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// The row as a spreadsheet counts it: the heading is row 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<u32>,
    /// The heading of the column.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<String>,
    /// The number of the portrait concerned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub portrait: Option<String>,
    /// The position in the file in bytes, counted from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offset: Option<u64>,
}

impl Place {
    /// Returns the place "nowhere in particular".
    #[must_use]
    pub fn unknown() -> Self {
        Self::default()
    }

    /// Returns a place that is a file.
    #[must_use]
    pub fn file(path: impl Into<String>) -> Self {
        Self {
            file: Some(path.into()),
            ..Self::default()
        }
    }

    /// Returns a place that is a portrait.
    #[must_use]
    pub fn portrait(number: impl fmt::Display) -> Self {
        Self {
            portrait: Some(number.to_string()),
            ..Self::default()
        }
    }

    /// Returns a place that is a sheet of the catalogue.
    #[must_use]
    pub fn sheet(name: impl Into<String>) -> Self {
        Self {
            sheet: Some(name.into()),
            ..Self::default()
        }
    }

    /// Adds the row, as a spreadsheet counts it.
    #[must_use]
    pub fn row(mut self, row: Option<u32>) -> Self {
        self.row = row;
        self
    }

    /// Adds the heading of the column.
    #[must_use]
    pub fn column(mut self, heading: impl Into<String>) -> Self {
        self.column = Some(heading.into());
        self
    }

    /// Adds the number of the portrait.
    #[must_use]
    pub fn of_portrait(mut self, number: impl fmt::Display) -> Self {
        self.portrait = Some(number.to_string());
        self
    }
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        parts.extend(self.file.clone());
        parts.extend(self.sheet.as_ref().map(|sheet| format!("sheet “{sheet}”")));
        parts.extend(self.row.map(|row| format!("row {row}")));
        parts.extend(
            self.column
                .as_ref()
                .map(|column| format!("column “{column}”")),
        );
        parts.extend(
            self.portrait
                .as_ref()
                .map(|portrait| format!("portrait {portrait}")),
        );
        parts.extend(self.offset.map(|offset| format!("byte {offset}")));
        formatter.write_str(&parts.join(", "))
    }
}

/// One thing noticed: where, what is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Concern {
    /// Stable name for programs and tests, for example `unknown-heading`. Never reused for something else.
    pub code: Cow<'static, str>,
    /// How much it matters.
    pub severity: Severity,
    /// Where it was noticed.
    #[serde(default)]
    pub place: Place,
    /// What is the matter, a sentence in plain words.
    pub what: String,
    /// What to do about it, a sentence in plain words.
    pub remedy: String,
}

impl Concern {
    /// Returns a concern.
    #[must_use]
    pub fn new(
        code: &'static str,
        severity: Severity,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            code: Cow::Borrowed(code),
            severity,
            place,
            what: what.into(),
            remedy: remedy.into(),
        }
    }
}

/// Collects concerns in the order in which they were met.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct ConcernList {
    concerns: Vec<Concern>,
}

impl ConcernList {
    /// Adds one concern.
    pub fn push(&mut self, concern: Concern) {
        self.concerns.push(concern);
    }

    /// Adds a note.
    pub fn note(
        &mut self,
        code: &'static str,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.push(Concern::new(code, Severity::Note, place, what, remedy));
    }

    /// Adds a question.
    pub fn question(
        &mut self,
        code: &'static str,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.push(Concern::new(code, Severity::Question, place, what, remedy));
    }

    /// Adds a warning.
    pub fn warning(
        &mut self,
        code: &'static str,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.push(Concern::new(code, Severity::Warning, place, what, remedy));
    }

    /// Adds a concern that keeps anything from being written.
    pub fn stop(
        &mut self,
        code: &'static str,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.push(Concern::new(code, Severity::Stop, place, what, remedy));
    }

    /// Adds all concerns of another list.
    pub fn extend(&mut self, other: Self) {
        self.concerns.extend(other.concerns);
    }

    /// Returns the concerns in the order in which they were met.
    pub fn iter(&self) -> std::slice::Iter<'_, Concern> {
        self.concerns.iter()
    }

    /// Returns the concerns, worst first; equal ones keep their order.
    #[must_use]
    pub fn worst_first(&self) -> Vec<&Concern> {
        let mut sorted: Vec<&Concern> = self.concerns.iter().collect();
        sorted.sort_by_key(|concern| std::cmp::Reverse(concern.severity));
        sorted
    }

    /// Returns how many concerns have this severity.
    #[must_use]
    pub fn count(&self, severity: Severity) -> usize {
        self.concerns
            .iter()
            .filter(|concern| concern.severity == severity)
            .count()
    }

    /// Tells whether any concern keeps a package from being made.
    #[must_use]
    pub fn has_stop(&self) -> bool {
        self.count(Severity::Stop) > 0
    }

    /// Tells whether a concern of this code is among them.
    #[must_use]
    pub fn has(&self, code: &str) -> bool {
        self.concerns.iter().any(|concern| concern.code == code)
    }

    /// Tells whether nothing was noticed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.concerns.is_empty()
    }

    /// Returns the number of concerns.
    #[must_use]
    pub fn len(&self) -> usize {
        self.concerns.len()
    }
}

impl<'a> IntoIterator for &'a ConcernList {
    type Item = &'a Concern;
    type IntoIter = std::slice::Iter<'a, Concern>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl IntoIterator for ConcernList {
    type Item = Concern;
    type IntoIter = std::vec::IntoIter<Concern>;
    fn into_iter(self) -> Self::IntoIter {
        self.concerns.into_iter()
    }
}
