//! People, and claims about who a portrait shows.

use super::Answer;
use super::ClueNumber;
use super::DateEntry;
use super::Extra;
use super::PersonNumber;
use super::PortraitNumber;
use super::Row;
use super::macros::record_part;
use super::vocabulary::Certainty;
use super::vocabulary::ClueKind;
use super::vocabulary::DateTarget;
use super::vocabulary::Hardness;
use super::vocabulary::Living;
use super::vocabulary::SeenAs;
use super::vocabulary::ShowTo;
use super::vocabulary::Speaks;
use super::vocabulary::Standing;
use super::vocabulary::WhoKnew;

record_part! {
    /// A person who is or might be a sitter.
    Person {
        /// Their number, unique in the collection.
        number: PersonNumber,
        /// Their name as best known.
        name: Answer<String>,
        /// Other names.
        other_names: Vec<String>,
        /// When they were born.
        born: Answer<DateEntry>,
        /// Where they were born.
        born_at: Answer<String>,
        /// When they died.
        died: Answer<DateEntry>,
        /// Where they died.
        died_at: Answer<String>,
        /// Whether they live.
        living: Answer<Living>,
        /// Marriages, in words.
        married: Answer<String>,
        /// Parents, in words.
        parents: Answer<String>,
        /// Where it was looked, when, and what was found or not.
        where_we_looked: Answer<String>,
        /// What they agreed to, and when.
        consent: Answer<String>,
        /// How far they may be shown.
        show_to: Answer<ShowTo>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// Who says what about a portrait's sitter, how sure, for and against.
    Claim {
        /// The portrait.
        portrait: PortraitNumber,
        /// Which face: "only one", "left", "back row 2nd".
        face: Answer<String>,
        /// Where the face is, as parts of the width and height: left, top, width, height, each 0 to 1.
        face_region: Answer<String>,
        /// A person's number, or words such as "unknown man".
        sitter: Sitter,
        /// How sure.
        certainty: Answer<Certainty>,
        /// Reasons for, in words.
        reasons_for: Vec<String>,
        /// Reasons against, in words.
        reasons_against: Vec<String>,
        /// Clues for, by number.
        clues_for: Vec<ClueNumber>,
        /// Clues against, by number.
        clues_against: Vec<ClueNumber>,
        /// Who else it could be, in words.
        rivals: Vec<String>,
        /// What would settle it.
        would_settle: Answer<String>,
        /// Who says so.
        said_by: Answer<String>,
        /// When they said so.
        said_on: Answer<DateEntry>,
        /// Whether it is still held.
        standing: Answer<Standing>,
        /// When and why it was withdrawn, in words.
        withdrawn_why: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

impl Claim {
    /// Tells whether the claim has been given up.
    #[must_use]
    pub fn is_withdrawn(&self) -> bool {
        self.standing.given() == Some(&Standing::Withdrawn)
    }
}

/// Who a claim names. "Unknown" is a value, not an absence.
#[derive(
    Debug,
    Clone,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
pub enum Sitter {
    /// Nothing is said.
    #[default]
    #[serde(rename = "not said")]
    NotSaid,
    /// A person of the People sheet.
    #[serde(rename = "person")]
    Person(PersonNumber),
    /// Somebody who cannot be named: "unknown man", "a child".
    #[serde(rename = "unnamed")]
    Unnamed(String),
}

record_part! {
    /// One piece of evidence.
    Clue {
        /// Its number, unique in the collection.
        number: ClueNumber,
        /// The portraits it speaks of.
        portraits: Vec<PortraitNumber>,
        /// The persons it speaks of.
        persons: Vec<PersonNumber>,
        /// What kind of thing it is.
        kind: Answer<ClueKind>,
        /// What it says.
        says: Answer<String>,
        /// Where it comes from, enough to find it again.
        source: Answer<String>,
        /// How the source was seen.
        seen_as: Answer<SeenAs>,
        /// Where the informant knew it from.
        who_knew: Answer<WhoKnew>,
        /// How it speaks.
        speaks: Answer<Speaks>,
        /// What it points to, in words.
        points_to: Answer<String>,
        /// What it points against, in words.
        points_against: Answer<String>,
        /// The date it gives.
        date: Answer<DateEntry>,
        /// Which date of the portrait that is.
        date_target: Answer<DateTarget>,
        /// Whether that date can be set aside.
        hardness: Answer<Hardness>,
        /// When it was seen.
        seen_on: Answer<DateEntry>,
        /// Who saw it.
        seen_by: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}
