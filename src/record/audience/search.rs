//! Finding names and values in free text, however they are written: other case, other order, accents left off, run together.

use aho_corasick::AhoCorasick;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::OnceLock;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Fewest letters of a part of a name that is searched for alone: shorter ones are in too many words.
const SHORTEST_PART: usize = 3;

/// Fewest letters of a name that is searched for without the blanks in it, as people write file names.
const SHORTEST_JOINED: usize = 6;

/// Most signs other than blanks between two words of one name: "Venn, Saskia", "Venn-Marrack".
const WIDEST_GAP: usize = 2;

/// Words that stand in names and belong to nobody.
const PARTICLES: [&str; 16] = [
    "the", "and", "von", "van", "der", "den", "del", "des", "dos", "mac", "mrs", "miss", "rev",
    "captain", "lady", "sir",
];

/// One thing that is searched for.
#[derive(Debug, Clone)]
struct Wanted<M> {
    words: Vec<String>,
    /// A single word is met only where it is written as a name is.
    needs_capital: bool,
    meaning: M,
}

/// What was found, and where in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found<M> {
    pub(super) range: Range<usize>,
    pub(super) meaning: M,
}

/// Searches texts for many things at once.
#[derive(Debug, Clone)]
pub(super) struct Searcher<M> {
    wanted: Vec<Wanted<M>>,
    by_first: BTreeMap<String, Vec<usize>>,
    joined: Vec<(String, usize)>,
    /// Finds all of `joined` in one go; made when it is first asked for.
    joined_finder: OnceLock<Option<AhoCorasick>>,
}

impl<M> Default for Searcher<M> {
    fn default() -> Self {
        Self {
            wanted: Vec::new(),
            by_first: BTreeMap::new(),
            joined: Vec::new(),
            joined_finder: OnceLock::new(),
        }
    }
}

impl<M: Clone> Searcher<M> {
    /// Adds a person's name in both orders, and each part of it that `is_free` does not give to somebody else.
    pub(super) fn add_name(&mut self, name: &str, meaning: &M, is_free: impl Fn(&str) -> bool) {
        let words: Vec<String> = words(name).into_iter().map(|word| word.folded).collect();
        if let Some((family, given)) = words.split_last()
            && !given.is_empty()
        {
            let turned = std::iter::once(family.clone()).chain(given.iter().cloned());
            self.add(turned.collect(), false, meaning);
        }
        for part in &words {
            let is_part = part.chars().count() >= SHORTEST_PART
                && !PARTICLES.contains(&part.as_str())
                && !part.chars().all(|one| one.is_ascii_digit());
            if words.len() > 1 && is_part && !is_free(part) {
                self.add(vec![part.clone()], true, meaning);
            }
        }
        let joined = words.concat();
        if joined.chars().count() >= SHORTEST_JOINED || joined.chars().any(is_without_blanks) {
            self.joined.push((joined, self.wanted.len()));
            self.joined_finder = OnceLock::new();
        }
        let is_single = words.len() == 1;
        self.add(words, is_single, meaning);
    }

    /// Adds a text that is searched for as it stands, word by word.
    pub(super) fn add_text(&mut self, text: &str, meaning: &M) {
        let words = words(text).into_iter().map(|word| word.folded).collect();
        self.add(words, false, meaning);
    }

    fn add(&mut self, words: Vec<String>, needs_capital: bool, meaning: &M) {
        if let Some(first) = words.first() {
            let place = self.wanted.len();
            self.by_first.entry(first.clone()).or_default().push(place);
        }
        self.wanted.push(Wanted {
            words,
            needs_capital,
            meaning: meaning.clone(),
        });
    }

