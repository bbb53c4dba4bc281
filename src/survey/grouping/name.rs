//! What a file's name says: an object number, a view, a sign of alteration, and whatever is left.

use super::words::ALTERATIONS;
use super::words::COPIES;
use super::words::COUNTING_WORDS;
use super::words::MACHINE_WORDS;
use super::words::VIEWS;
use crate::record::CopyKind;
use crate::record::View;

/// What a name says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct NameReading {
    /// The object number, as it will be shown.
    pub(super) number: Option<String>,
    /// The number without its last part, when that part may be a view: `A-001` of `A-001b` or `A-001-2`.
    pub(super) base: Option<String>,
    /// That last part.
    pub(super) suffix: Option<char>,
    /// The view, when a word names one.
    pub(super) view: Option<View>,
    /// Whether a word says that the picture was changed.
    pub(super) altered: bool,
    /// The kind of copy, when a word names one.
    pub(super) copy: Option<CopyKind>,
    /// The words that are left, folded.
    pub(super) rest: String,
    /// Whether this is a name that a camera, scanner or telephone gave.
    pub(super) from_camera: bool,
}

/// Reads the name of a file, without its ending and folder.
pub(super) fn read_stem(stem: &str) -> NameReading {
    let mut reading = NameReading::default();
    let (number, after) = match object_number(stem) {
        Some(found) => (
            Some(found.text.clone()),
            stem.get(found.length..).unwrap_or(""),
        ),
        None => (None, stem),
    };
    let mut words = words_of(after);
    take_words(&mut words, &mut reading);
    reading.from_camera = number.is_none()
        && words.first().is_some_and(|word| {
            let letters = word.trim_end_matches(|c: char| c.is_ascii_digit());
            MACHINE_WORDS.contains(&letters)
                || (letters.is_empty() && word.len() >= 6)
                || (letters == "p" && word.len() == 8)
        });
    match number {
        Some(text) => split_suffix(text, &words, &mut reading),
        None => split_last_letter(&mut words, &mut reading),
    }
    reading.rest = words.join(" ");
    reading
}

/// Returns the view that a folder's name stands for, when it stands for nothing else: "backs", "frame back".
pub(super) fn view_of_folder(name: &str) -> Option<View> {
    let words = words_of(name).join(" ");
    VIEWS
        .iter()
        .find(|(word, _)| *word == words)
        .map(|(_, view)| *view)
}

/// Tells whether a folder's name stands for altered copies alone.
pub(super) fn is_alteration_folder(name: &str) -> bool {
    let words = words_of(name);
    !words.is_empty()
        && words
            .iter()
            .all(|word| ALTERATIONS.contains(&word.as_str()) || word == "copies" || word == "copy")
}

/// Returns the object number of a folder that holds one portrait: `A-001`, `A-001 man in a coat`.
pub(super) fn number_of_folder(name: &str) -> Option<String> {
    let found = object_number(name)?;
    let after = name.get(found.length..).unwrap_or("");
    let lettered = found.text.starts_with(|c: char| c.is_ascii_alphabetic());
    (lettered && !after.chars().any(|c| c.is_ascii_digit())).then_some(found.text)
}

/// Returns the form in which object numbers are compared: case and the mark between letters and digits do not count.
pub(super) fn number_key(number: &str) -> String {
    let mut key = String::new();
    let mut pending = false;
    for character in number.chars() {
        if !character.is_alphanumeric() {
            pending = true;
            continue;
        }
        let after_digit = key.ends_with(|c: char| c.is_ascii_digit());
        if pending && after_digit && character.is_ascii_digit() {
            key.push('-');
        }
        pending = false;
        key.extend(character.to_lowercase());
    }
    key
}

