//! Editions: later packages of the same collection, what changed from one to the next, and the chain of their seals.

mod changes;

pub use changes::changes;
pub use changes::sort;

use super::PortraitNumber;
use super::macros::record_part;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;

record_part! {
    /// One thing that is otherwise than in the edition before.
    Change {
        /// The portrait concerned.
        portrait: PortraitNumber,
        /// What kind of change.
        kind: Option<ChangeKind>,
        /// What changed, a sentence.
        what: String,
    }
}

record_part! {
    /// One edition of a package. A record tells of all that came before and of its own.
    Edition {
        /// Its number; the first is 1.
        number: u32,
        /// The name of its package.
        package: String,
        /// The day of its making, year-month-day.
        made_on: String,
        /// SHA-256 of its `manifest-sha256.txt`, hexadecimal: its seal. Absent for the edition that this record stands in.
        sha256: Option<String>,
        /// What is otherwise than in the edition before.
        changes: Vec<Change>,
    }
}

/// The kinds of change.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum ChangeKind {
    /// A portrait that was not there before.
    PortraitAdded,
    /// A portrait that is no longer there.
    PortraitRemoved,
    /// A claim that was not there before.
    ClaimAdded,
    /// A claim held more surely.
    ClaimRaised,
    /// A claim held less surely.
    ClaimLowered,
    /// A claim given up.
    ClaimWithdrawn,
    /// A claim taken up again.
    ClaimRestored,
    /// A claim that is no longer there at all.
    ClaimRemoved,
    /// A scan that was not there before.
    ScanAdded,
    /// A scan with another picture or other bytes.
    ScanReplaced,
    /// A scan that is no longer there.
    ScanRemoved,
    /// Words read otherwise, or found or given up.
    WordsCorrected,
    /// Another date.
    DateChanged,
}

impl Change {
    /// Tells whether it is about who the sitter is.
    #[must_use]
    pub const fn is_about_a_claim(&self) -> bool {
        matches!(
            self.kind,
            Some(
                ChangeKind::ClaimAdded
                    | ChangeKind::ClaimRaised
                    | ChangeKind::ClaimLowered
                    | ChangeKind::ClaimWithdrawn
                    | ChangeKind::ClaimRestored
                    | ChangeKind::ClaimRemoved
            )
        )
    }
}
