//! Three kinds of "nothing" that a catalogue must keep apart.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

/// What a cell of the catalogue says. An empty cell, "nk" and "na" are three different things.
#[derive(
    Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
pub enum Answer<T> {
    /// The cell is empty: nobody has looked yet.
    #[default]
    #[serde(rename = "not looked at yet")]
    Blank,
    /// Somebody looked and could not find out ("nk").
    #[serde(rename = "not known")]
    NotKnown,
    /// The question makes no sense here ("na").
    #[serde(rename = "does not apply")]
    DoesNotApply,
    /// The answer.
    #[serde(rename = "given")]
    Given(T),
}

impl<T> Answer<T> {
    /// Returns the answer if one is given.
    pub const fn given(&self) -> Option<&T> {
        match self {
            Self::Given(value) => Some(value),
            _ => None,
        }
    }

    /// Tells whether nobody has looked yet.
    pub const fn is_blank(&self) -> bool {
        matches!(self, Self::Blank)
    }

    /// Tells whether an answer is given.
    pub const fn is_given(&self) -> bool {
        matches!(self, Self::Given(_))
    }

    /// Changes the answer, keeping the three kinds of nothing.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Answer<U> {
        match self {
            Self::Blank => Answer::Blank,
            Self::NotKnown => Answer::NotKnown,
            Self::DoesNotApply => Answer::DoesNotApply,
            Self::Given(value) => Answer::Given(change(value)),
        }
    }
}

impl Answer<String> {
    /// Returns the text if one is given.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        self.given().map(String::as_str)
    }

    /// Reads a cell of free text: empty, "nk", "na" (any case, outer blanks ignored) or the text exactly as written.
    #[must_use]
    pub fn from_cell(cell: &str) -> Self {
        match cell.trim().to_lowercase().as_str() {
            "" => Self::Blank,
            "nk" => Self::NotKnown,
            "na" => Self::DoesNotApply,
            _ => Self::Given(cell.to_owned()),
        }
    }
}

impl<T: std::fmt::Display> Answer<T> {
    /// Returns the text of a cell that reads back as this answer.
    #[must_use]
    pub fn to_cell(&self) -> String {
        match self {
            Self::Blank => String::new(),
            Self::NotKnown => "nk".to_owned(),
            Self::DoesNotApply => "na".to_owned(),
            Self::Given(value) => value.to_string(),
        }
    }
}

impl<T> From<Option<T>> for Answer<T> {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Blank, Self::Given)
    }
}
