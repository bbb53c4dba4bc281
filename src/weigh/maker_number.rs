//! Numbers that makers wrote on portraits, compared.

/// A maker's number taken apart: everything but its last part, and its last part.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct MakerNumber {
    /// The parts before the last, as written, and the form of the last: digits or one letter.
    pub(super) stem: String,
    pub(super) last: LastPart,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LastPart {
    Number(u64),
    Letter(char),
}

impl LastPart {
    /// Returns the part that follows this one.
    pub(super) fn next(self) -> Option<Self> {
        match self {
            Self::Number(number) => number.checked_add(1).map(Self::Number),
            Self::Letter(letter) => ('a'..='z')
                .skip_while(|one| *one != letter)
                .nth(1)
                .map(Self::Letter),
        }
    }
}

/// Takes a maker's number apart: "6-18", "no. 6-18", "4471", "A 118", "118b". Numbers are neighbours only if everything but their
/// last part is the same, letters and form included.
pub(super) fn maker_number(text: &str) -> Option<MakerNumber> {
    let lower = text.trim().to_lowercase();
    let plain = [
        "neg. no.",
        "neg no.",
        "negative no.",
        "number",
        "no.",
        "no ",
        "nr.",
        "#",
        "№",
    ]
    .iter()
    .find_map(|prefix| lower.strip_prefix(prefix))
    .unwrap_or(&lower)
    .trim();
    if !plain.chars().any(|one| one.is_ascii_digit()) {
        return None;
    }
    let last_character = plain.chars().next_back()?;
    if last_character.is_ascii_digit() {
        let digits = plain.chars().rev().take_while(char::is_ascii_digit).count();
        let (stem, number) = plain.split_at_checked(plain.len().checked_sub(digits)?)?;
        return Some(MakerNumber {
            stem: plain_stem(stem),
            last: LastPart::Number(number.parse().ok()?),
        });
    }
    let stem = plain.strip_suffix(last_character)?;
    (last_character.is_ascii_lowercase() && stem.ends_with(|one: char| one.is_ascii_digit())).then(
        || MakerNumber {
            stem: plain_stem(stem),
            last: LastPart::Letter(last_character),
        },
    )
}

fn plain_stem(stem: &str) -> String {
    stem.chars().filter(|one| !one.is_whitespace()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn neighbours(one: &str, other: &str) -> bool {
        match (maker_number(one), maker_number(other)) {
            (Some(one), Some(other)) => {
                one.stem == other.stem && one.last.next() == Some(other.last)
            }
            _ => false,
        }
    }

    #[test]
    fn numbers_are_neighbours_by_their_last_part_only() {
        // Invented demo A: 6-18 and 6-19 differ by one in the last part.
        for (one, other) in [
            ("6-18", "6-19"),
            ("no. 6-18", "6-19"),
            ("4471", "4472"),
            ("A 118", "A119"),
            ("118a", "118b"),
            ("6-9", "6-10"),
        ] {
            assert!(neighbours(one, other), "{one} {other}");
        }
        for (one, other) in [
            ("6-18", "7-18"),
            ("6-18", "6-20"),
            ("6-18", "618"),
            ("A118", "B119"),
            ("118", "118a"),
            ("118z", "118a"),
            ("6-18", "6-18"),
            ("18-Jun", "19-Jun"),
            ("", "1"),
            ("x", "y"),
        ] {
            assert!(!neighbours(one, other), "{one} {other}");
        }
        assert_eq!(maker_number("99999999999999999999999"), None);
    }
}
