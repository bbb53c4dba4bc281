//! Names in the bare bytes of a file: comments, text chunks, notes of programs, wherever no description is read from.

use aho_corasick::AhoCorasick;
use std::collections::BTreeSet;
use std::io;
use std::io::Read;

/// Shortest form of a name that is searched for, in bytes: shorter ones turn up in coded pictures by chance.
const SHORTEST: usize = 8;

/// How much of a file is looked at in one go, in bytes.
const WINDOW: usize = 256 * 1024;

/// Searches bytes for whole names in the encodings that programs write.
#[derive(Debug)]
pub(super) struct Needles {
    automaton: Option<AhoCorasick>,
    whose: Vec<usize>,
    longest: usize,
}

impl Needles {
    /// Takes in names.
    pub(super) fn new<'a>(names: impl IntoIterator<Item = &'a str>) -> Self {
        let mut forms: Vec<Vec<u8>> = Vec::new();
        let mut whose = Vec::new();
        for (index, name) in names.into_iter().enumerate() {
            for form in encoded(name) {
                if form.len() >= SHORTEST {
                    forms.push(form);
                    whose.push(index);
                }
            }
        }
        let longest = forms.iter().map(Vec::len).max().unwrap_or_default();
        let automaton = (!forms.is_empty())
            .then(|| {
                AhoCorasick::builder()
                    .ascii_case_insensitive(true)
                    .build(&forms)
                    .ok()
            })
            .flatten();
        Self {
            automaton,
            whose,
            longest,
        }
    }

    /// Returns which of the names stand somewhere in the bytes.
    ///
    /// # Errors
    /// Gives the reader's error.
    pub(super) fn find(&self, mut reader: impl Read) -> io::Result<BTreeSet<usize>> {
        let mut found = BTreeSet::new();
        let Some(automaton) = &self.automaton else {
            return Ok(found);
        };
        // What was read last stays at the front, so that a name across two windows is met.
        let mut window: Vec<u8> = Vec::with_capacity(WINDOW.saturating_add(self.longest));
        loop {
            let limit = u64::try_from(WINDOW).unwrap_or(u64::MAX);
            let count = reader.by_ref().take(limit).read_to_end(&mut window)?;
            for hit in automaton.find_overlapping_iter(&window) {
                found.extend(self.whose.get(hit.pattern().as_usize()));
            }
            if count == 0 {
                return Ok(found);
            }
            let done = window.len().saturating_sub(self.longest);
            window.drain(..done);
        }
    }
}

/// UTF-8, UTF-16 in both orders, Latin-1.
fn encoded(name: &str) -> Vec<Vec<u8>> {
    let units: Vec<u16> = name.encode_utf16().collect();
    let mut forms = vec![
        name.as_bytes().to_vec(),
        units.iter().flat_map(|unit| unit.to_le_bytes()).collect(),
        units.iter().flat_map(|unit| unit.to_be_bytes()).collect(),
    ];
    let latin: Option<Vec<u8>> = name
        .chars()
        .map(|one| u8::try_from(u32::from(one)).ok())
        .collect();
    forms.extend(latin.filter(|latin| latin.as_slice() != name.as_bytes()));
    forms
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Gives one byte at a time.
    struct Slow<'a>(&'a [u8]);

    impl Read for Slow<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.0.len().min(buffer.len()).min(1);
            let (now, later) = self.0.split_at(count);
            buffer[..count].copy_from_slice(now);
            self.0 = later;
            Ok(count)
        }
    }

    #[test]
    fn names_are_met_in_every_encoding_and_across_windows() {
        let needles = Needles::new(["Zoë Venning", "Saskia Venn", "Odo"]);
        for form in encoded("Zoë Venning") {
            for before in [0, 3, WINDOW - 5, WINDOW, 2 * WINDOW - 7] {
                let bytes = [vec![b'.'; before], form.clone(), vec![b'.'; 9]].concat();
                assert_eq!(
                    needles.find(&*bytes).unwrap(),
                    BTreeSet::from([0]),
                    "{before}"
                );
                if before < 10 {
                    assert_eq!(needles.find(Slow(&bytes)).unwrap(), BTreeSet::from([0]));
                }
            }
        }
        let found = needles.find(b"by SASKIA VENN".as_slice()).unwrap();
        assert_eq!(found, BTreeSet::from([1]));
        assert!(
            needles
                .find(b"Odo, Venn, Saskia".as_slice())
                .unwrap()
                .is_empty()
        );
        assert!(
            Needles::new([])
                .find(b"anything".as_slice())
                .unwrap()
                .is_empty()
        );
    }
}
