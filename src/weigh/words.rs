//! Words found on the objects: words for relatives without a known writer, later writing, marks in square brackets, and what
//! a printed age says of a birth. The words themselves are never changed.

use super::cell::cell;
use super::evidence::shortened;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::record::Bound;
use crate::record::DateEntry;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Transcription;
use crate::record::WrittenIn;

/// Words for relatives, and what they say of the writer.
const KIN_WORDS: [(&str, &str); 35] = [
    ("mother", "the writer is a child of the person meant"),
    ("father", "the writer is a child of the person meant"),
    ("mama", "the writer is a child of the person meant"),
    ("papa", "the writer is a child of the person meant"),
    ("mum", "the writer is a child of the person meant"),
    ("mom", "the writer is a child of the person meant"),
    ("dad", "the writer is a child of the person meant"),
    ("ma", "the writer is a child of the person meant"),
    ("pa", "the writer is a child of the person meant"),
    ("aunt", "the writer is of the next generation"),
    ("auntie", "the writer is of the next generation"),
    ("uncle", "the writer is of the next generation"),
    ("grandmother", "the writer is a grandchild"),
    ("grandfather", "the writer is a grandchild"),
    ("grandma", "the writer is a grandchild"),
    ("grandpa", "the writer is a grandchild"),
    ("granny", "the writer is a grandchild"),
    ("granddad", "the writer is a grandchild"),
    ("great-grandmother", "the writer is a great-grandchild"),
    ("great-grandfather", "the writer is a great-grandchild"),
    ("sister", "the writer is of the same generation"),
    ("brother", "the writer is of the same generation"),
    ("cousin", "the writer is a cousin"),
    (
        "wife",
        "the writer is the husband, or writes of somebody’s wife",
    ),
    (
        "husband",
        "the writer is the wife, or writes of somebody’s husband",
    ),
    ("son", "the writer is a parent, or writes of somebody’s son"),
    (
        "daughter",
        "the writer is a parent, or writes of somebody’s daughter",
    ),
    ("nephew", "the writer is an aunt or uncle"),
    ("niece", "the writer is an aunt or uncle"),
    ("grandson", "the writer is a grandparent"),
    ("granddaughter", "the writer is a grandparent"),
    ("stepmother", "the writer is a stepchild"),
    ("stepfather", "the writer is a stepchild"),
    ("me", "the writer is in the picture"),
    ("myself", "the writer is in the picture"),
];

/// The marks that stand in square brackets in a transcription.
const MARKS: [&str; 3] = ["?", "illegible", "torn"];

/// Tells whether a word stands in a text as a whole word. Both in lower case.
pub(super) fn has_word(text: &str, word: &str) -> bool {
    let apart =
        |character: Option<char>| character.is_none_or(|one| !one.is_alphanumeric() && one != '-');
    text.match_indices(word).any(|(at, _)| {
        let before = text.get(..at).and_then(|head| head.chars().next_back());
        let end = at.saturating_add(word.len());
        let after = text.get(end..).and_then(|tail| tail.chars().next());
        apart(before) && apart(after)
    })
}

/// Tells whether it is known who wrote the words.
pub(super) fn writer_is_known(words: &Transcription) -> bool {
    words.hand.text().is_some_and(|hand| {
        let hand = hand.to_lowercase();
        !hand.contains("unknown") && !hand.contains("not known") && hand.trim() != "?"
    })
}