/// Returns the words of a text: letters and digits, lower case.
pub(super) fn words_of(text: &str) -> Vec<String> {
    crate::portable_path::fold(text)
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Takes out the words that name a view, an alteration or a kind of copy.
fn take_words(words: &mut Vec<String>, reading: &mut NameReading) {
    for (name, view) in VIEWS {
        let parts: Vec<&str> = name.split(' ').collect();
        let found = words.windows(parts.len()).position(|window| {
            window
                .iter()
                .zip(&parts)
                .all(|(word, part)| bare(word) == *part)
        });
        if let Some(at) = found {
            words.drain(at..at.saturating_add(parts.len()));
            // "front 2" is another picture of the front.
            let counter = words.get(at).is_some_and(|word| {
                word.len() <= 2 && word.bytes().all(|byte| byte.is_ascii_digit())
            });
            if counter {
                words.remove(at);
            }
            reading.view = reading.view.or(Some(view));
        }
    }
    words.retain(|word| {
        let altered = ALTERATIONS.contains(&bare(word));
        let copy = COPIES.iter().find(|(name, _)| *name == word);
        reading.altered |= altered;
        if let Some((_, kind)) = copy {
            reading.copy = Some(*kind);
        }
        !altered && copy.is_none()
    });
}

/// Returns a word without the digits that count it: "front" of "front2".
fn bare(word: &str) -> &str {
    word.trim_end_matches(|c: char| c.is_ascii_digit())
}

struct Found {
    /// The number as it will be shown.
    text: String,
    /// The bytes of the stem that it takes.
    length: usize,
}

/// Finds an object number at the beginning: a few letters, a mark, digits, perhaps more groups of digits, perhaps a letter.
/// A lone year with words behind it is none, nor is anything that a machine gives.
fn object_number(stem: &str) -> Option<Found> {
    let letters = run(stem, |c| c.is_ascii_alphabetic());
    let prefix = stem.get(..letters)?;
    if !is_prefix(prefix) {
        return None;
    }
    let mut length = letters;
    if letters > 0 {
        // "TV 7" is a number, "the 7" is two words.
        let word = letters > 1 && prefix.bytes().any(|byte| byte.is_ascii_lowercase());
        let marks = if word { "-_." } else { "-_ ." };
        length = length.checked_add(run_of_marks(stem.get(length..)?, marks))?;
    }
    let digits = run(stem.get(length..)?, |c| c.is_ascii_digit());
    if !(1..=6).contains(&digits) {
        return None;
    }
    let first_digits = stem.get(length..length.checked_add(digits)?)?;
    length = length.checked_add(digits)?;
    let mut groups: u32 = 1;
    while let Some(more) = next_group(stem.get(length..)?) {
        length = length.checked_add(more)?;
        groups = groups.saturating_add(1);
    }
    let after = stem.get(length..)?;
    let letter = run(after, |c| c.is_ascii_alphabetic());
    if letter == 1 {
        length = length.checked_add(1)?;
    } else if letter > 1 {
        return None;
    }
    let whole = stem.get(..length)?;
    let rest = words_of(stem.get(length..)?);
    if prefix.is_empty() && groups == 1 && !is_plain_number(first_digits, &rest) {
        return None;
    }
    Some(Found {
        text: whole.replace(['_', ' '], "-"),
        length,
    })
}

/// Digits alone are an object number only when short and not a year that describes something.
fn is_plain_number(digits: &str, rest: &[String]) -> bool {
    let year = digits
        .parse::<u32>()
        .is_ok_and(|number| (1800..=2100).contains(&number));
    let only_views = {
        let mut left = rest.to_vec();
        take_words(&mut left, &mut NameReading::default());
        left.is_empty()
    };
    digits.len() <= 5 && (!year || only_views)
}

fn is_prefix(prefix: &str) -> bool {
    let short =
        prefix.len() <= 3 || (prefix.len() <= 5 && prefix.bytes().all(|b| b.is_ascii_uppercase()));
    let lower = prefix.to_ascii_lowercase();
    let is_view = VIEWS.iter().any(|(word, _)| *word == lower);
    short
        && !is_view
        && !COUNTING_WORDS.contains(&lower.as_str())
        && !MACHINE_WORDS.contains(&lower.as_str())
}

/// Returns the length of `-12`, `.3` or `_4` at the beginning of a text.
fn next_group(text: &str) -> Option<usize> {
    let mark = run_of_marks(text, "-_.");
    let digits = run(text.get(mark..)?, |c| c.is_ascii_digit());
    (mark == 1 && (1..=4).contains(&digits)).then(|| mark.saturating_add(digits))
}

fn run(text: &str, wanted: impl Fn(char) -> bool) -> usize {
    text.find(|c: char| !wanted(c)).unwrap_or(text.len())
}

/// Returns 1 when a text begins with one of the marks, else 0.
fn run_of_marks(text: &str, marks: &str) -> usize {
    usize::from(text.starts_with(|c: char| marks.contains(c)))
}

/// Splits `A-001b`, `A-001-2` and `A-001 b` into a base and a part that may be a view.
fn split_suffix(text: String, words: &[String], reading: &mut NameReading) {
    let last = text.chars().next_back();
    let before = last.and_then(|last| text.strip_suffix(last)).unwrap_or("");
    match last {
        Some(letter)
            if letter.is_ascii_alphabetic() && before.ends_with(|c: char| c.is_ascii_digit()) =>
        {
            reading.suffix = Some(letter.to_ascii_lowercase());
            reading.base = Some(before.to_owned());
        }
        Some(digit) if digit.is_ascii_digit() && last_group(&text).is_some() => {
            // A longer number cannot be a view; it only tells that there is a series.
            let (base, group) = last_group(&text).unwrap_or_default();
            reading.suffix = Some(if group.len() == 1 { digit } else { '9' });
            reading.base = Some(base.to_owned());
        }
        _ => {
            let only = words
                .first()
                .filter(|word| words.len() == 1 && word.len() == 1);
            reading.suffix = only.and_then(|word| word.chars().next());
            reading.base = reading.suffix.map(|_| text.clone());
        }
    }
    reading.number = Some(text);
}

/// Splits `A-001-2` into the whole object number before and the last group of digits.
fn last_group(text: &str) -> Option<(&str, &str)> {
    let (base, group) = text.rsplit_once(['-', '.'])?;
    let digits = base.chars().rev().take_while(char::is_ascii_digit).count();
    let lettered = base.starts_with(|c: char| c.is_ascii_alphabetic());
    (digits >= 3 || (lettered && digits >= 1)).then_some((base, group))
}

/// Splits a last word of one letter off words, or a last letter off digits: "marrack v", "img 4471b".
fn split_last_letter(words: &mut [String], reading: &mut NameReading) {
    let Some((last, before)) = words.split_last() else {
        return;
    };
    let Some(letter) = last.chars().next_back().filter(char::is_ascii_alphabetic) else {
        return;
    };
    let stem = last.strip_suffix(letter).unwrap_or("");
    let attached = !stem.is_empty() && stem.bytes().all(|byte| byte.is_ascii_digit());
    if attached || (stem.is_empty() && !before.is_empty()) {
        let mut base = before.to_vec();
        base.extend((!stem.is_empty()).then(|| stem.to_owned()));
        reading.suffix = Some(letter);
        reading.base = Some(base.join(" "));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(stem: &str) -> Option<String> {
        read_stem(stem).number
    }

    #[test]
    fn object_numbers_are_found() {
        for (stem, expected) in [
            ("A-001 front", "A-001"),
            ("A-001_back", "A-001"),
            ("a_12", "a-12"),
            ("B-12 verso 2", "B-12"),
            ("TV 7 label", "TV-7"),
            ("MARR-0017-back", "MARR-0017"),
            ("1998.12.3 front", "1998.12.3"),
            ("012 back", "012"),
            ("A-001 front man in a coat", "A-001"),
        ] {
            assert_eq!(number(stem).as_deref(), Some(expected), "{stem}");
        }
    }

    #[test]
    fn machine_names_years_and_words_are_no_numbers() {
        for stem in [
            "IMG_4471",
            "DSC01234",
            "P1010023",
            "PXL_20230102_120000",
            "20240101_123456",
            "scan 1",
            "Scan0001",
            "WhatsApp Image 2023",
            "1895 wedding",
            "Edwin Marrack front",
            "front 2",
            "back1",
            "Zoë",
            "box 1",
            "Lot-3",
            "the 7",
            "",
            "é1",
        ] {
            assert_eq!(number(stem), None, "{stem}");
        }
        assert!(read_stem("IMG_4471").from_camera);
        assert!(read_stem("P1010023").from_camera);
        assert!(read_stem("Scan0001").from_camera);
        assert!(!read_stem("Edwin Marrack").from_camera);
    }

    #[test]
    fn views_are_words_of_their_own() {
        for (stem, view) in [
            ("A-001 front", Some(View::Front)),
            ("A-001 recto", Some(View::Front)),
            ("A-001-verso", Some(View::Back)),
            ("A-001 frame back", Some(View::FrameBack)),
            ("A-001 back of frame", Some(View::Back)),
            ("A-001 framed", Some(View::FrameFront)),
            ("A-001 label2", Some(View::Label)),
            ("A-001 close-up 3", Some(View::Detail)),
            ("A-001 edge", Some(View::Edge)),
            ("A-001 Backhouse", None),
            ("Aunt Edgeworth", None),
        ] {
            assert_eq!(read_stem(stem).view, view, "{stem}");
        }
    }

    #[test]
    fn alterations_and_copies_are_seen() {
        assert!(read_stem("A-001 front ai").altered);
        assert!(read_stem("A-001-front-colourised").altered);
        assert!(!read_stem("A-001 Aida").altered);
        assert_eq!(read_stem("A-001 captioned").copy, Some(CopyKind::Captioned));
    }

    #[test]
    fn last_parts_that_may_be_views_are_split_off() {
        for (stem, base, suffix) in [
            ("A-001b", "A-001", 'b'),
            ("A-001-2", "A-001", '2'),
            ("A-001 v", "A-001", 'v'),
            ("4471r", "4471", 'r'),
            ("IMG_4471b", "img 4471", 'b'),
            ("marrack_v", "marrack", 'v'),
        ] {
            let reading = read_stem(stem);
            assert_eq!(reading.base.as_deref(), Some(base), "{stem}");
            assert_eq!(reading.suffix, Some(suffix), "{stem}");
        }
        assert_eq!(read_stem("A-001").suffix, None);
        assert_eq!(read_stem("12-2").suffix, None);
        assert_eq!(read_stem("v").suffix, None);
    }

    #[test]
    fn numbers_compare_without_case_and_mark() {
        assert_eq!(number_key("A-001"), number_key("a_001"));
        assert_eq!(number_key("A001"), number_key("A 001"));
        assert_ne!(number_key("1-12"), number_key("11-2"));
    }

    #[test]
    fn folders_of_one_view_or_one_portrait() {
        assert_eq!(view_of_folder("Backs"), Some(View::Back));
        assert_eq!(view_of_folder("back room"), None);
        assert_eq!(number_of_folder("A-001"), Some("A-001".to_owned()));
        assert_eq!(number_of_folder("A-001 man"), Some("A-001".to_owned()));
        assert_eq!(number_of_folder("A-001 to A-005"), None);
        assert_eq!(number_of_folder("2024"), None);
    }

    #[test]
    fn odd_names_never_panic() {
        for stem in [
            "A-",
            "-",
            "...",
            "A-001-",
            "ß9",
            "A-١",
            "a\u{301}1",
            "A-001\u{301}",
        ] {
            let _ = read_stem(stem);
        }
    }
}