    /// Returns everything that is found, in the order of the text. `is_loose` finds single words in lower case too, as file names
    /// have them.
    pub(super) fn find(&self, text: &str, is_loose: bool) -> Vec<Found<M>> {
        if self.wanted.is_empty() {
            return Vec::new();
        }
        let words = words(text);
        let mut found: Vec<Found<M>> = Vec::new();
        for (place, word) in words.iter().enumerate() {
            for index in self.by_first.get(&word.folded).into_iter().flatten() {
                let rest = words.get(place..).unwrap_or_default();
                found.extend(self.match_at(*index, rest, text, is_loose));
            }
            found.extend(self.inside(word));
        }
        // A part of a name that stands within somebody's whole name means that somebody.
        let ranges: Vec<Range<usize>> = found.iter().map(|one| one.range.clone()).collect();
        let is_within = |one: &Range<usize>, other: &Range<usize>| {
            other.start <= one.start && one.end <= other.end && other != one
        };
        found.retain(|one| !ranges.iter().any(|other| is_within(&one.range, other)));
        found.sort_by_key(|one| (one.range.start, one.range.end));
        found
    }

    fn match_at(
        &self,
        index: usize,
        rest: &[Word],
        text: &str,
        is_loose: bool,
    ) -> Option<Found<M>> {
        let wanted = self.wanted.get(index)?;
        let run = rest.get(..wanted.words.len())?;
        let (first, last) = (run.first()?, run.last()?);
        let alike = run
            .iter()
            .zip(&wanted.words)
            .all(|(word, wanted)| word.folded == *wanted);
        let together = run
            .windows(2)
            .all(|pair| matches!(pair, [one, next] if is_narrow(text, one, next)));
        let cased = is_loose || !wanted.needs_capital || first.looks_like_a_name;
        (alike && together && cased).then(|| Found {
            range: first.range.start..last.range.end,
            meaning: wanted.meaning.clone(),
        })
    }

    /// Names run together with other letters: "saskiavenn2", or in writing that has no blanks.
    fn inside<'a>(&'a self, word: &'a Word) -> impl Iterator<Item = Found<M>> + 'a {
        let places = self.joined_in(&word.folded).into_iter();
        let wanted = places.filter_map(|place| self.wanted.get(self.joined.get(place)?.1));
        wanted.map(|wanted| Found {
            range: word.range.clone(),
            meaning: wanted.meaning.clone(),
        })
    }

    /// Returns which of the joined names stand in a word, each once. Where there are too many for a finder they are tried one by
    /// one.
    fn joined_in(&self, word: &str) -> BTreeSet<usize> {
        let finder = self.joined_finder.get_or_init(|| {
            let names = self.joined.iter().map(|(joined, _)| joined);
            AhoCorasick::new(names).ok()
        });
        match finder {
            Some(finder) => {
                let found = finder.find_overlapping_iter(word);
                found.map(|one| one.pattern().as_usize()).collect()
            }
            None => {
                let joined = self.joined.iter().enumerate();
                let within = joined.filter(|(_, (joined, _))| word.contains(joined.as_str()));
                within.map(|(place, _)| place).collect()
            }
        }
    }
}

fn is_narrow(text: &str, one: &Word, next: &Word) -> bool {
    let gap = text
        .get(one.range.end..next.range.start)
        .unwrap_or_default();
    gap.chars().filter(|sign| !sign.is_whitespace()).count() <= WIDEST_GAP
}

/// Writing in which words are not kept apart by blanks.
fn is_without_blanks(one: char) -> bool {
    one.is_alphabetic() && u32::from(one) >= 0x2E80
}

/// A run of letters and digits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    pub(super) range: Range<usize>,
    /// Lower case, accents left off.
    pub(super) folded: String,
    /// Begins with a capital, or is of a writing without capitals.
    pub(super) looks_like_a_name: bool,
}

/// Returns the words of a text.
pub(super) fn words(text: &str) -> Vec<Word> {
    let mut found = Vec::new();
    let mut start = None;
    for (place, one) in text.char_indices() {
        let belongs = one.is_alphanumeric() || is_combining_mark(one);
        match (start, belongs) {
            (None, true) => start = Some(place),
            (Some(from), false) => {
                found.extend(word(text, from..place));
                start = None;
            }
            _ => {}
        }
    }
    found.extend(start.and_then(|from| word(text, from..text.len())));
    found
}