/// Looks at one transcription.
pub(super) fn check(words: &Transcription, concerns: &mut ConcernList) {
    let Some(text) = words.text.text() else {
        return;
    };
    let place =
        || cell(&columns::WORDS, words.row, "The words exactly").of_portrait(&words.portrait);
    let lower = text.to_lowercase();
    let printed = matches!(
        words.written_in.given(),
        Some(WrittenIn::Print | WrittenIn::Embossed)
    );
    let kin_word = KIN_WORDS.iter().find(|(word, _)| has_word(&lower, word));
    if let Some((word, says)) = kin_word.filter(|_| !printed && !writer_is_known(words)) {
        concerns.warning(
                "kin-word-without-writer",
                place(),
                format!("“{}”: “{word}” is said from the writer’s side, and nobody knows who wrote it ({says}).", shortened(text)),
                "Compare the hand with other writing and fill in “Whose hand”; until then the word names nobody.",
            );
    }
    if words.written_in.given() == Some(&WrittenIn::Ballpoint) {
        concerns.note(
            "ballpoint-later",
            place(),
            format!("“{}” is in ballpoint, so it was written about 1945 or later (common practice, no single source).", shortened(text)),
            "Treat it as later information, however early the date that it gives.",
        );
    }
    for what in odd_brackets(text) {
        concerns.note(
            "odd-brackets",
            place(),
            format!("“{}”: {what}.", shortened(text)),
            "Square brackets are kept for [?], [illegible] and [torn]; if they stand on the object, say so in “What I think it means”.",
        );
    }
}

/// Returns what is odd about the square brackets in a transcription.
fn odd_brackets(text: &str) -> Vec<String> {
    let mut odd = Vec::new();
    let mut open: Option<String> = None;
    for character in text.chars() {
        match (character, open.as_mut()) {
            ('[', None) => open = Some(String::new()),
            ('[', Some(_)) => {
                odd.push("a square bracket opens inside another".to_owned());
                open = Some(String::new());
            }
            (']', Some(inside)) => {
                if !is_mark(inside) {
                    odd.push(format!("[{inside}] is not one of the marks"));
                }
                open = None;
            }
            (']', None) => odd.push("a square bracket closes that was not opened".to_owned()),
            (other, Some(inside)) => inside.push(other),
            (_, None) => {}
        }
    }
    if open.is_some() {
        odd.push("a square bracket is not closed".to_owned());
    }
    odd
}

/// "[?]", "[illegible]", "[torn]", and a reading with a question mark such as "[Rowse?]".
fn is_mark(inside: &str) -> bool {
    let plain = inside.trim().to_lowercase();
    MARKS.contains(&plain.as_str()) || plain.ends_with('?')
}

/// A death and an age that stand together in printed words, and the birth that follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PrintedAge {
    pub(super) died: Day,
    pub(super) earliest_birth: Day,
    pub(super) latest_birth: Day,
}

impl PrintedAge {
    /// Returns the birth as a date.
    pub(super) fn birth(&self) -> Option<Edtf> {
        // Ages were counted in completed months: a birth on the last days of the month before is possible too.
        let month = self.latest_birth.first_of_month();
        Edtf::between(Bound::Day(month), Bound::Day(month.last_of_month()))
    }
}

/// Reads "4 May 1893, aged 71 y. 2 m." and works out when the person was born.
pub(super) fn printed_age(text: &str) -> Option<PrintedAge> {
    let lower = text.to_lowercase();
    let (before, after) = lower
        .split_once("aged")
        .or_else(|| lower.split_once("æ."))?;
    let died = date_in(before).or_else(|| date_in(after))?;
    let mut years = None;
    let mut months = None;
    let mut number: Option<i64> = None;
    for word in after.split(|character: char| !character.is_alphanumeric()) {
        if let Ok(value) = word.parse::<i64>() {
            number = Some(value);
        } else if let Some(value) = number.filter(|_| !word.is_empty()) {
            match word.chars().next() {
                Some('y') if years.is_none() => years = Some(value),
                Some('m') if months.is_none() => months = Some(value),
                _ => {}
            }
            number = None;
        }
    }
    let years = years.or(number).filter(|years| (0..130).contains(years))?;
    let known_months = months.filter(|months| (0..12).contains(months));
    let latest = died
        .plus_years(years.saturating_neg())
        .plus_months(known_months.unwrap_or(0).saturating_neg());
    let earliest = match known_months {
        Some(_) => latest.plus_months(-1).next(),
        None => latest.plus_years(-1).next(),
    };
    Some(PrintedAge {
        died,
        earliest_birth: earliest,
        latest_birth: latest,
    })
}

