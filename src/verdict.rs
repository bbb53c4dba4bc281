//! The words of every verdict, kept in one list: what `audit` prints and what the page's own check shows are the same words.

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use std::fmt;

/// What became of one file. Ordered from harmless to worst.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum FileVerdict {
    /// Every byte is as the manifest says.
    Unchanged,
    /// The coded picture is as the description in the file says; of the description itself nothing tells.
    PictureUnchanged,
    /// Left behind by an operating system.
    Litter,
    /// It was read, and nothing says how it should be.
    NothingToCompare,
    /// It is there, and nothing but its name was looked at.
    NotRead,
    /// The same bytes stand under another name.
    Renamed,
    /// It is there, but no manifest knows it.
    NotListed,
    /// The words written into the file changed; the coded picture is the same.
    LabelChanged,
    /// Other bytes than the manifest says, in a file that is no picture or whose picture cannot be told from its label.
    Changed,
    /// The coded picture changed.
    PictureChanged,
    /// It cannot be read to its end, or not as a picture any more.
    Unreadable,
    /// A manifest lists it, and it is not there.
    Missing,
}

impl FileVerdict {
    /// Every verdict, from harmless to worst.
    pub const ALL: [Self; 12] = [
        Self::Unchanged,
        Self::PictureUnchanged,
        Self::Litter,
        Self::NothingToCompare,
        Self::NotRead,
        Self::Renamed,
        Self::NotListed,
        Self::LabelChanged,
        Self::Changed,
        Self::PictureChanged,
        Self::Unreadable,
        Self::Missing,
    ];

    /// Returns the words that people read.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Unchanged => "unchanged",
            Self::PictureUnchanged => "picture unchanged",
            Self::Litter => "harmless litter",
            Self::NothingToCompare => "nothing to compare with",
            Self::NotRead => "there, but not read",
            Self::Renamed => "renamed, contents unchanged",
            Self::NotListed => "not listed",
            Self::LabelChanged => "label changed, picture unchanged",
            Self::Changed => "changed",
            Self::PictureChanged => "picture changed",
            Self::Unreadable => "unreadable",
            Self::Missing => "missing",
        }
    }

    /// Returns a sentence that says what the words mean and what to do.
    #[must_use]
    pub const fn explained(self) -> &'static str {
        match self {
            Self::Unchanged => "Every byte is as it was when the package was made.",
            Self::PictureUnchanged => {
                "The picture is as it was when its description was written. Whether the description was changed since cannot be told from the file alone."
            }
            Self::NothingToCompare => {
                "The file carries no description that says how its picture should be, so nothing can be told."
            }
            Self::Litter => {
                "A computer left this file behind by itself. It does no harm, but it is no part of the package and may be deleted."
            }
            Self::NotRead => "The file is there; whether it changed was not looked at.",
            Self::Renamed => {
                "The contents are the same, but the name is another. Give it its old name back."
            }
            Self::NotListed => {
                "The package does not know this file: it was added later. Move it out of the package."
            }
            Self::LabelChanged => {
                "Some program wrote into the description inside the file. The picture itself is untouched. Take the file from another copy to have the old description back."
            }
            Self::Changed => {
                "The contents are not what they were. Take the file from another copy."
            }
            Self::PictureChanged => {
                "The picture itself is not what it was: damaged, or altered and saved. Take the file from another copy."
            }
            Self::Unreadable => {
                "The file cannot be read any more: cut short, damaged, or the disk is failing. Take the file from another copy."
            }
            Self::Missing => "The file is not there. Take it from another copy.",
        }
    }

    /// Tells whether this means damage: the package is not what it was.
    #[must_use]
    pub const fn is_damage(self) -> bool {
        matches!(
            self,
            Self::Renamed
                | Self::LabelChanged
                | Self::Changed
                | Self::PictureChanged
                | Self::Unreadable
                | Self::Missing
        )
    }
}

impl fmt::Display for FileVerdict {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.words())
    }
}

/// What the whole comes to.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Everything that is listed is there, was read, and is unchanged.
    Sound,
    /// Only names and sizes were looked at, and they agree.
    NamesAgree,
    /// There was nothing by which to tell.
    CannotTell,
    /// All that is listed is there and unchanged, but there is more than is listed, or a rule is broken.
    NotInOrder,
    /// Something is missing, changed or unreadable.
    Damaged,
}

impl Outcome {
    /// Returns the word or words that people read first.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sound => "Sound",
            Self::NamesAgree => "Names and sizes agree",
            Self::CannotTell => "Cannot tell",
            Self::NotInOrder => "Not in order",
            Self::Damaged => "Damaged",
        }
    }

    /// Tells whether nothing wrong was found. A quick look that found nothing wrong counts: what it did not read, its words say.
    #[must_use]
    pub const fn is_good(self) -> bool {
        matches!(self, Self::Sound | Self::NamesAgree)
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.words())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_verdicts_share_their_words() {
        for (index, one) in FileVerdict::ALL.iter().enumerate() {
            for other in &FileVerdict::ALL[index + 1..] {
                assert_ne!(one.words(), other.words());
                assert!(one < other, "ordered from harmless to worst");
            }
        }
    }

    #[test]
    fn an_unread_file_is_never_called_unchanged() {
        assert!(!FileVerdict::NotRead.words().contains("unchanged"));
        assert!(!Outcome::NamesAgree.words().contains("ound"));
    }
}
