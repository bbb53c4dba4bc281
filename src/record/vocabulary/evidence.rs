//! What can be said of claims and clues.

use crate::record::macros::vocabulary;

vocabulary! {
    /// How sure somebody is of a claim. Ordered from surest to excluded.
    Certainty {
        /// Written reasoning convinces a careful outsider.
        Proved = "proved",
        /// Better than any rival.
        Probable = "probable" | "probably",
        /// Fits, but so might others.
        Possible = "possible" | "possibly",
        /// An idea to test: family talk, likeness, sold together.
        Suggested = "suggested",
        /// The evidence leans against.
        Doubtful = "doubtful",
        /// Cannot be.
        RuledOut = "ruled out" | "ruled-out",
    }
}

vocabulary! {
    /// Whether a person lives.
    Living {
        /// Known to be alive.
        Yes = "yes",
        /// Known to be dead.
        No = "no",
        /// Not known, treated as alive.
        Presumed = "presumed",
    }
}

vocabulary! {
    /// Whether a claim is still held.
    Standing {
        /// Still held.
        Held = "yes" | "held",
        /// Given up; kept and shown as given up.
        Withdrawn = "withdrawn" | "no",
    }
}

vocabulary! {
    /// How the source of a clue was seen.
    SeenAs {
        /// The thing itself.
        Original = "the thing itself" | "original",
        /// A copy of it.
        Copy = "copy",
        /// Somebody's account of it.
        Account = "someone's write-up" | "write-up" | "account",
    }
}

vocabulary! {
    /// Where the informant of a clue knew it from.
    WhoKnew {
        /// Was there.
        FirstHand = "was there" | "first-hand",
        /// Heard it.
        SecondHand = "heard it" | "second-hand",
        /// Not known.
        Undetermined = "not known" | "unknown",
    }
}

vocabulary! {
    /// How a clue speaks.
    Speaks {
        /// Straight to the question.
        Direct = "straight to it" | "direct",
        /// Only together with other facts.
        Indirect = "only with other facts" | "indirect",
        /// By what is missing.
        Negative = "by its absence" | "negative",
    }
}

vocabulary! {
    /// What kind of thing a clue is; decides how much it can carry.
    ClueKind {
        /// Words on the object.
        Words = "words on it",
        /// A document.
        Record = "record",
        /// The maker's number, address or imprint.
        Maker = "maker",
        /// The process, mount, size or stamp.
        Object = "the object itself" | "object",
        /// Clothes and hair.
        Dress = "dress" | "clothes",
        /// Likeness to another picture.
        Likeness = "likeness" | "resemblance",
        /// What relatives say.
        FamilyTalk = "family talk",
        /// How the things were found or sold.
        FoundTogether = "found together",
        /// Anything else.
        Other = "other",
    }
}

vocabulary! {
    /// Which of a portrait's dates a clue speaks of.
    DateTarget {
        /// When the sitter sat.
        Sitting = "sitting",
        /// When this print or enlargement was made.
        Print = "this print" | "print",
        /// When it was framed or written on.
        Framed = "framed or written on" | "framed",
    }
}

vocabulary! {
    /// Whether a clue's date can be set aside.
    Hardness {
        /// Cannot be otherwise.
        Hard = "hard",
        /// Usually so.
        Soft = "soft",
    }
}
