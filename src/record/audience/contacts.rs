//! Telephone numbers, e-mail addresses and streets in free text.

use super::search;
use super::search::Word;
use std::ops::Range;

/// Fewest digits that make a telephone number.
const SHORTEST_TELEPHONE: usize = 9;

/// Last words of streets.
const STREETS: [&str; 24] = [
    "street", "st", "road", "rd", "lane", "ln", "avenue", "ave", "drive", "dr", "close", "court",
    "row", "terrace", "square", "way", "place", "gardens", "crescent", "hill", "grove", "quay",
    "mews", "park",
];

/// Returns where e-mail addresses stand.
pub(super) fn mail_addresses(text: &str) -> Vec<Range<usize>> {
    if !text.contains('@') {
        return Vec::new();
    }
    let is_outside = |one: char| {
        one.is_whitespace() || matches!(one, '<' | '>' | '(' | ')' | ',' | ';' | '"' | '“' | '”')
    };
    let mut found = Vec::new();
    let mut start: usize = 0;
    for piece in text.split_inclusive(is_outside) {
        let word = piece.trim_end_matches(is_outside);
        let word = word.trim_end_matches(['.', ':', '!', '?']);
        let is_address = word
            .split_once('@')
            .is_some_and(|(left, right)| !left.is_empty() && right.contains('.'));
        if is_address {
            found.push(start..start.saturating_add(word.len()));
        }
        start = start.saturating_add(piece.len());
    }
    found
}

/// Returns where telephone numbers stand: a run of digits, blanks, hyphens, dots, brackets and a plus sign with enough digits in
/// it, unless it holds a year or is part of an address on the web or of a book's number.
pub(super) fn telephones(text: &str) -> Vec<Range<usize>> {
    let belongs =
        |one: char| one.is_ascii_digit() || matches!(one, ' ' | '-' | '.' | '(' | ')' | '+' | '/');
    let mut found = Vec::new();
    let mut start = None;
    let ends = text
        .char_indices()
        .map(|(place, one)| (place, belongs(one)))
        .chain(std::iter::once((text.len(), false)));
    for (place, inside) in ends {
        match (start, inside) {
            (None, true) => start = Some(place),
            (Some(from), false) => {
                found.extend(telephone(text, from..place));
                start = None;
            }
            _ => {}
        }
    }
    found
}

fn telephone(text: &str, run: Range<usize>) -> Option<Range<usize>> {
    let raw = text.get(run.clone())?;
    let before = text.get(..run.start).unwrap_or_default();
    let trimmed = raw.trim();
    let digits = trimmed.chars().filter(char::is_ascii_digit).count();
    let has_year = trimmed
        .split(|one: char| !one.is_ascii_digit())
        .any(|part| part.len() == 4 && matches!(part.get(..2), Some("17" | "18" | "19" | "20")));
    let is_of_a_web_address =
        raw.starts_with(['/', '.', '-']) && before.ends_with(char::is_alphanumeric);
    let is_of_a_book = before.trim_end_matches([':', ' ']).ends_with("ISBN");
    let is_telephone = digits >= SHORTEST_TELEPHONE
        && (!has_year || trimmed.contains('+') || trimmed.starts_with('0'))
        && !is_of_a_web_address
        && !is_of_a_book;
    let lead = raw.len().saturating_sub(raw.trim_start().len());
    let start = run.start.saturating_add(lead);
    is_telephone.then(|| start..start.saturating_add(trimmed.trim_end_matches(['.', '-']).len()))
}

/// Returns where streets with a house number stand. Makers' addresses look the same, so this counts only beside a name.
pub(super) fn streets(text: &str) -> Vec<Range<usize>> {
    let words = search::words(text);
    (0..words.len())
        .filter_map(|place| street(words.get(place..)?))
        .collect()
}

fn street(words: &[Word]) -> Option<Range<usize>> {
    let (number, rest) = words.split_first()?;
    let is_number = number.folded.len() <= 5
        && number
            .folded
            .chars()
            .next()
            .is_some_and(|one| one.is_ascii_digit());
    let end = rest
        .iter()
        .take(4)
        .take_while(|word| word.looks_like_a_name)
        .skip(1)
        .find(|word| STREETS.contains(&word.folded.as_str()))?;
    is_number.then_some(number.range.start..end.range.end)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str, ranges: Vec<Range<usize>>) -> Vec<String> {
        ranges
            .into_iter()
            .map(|range| text[range].to_owned())
            .collect()
    }

    #[test]
    fn telephones_are_told_from_other_numbers() {
        for text in [
            "between 1890 and 1900",
            "1868-1870",
            "1868-1870-1872",
            "no. 6-18",
            "page 12, line 3",
            "1834-05-02",
            "14 x 20 in",
            "https://archive.example/123456789",
            "ISBN 978-0-12-345678-9",
        ] {
            assert_eq!(cut(text, telephones(text)), Vec::<String>::new(), "{text}");
        }
        for (text, number) in [
            ("ring 01632 960123 soon", "01632 960123"),
            ("+44 20 7946 0018.", "+44 20 7946 0018"),
            ("(0)1632/960155", "(0)1632/960155"),
            ("01632 1960 123", "01632 1960 123"),
            ("Tel:-01632 960123", "-01632 960123"),
            ("1632-960-123.", "1632-960-123"),
        ] {
            assert_eq!(cut(text, telephones(text)), [number], "{text}");
        }
    }

    #[test]
    fn mail_addresses_are_found_in_any_brackets() {
        let text = "write to <saskia@venn.example>, or a.b@c.example.";
        assert_eq!(
            cut(text, mail_addresses(text)),
            ["saskia@venn.example", "a.b@c.example"]
        );
        for none in ["3 @ 5 shillings", "@venn.example", "saskia@home"] {
            assert!(mail_addresses(none).is_empty(), "{none}");
        }
    }

    #[test]
    fn streets_have_a_number_and_a_name() {
        let text = "Saskia Venn, 7 Sallow Lane, Tollen";
        assert_eq!(cut(text, streets(text)), ["7 Sallow Lane"]);
        assert!(streets("2 women by the road").is_empty());
    }
}