/// Finds a full date such as "4 May 1893" or "May 4, 1893" among words.
fn date_in(text: &str) -> Option<Day> {
    let words: Vec<&str> = text
        .split(|character: char| {
            character.is_whitespace() || matches!(character, ',' | ';' | '(' | ')')
        })
        .filter(|word| !word.is_empty())
        .collect();
    words.windows(3).find_map(|three| {
        let entry = DateEntry::read(three.join(" ").trim_end_matches('.')).ok()?;
        match entry.edtf.bounds() {
            (Bound::Day(first), Bound::Day(last)) if first == last => Some(first),
            _ => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;

    fn codes(text: &str, written_in: WrittenIn, hand: &str) -> Vec<String> {
        let words = Transcription {
            portrait: "B-01".into(),
            text: Answer::Given(text.to_owned()),
            written_in: Answer::Given(written_in),
            hand: Answer::from_cell(hand),
            ..Transcription::default()
        };
        let mut concerns = ConcernList::default();
        check(&words, &mut concerns);
        concerns.iter().map(|one| one.code.to_string()).collect()
    }

    #[test]
    fn kin_words_without_a_known_writer_are_flagged() {
        // Invented demo B: B-01 "Mother" in pencil, B-06 "Lucian & me", B-08 "Uncle Wend at the fair".
        for text in [
            "Mother",
            "Lucian & me",
            "Uncle Wend at the fair",
            "my Great-grandmother.",
        ] {
            assert_eq!(
                codes(text, WrittenIn::Pencil, ""),
                ["kin-word-without-writer"],
                "{text}"
            );
            assert!(
                codes(text, WrittenIn::Pencil, "Delia Tillyard").is_empty(),
                "{text}"
            );
            assert_eq!(
                codes(text, WrittenIn::Ink, "unknown hand"),
                ["kin-word-without-writer"]
            );
        }
        assert!(codes("Mothersole & Co., Marrowby", WrittenIn::Ink, "").is_empty());
        assert!(codes("Mother’s Friend Soap", WrittenIn::Print, "").is_empty());
    }

    #[test]
    fn ballpoint_is_later_information() {
        assert_eq!(
            codes("1885?", WrittenIn::Ballpoint, ""),
            ["ballpoint-later"]
        );
    }

    #[test]
    fn brackets_are_for_the_three_marks() {
        assert!(
            codes(
                "E. M[illegible]k – Pet[?]l [torn] [Rowse?]",
                WrittenIn::Ink,
                ""
            )
            .is_empty()
        );
        for text in ["[see over]", "E. Marrack [", "Marrack]", "[[?]"] {
            assert_eq!(codes(text, WrittenIn::Ink, ""), ["odd-brackets"], "{text}");
        }
    }

    #[test]
    fn a_printed_age_gives_the_birth() {
        // Invented demo B, B-11: "Departed 4 May 1893, aged 71 y. 2 m." gives a birth in March 1822.
        let age = printed_age("Departed 4 May 1893, aged 71 y. 2 m.").unwrap();
        assert_eq!(age.died.to_string(), "1893-05-04");
        assert_eq!(age.latest_birth.to_string(), "1822-03-04");
        assert_eq!(age.earliest_birth.to_string(), "1822-02-05");
        assert_eq!(age.birth().unwrap().as_str(), "1822-03");
        let years = printed_age("died May 4, 1893 aged 71 years").unwrap();
        assert_eq!(years.earliest_birth.to_string(), "1821-05-05");
        assert!(printed_age("aged 71").is_none());
        assert!(printed_age("Damaged on 4 May 1893").is_none());
        assert!(printed_age("").is_none());
    }
}