fn word(text: &str, range: Range<usize>) -> Option<Word> {
    let raw = text.get(range.clone())?;
    Some(Word {
        range,
        folded: folded(raw),
        looks_like_a_name: raw.chars().next().is_some_and(|one| !one.is_lowercase()),
    })
}

fn folded(text: &str) -> String {
    text.nfkd()
        .filter(|one| !is_combining_mark(*one))
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn searcher() -> Searcher<&'static str> {
        let mut searcher = Searcher::default();
        searcher.add_name("Saskia Venn", &"saskia", |part| part == "marrack");
        searcher.add_name("Zoë Marrack", &"zoe", |part| part == "marrack");
        searcher.add_name("佐藤花子", &"sato", |_| false);
        searcher.add_text("3 Quarry Lane", &"address");
        searcher
    }

    fn found(text: &str) -> Vec<&'static str> {
        let mut found: Vec<&str> = searcher()
            .find(text, false)
            .into_iter()
            .map(|one| one.meaning)
            .collect();
        found.dedup();
        found
    }

    #[test]
    fn names_are_found_however_they_are_written() {
        for text in [
            "Saskia Venn",
            "SASKIA  VENN",
            "Venn, Saskia",
            "saskia\nvenn",
            "from Saskia's album",
            "the Venn house",
            "see saskiavenn_2.jpg",
            "Saskia-Venn",
        ] {
            assert_eq!(found(text), ["saskia"], "{text}");
        }
        assert_eq!(found("Zoe, 1999"), ["zoe"]);
        assert_eq!(found("Zoe\u{308} Marrack"), ["zoe"]);
        assert_eq!(found("これは佐藤花子です"), ["sato"]);
        assert_eq!(found("at 3, quarry lane"), ["address"]);
    }

    #[test]
    fn what_is_not_a_name_is_left_alone() {
        for text in [
            "a venn diagram",
            "Marrack",
            "Revenna",
            "quarry lane",
            "13 Quarry Lane",
        ] {
            assert_eq!(found(text), Vec::<&str>::new(), "{text}");
        }
    }

    /// Short parts, particles and numbers are in too many words; a whole name is searched for with all of them.
    #[test]
    fn only_telling_parts_of_a_name_are_searched_alone() {
        let mut searcher = Searcher::default();
        searcher.add_name("Jo van Marrack 3rd 1901", &"jo", |_| false);
        searcher.add_name("Al Ng", &"al", |_| false);
        let count = |text: &str| searcher.find(text, false).len();
        for text in ["Jo", "Van Dyck", "1901", "Al", "Ng", "an algebra lesson"] {
            assert_eq!(count(text), 0, "{text}");
        }
        for text in ["Marrack", "Al Ng", "Ng, Al", "Jo van Marrack 3rd 1901"] {
            assert_eq!(count(text), 1, "{text}");
        }
    }

    /// A short name is in too many words to be searched for within them, unless its writing has no blanks.
    #[test]
    fn only_long_names_are_found_within_a_word() {
        let mut searcher = Searcher::default();
        for name in ["Ada", "Al Ng", "Cecily", "花子"] {
            searcher.add_name(name, &name, |_| true);
        }
        let count = |text: &str| searcher.find(text, true).len();
        assert_eq!(count("Canada, Falnge"), 0);
        assert_eq!(count("mycecily2.jpg"), 1);
        assert_eq!(count("これは花子です"), 1);
    }

    #[test]
    fn words_of_one_thing_stand_near_each_other() {
        for text in [
            "at 3,    quarry lane",
            "3 (quarry lane)",
            "3\n\nQuarry\tLane",
        ] {
            assert_eq!(found(text), ["address"], "{text}");
        }
        for text in ["3 ... quarry lane", "3, 4 quarry lane"] {
            assert_eq!(found(text), Vec::<&str>::new(), "{text}");
        }
    }

    #[test]
    fn ranges_cover_what_was_found() {
        let text = "To Saskia Venn, with love";
        let all = searcher().find(text, false);
        assert!(
            all.iter()
                .any(|one| &text[one.range.clone()] == "Saskia Venn")
        );
        assert!(searcher().find("venn-1999.jpg", true).len() == 1);
    }
}
