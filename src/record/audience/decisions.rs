//! Everything about people who may be living that would leave the house, one thing a line, and what a person decided about it.

use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::record::Audience;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Letters of a code: enough that two things of one collection never share one.
const CODE_LENGTH: usize = 16;

/// What a person decided about one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Decision {
    /// It may leave.
    Yes,
    /// It is left out.
    No,
    /// The words mean somebody or something else, and may leave.
    NotThem,
}

impl Decision {
    /// Finds the decision that a person wrote; nothing when it is none of the words.
    #[must_use]
    pub fn from_word(text: &str) -> Option<Self> {
        match text.trim().to_lowercase().as_str() {
            "yes" | "y" => Some(Self::Yes),
            "no" | "n" => Some(Self::No),
            "not them" | "not they" | "somebody else" => Some(Self::NotThem),
            _ => None,
        }
    }

    /// Returns the word as people write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::NotThem => "not them",
        }
    }

    /// Tells whether the thing may leave.
    #[must_use]
    pub const fn lets_go(self) -> bool {
        matches!(self, Self::Yes | Self::NotThem)
    }
}

/// What kind of thing would leave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LeavingKind {
    /// A row of the People sheet.
    Person,
    /// Words in the catalogue.
    Words,
    /// The name of somebody who did the work: scanned, looked, said.
    Credit,
    /// Words that another program wrote into a scan.
    Caption,
    /// The name of a scan's file.
    FileName,
}

impl LeavingKind {
    /// Returns what happens to the thing when the answer is no, in plain words.
    #[must_use]
    pub const fn when_no(self) -> &'static str {
        match self {
            Self::Person => "the person is left out, and their name is taken out of every text",
            Self::Words => "the words are taken out of the text",
            Self::Credit => "the name is left out",
            Self::Caption | Self::FileName => "the scan is left out",
        }
    }
}

/// One thing about somebody who may be living that would leave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leaving {
    /// What tells it from everything else, changed words included.
    pub code: String,
    /// What kind of thing it is.
    pub kind: LeavingKind,
    /// Whom or what it is about: numbers of persons, "a telephone number".
    pub about: Vec<String>,
    /// Where it stands, in plain words.
    pub place: String,
    /// The scan, where it stands in or on one.
    pub scan: Option<String>,
    /// The words themselves.
    pub words: String,
    /// Whether nothing is packed before a person has decided.
    pub must_be_decided: bool,
    /// Whether "yes" is an answer: not for people who refused, may be under age, or have agreed to nothing.
    pub may_leave: bool,
}

impl Leaving {
    /// Returns a thing with its code.
    #[must_use]
    pub fn new(
        audience: Audience,
        kind: LeavingKind,
        about: Vec<String>,
        place: String,
        words: String,
    ) -> Self {
        let told = format!(
            "{audience}\n{kind:?}\n{place}\n{}\n{words}",
            about.join("\n")
        );
        let digest = Digest::of(Algorithm::Sha256, told.as_bytes());
        let short: String = digest.hex().chars().take(CODE_LENGTH).collect();
        Self {
            // A letter in front, so that no spreadsheet takes it for a number.
            code: format!("k-{short}"),
            kind,
            about,
            place,
            scan: None,
            words,
            must_be_decided: false,
            may_leave: true,
        }
    }

    /// Returns the answers that it knows, in plain words.
    #[must_use]
    pub const fn answers(&self) -> &'static str {
        match (self.kind, self.may_leave) {
            (LeavingKind::Person | LeavingKind::Credit, _) => "yes / no",
            (_, true) => "yes / no / not them",
            (_, false) => "no / not them",
        }
    }

    /// Tells whether a decision is an answer here.
    #[must_use]
    pub fn takes(&self, decision: Decision) -> bool {
        match decision {
            Decision::Yes => self.may_leave,
            Decision::No => true,
            Decision::NotThem => !matches!(self.kind, LeavingKind::Person | LeavingKind::Credit),
        }
    }
}

/// What a person decided, by code, and what follows from it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Decisions {
    by_code: BTreeMap<String, Decision>,
    left_out_scans: BTreeSet<String>,
    persons: BTreeSet<String>,
}

impl Decisions {
    /// Takes in the decisions about things.
    #[must_use]
    pub fn of<'a>(decided: impl IntoIterator<Item = (&'a Leaving, Option<Decision>)>) -> Self {
        let mut decisions = Self::default();
        for (leaving, decision) in decided {
            let lets_go = decision.is_some_and(Decision::lets_go);
            if let Some(decision) = decision {
                decisions.by_code.insert(leaving.code.clone(), decision);
            }
            match &leaving.scan {
                Some(scan) if decision == Some(Decision::No) => {
                    decisions.left_out_scans.insert(scan.clone());
                }
                _ => {}
            }
            if leaving.kind == LeavingKind::Person && lets_go {
                decisions.persons.extend(leaving.about.iter().cloned());
            }
        }
        decisions
    }

    /// Returns what was decided about a thing.
    #[must_use]
    pub fn on(&self, code: &str) -> Option<Decision> {
        self.by_code.get(code).copied()
    }

    /// Tells whether a person's row may leave.
    #[must_use]
    pub fn lets_go(&self, person: &str) -> bool {
        self.persons.contains(person)
    }

    /// Tells whether a scan is left out for what stands in it or in its name.
    #[must_use]
    pub fn leaves_out(&self, scan: &str) -> bool {
        self.left_out_scans.contains(scan)
    }
}
