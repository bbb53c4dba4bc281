//! Groups picture files into portraits and views by their names and folders alone. All of it is a proposal for the person to
//! check; nothing here looks at a picture, and nothing here ever names a person.

mod name;
mod order;
mod source;
mod words;

pub(in crate::survey) use order::natural_key;

use crate::portable_path;
use crate::record::CopyKind;
use crate::record::PortraitNumber;
use crate::record::View;
use name::NameReading;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::btree_map::Entry;

/// What the catalogue says already; it wins over every guess.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The numbers of its portraits.
    pub portraits: Vec<PortraitNumber>,
    /// Its files and the portraits that they show.
    pub files: Vec<(String, PortraitNumber)>,
}

/// Where a file is proposed to belong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placement {
    /// The file.
    pub file: String,
    /// The portrait.
    pub portrait: PortraitNumber,
    /// Whether the number was made up, because no name or folder gave one.
    pub number_proposed: bool,
    /// The view.
    pub view: View,
    /// Whether a word says so; otherwise the view is a guess.
    pub view_named: bool,
    /// The kind of copy.
    pub copy: CopyKind,
    /// The file that it was altered from, when the names leave no doubt.
    pub altered_from: Option<String>,
    /// The name of the file when a machine gave it.
    pub camera_name: Option<String>,
}

/// One file on its way to a portrait.
struct Candidate<'a> {
    file: &'a str,
    /// The folder that names without an object number belong to.
    scope: String,
    reading: NameReading,
    folder_number: Option<String>,
    /// The folder's own name, for files called "front" and "back" alone.
    folder_words: String,
}

/// What makes two files one portrait.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    /// An object number, the same everywhere in the collection.
    Number(String),
    /// A number of digits alone, or words, within one folder.
    Local(String, String),
}

/// Proposes portrait and view for every new file, in the natural order of their names.
#[must_use]
pub fn group(new_files: &[&str], known: &Known) -> Vec<Placement> {
    let mut files: Vec<&str> = new_files.to_vec();
    files.sort_by_cached_key(|file| natural_key(file));
    let stems: BTreeSet<String> = files
        .iter()
        .copied()
        .chain(known.files.iter().map(|(file, _)| file.as_str()))
        .map(folded_stem)
        .collect();
    let candidates: Vec<Candidate<'_>> = files.iter().map(|file| candidate(file, &stems)).collect();
    let suffixes = suffixes(&candidates);
    let mut numbering = Numbering::new(known, &stems, &candidates);
    let mut placements: Vec<Placement> = candidates
        .iter()
        .map(|candidate| place(candidate, &suffixes, &mut numbering))
        .collect();
    source::find_sources(&mut placements, known);
    placements
}

/// Reads folders and name of one file.
fn candidate<'a>(file: &'a str, stems: &BTreeSet<String>) -> Candidate<'a> {
    let (folder, name) = file.rsplit_once('/').unwrap_or(("", file));
    let stem = original_stem(folder, stem_of(name), stems);
    let mut reading = name::read_stem(stem);
    let mut scope = folder;
    // "backs/A-001.jpg": the folder names the view and nothing else.
    let last = scope.rsplit('/').next().unwrap_or(scope);
    let view = name::view_of_folder(last);
    let altered = name::is_alteration_folder(last);
    if view.is_some() || altered {
        reading.view = reading.view.or(view);
        reading.altered |= altered;
        scope = scope.rsplit_once('/').map_or("", |(above, _)| above);
    }
    let last = scope.rsplit('/').next().unwrap_or(scope);
    Candidate {
        file,
        scope: portable_path::fold(scope),
        reading,
        folder_number: name::number_of_folder(last),
        folder_words: name::words_of(last).join(" "),
    }
}

/// Returns a stem without " (1)" or " - Copy", when the file that it was copied from lies beside it.
fn original_stem<'a>(folder: &str, stem: &'a str, stems: &BTreeSet<String>) -> &'a str {
    let counted = stem
        .strip_suffix(')')
        .map(|inner| inner.trim_end_matches(|c: char| c.is_ascii_digit()))
        .and_then(|inner| inner.strip_suffix('('));
    let copied = [" - Copy", " copy", "-copy", "_copy"]
        .into_iter()
        .find_map(|ending| stem.strip_suffix(ending));
    counted
        .or(copied)
        .map(str::trim_end)
        .filter(|original| !original.is_empty() && stems.contains(&stem_key(folder, original)))
        .unwrap_or(stem)
}

fn stem_of(name: &str) -> &str {
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}

fn folded_stem(file: &str) -> String {
    let (folder, name) = file.rsplit_once('/').unwrap_or(("", file));
    stem_key(folder, stem_of(name))
}

fn stem_key(folder: &str, stem: &str) -> String {
    portable_path::fold(&format!("{folder}/{stem}"))
}

/// Which last parts stand behind each base, so that pairs can be told from lone ones.
type Suffixes = BTreeMap<Key, BTreeSet<char>>;

fn suffixes(candidates: &[Candidate<'_>]) -> Suffixes {
    let mut found = Suffixes::new();
    for candidate in candidates {
        let reading = &candidate.reading;
        if reading.view.is_some() || reading.altered {
            continue;
        }
        match (&reading.base, reading.suffix) {
            (Some(base), Some(suffix)) => {
                let key = key_of(candidate, base, reading.number.is_some());
                found.entry(key).or_default().insert(suffix);
            }
            _ => {
                // The bare name counts as "no last part", so that `A-001.jpg` and `A-001b.jpg` can be a pair.
                found
                    .entry(belonging(candidate).key)
                    .or_default()
                    .insert(' ');
            }
        }
    }
    found
}

/// Returns the view that a last part stands for, or nothing when that is not clear.
fn view_of_suffix(all: &BTreeSet<char>, suffix: char) -> Option<View> {
    let text: String = all.iter().collect();
    match (text.as_str(), suffix) {
        ("rv", 'r') | ("r", 'r') | ("ab", 'a') | ("bf", 'f') | ("12", '1') => Some(View::Front),
        ("rv", 'v') | ("v" | " v", 'v') | ("ab" | "bf" | " b", 'b') | ("12", '2') => {
            Some(View::Back)
        }
        _ => None,
    }
}

fn key_of(candidate: &Candidate<'_>, text: &str, is_number: bool) -> Key {
    let key = name::number_key(text);
    if is_number && text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        Key::Number(key)
    } else {
        Key::Local(
            candidate.scope.clone(),
            if is_number { key } else { text.to_owned() },
        )
    }
}

/// What a file's whole name belongs to, and the number to show for it.
struct Belonging {
    key: Key,
    shown: Option<String>,
}

/// Reads where a file belongs when its whole name counts.
fn belonging(candidate: &Candidate<'_>) -> Belonging {
    let reading = &candidate.reading;
    let local = |text: String| Key::Local(candidate.scope.clone(), text);
    match (&reading.number, &candidate.folder_number) {
        (Some(number), _) if number.starts_with(|c: char| c.is_ascii_alphabetic()) => Belonging {
            key: Key::Number(name::number_key(number)),
            shown: Some(number.clone()),
        },
        (_, Some(folder)) => Belonging {
            key: Key::Number(name::number_key(folder)),
            shown: Some(folder.clone()),
        },
        (Some(number), None) => Belonging {
            key: local(name::number_key(number)),
            shown: Some(number.clone()),
        },
        (None, None) if reading.rest.is_empty() => Belonging {
            key: local(format!("/{}", candidate.folder_words)),
            shown: None,
        },
        (None, None) => Belonging {
            key: local(reading.rest.clone()),
            shown: None,
        },
    }
}

/// Reads where a file belongs, and its view when a last part such as `b` or `v` stands for one.
fn belonging_in_pairs(candidate: &Candidate<'_>, suffixes: &Suffixes) -> (Belonging, Option<View>) {
    let whole = belonging(candidate);
    let reading = &candidate.reading;
    let (Some(base), Some(suffix), None) = (&reading.base, reading.suffix, reading.view) else {
        return (whole, None);
    };
    let key = key_of(candidate, base, reading.number.is_some());
    let view = suffixes
        .get(&key)
        .and_then(|all| view_of_suffix(all, suffix));
    // Letters behind a number are parts of one object; digits behind it may be objects of their own.
    let part = suffix.is_ascii_alphabetic() && reading.number.is_some();
    let in_numbered_folder = matches!(key, Key::Local(..)) && candidate.folder_number.is_some();
    if in_numbered_folder || (view.is_none() && !part) {
        return (whole, view);
    }
    let shown = reading.number.as_ref().map(|_| base.clone());
    (Belonging { key, shown }, view)
}

fn place(
    candidate: &Candidate<'_>,
    suffixes: &Suffixes,
    numbering: &mut Numbering<'_>,
) -> Placement {
    let reading = &candidate.reading;
    let (belonging, paired) = belonging_in_pairs(candidate, suffixes);
    let (portrait, number_proposed) = numbering.number(belonging);
    let altered = reading.altered;
    Placement {
        file: candidate.file.to_owned(),
        portrait,
        number_proposed,
        view: if altered {
            View::AlteredCopy
        } else {
            reading.view.or(paired).unwrap_or(View::Front)
        },
        view_named: altered || reading.view.is_some(),
        copy: if altered {
            CopyKind::Altered
        } else {
            reading.copy.unwrap_or(CopyKind::Untouched)
        },
        altered_from: None,
        camera_name: reading
            .from_camera
            .then(|| file_name(candidate.file).to_owned()),
    }
}

fn file_name(file: &str) -> &str {
    file.rsplit('/').next().unwrap_or(file)
}

/// Gives each key its portrait's number, once.
struct Numbering<'k> {
    /// The catalogue's portraits by the form in which numbers are compared; the first of a number counts.
    in_catalogue: BTreeMap<String, &'k PortraitNumber>,
    given: BTreeMap<Key, (PortraitNumber, bool)>,
    /// The numbers that were given, in the form in which they are compared.
    used: BTreeSet<String>,
    taken: BTreeSet<String>,
    next: u32,
}

impl<'k> Numbering<'k> {
    fn new(known: &'k Known, stems: &BTreeSet<String>, candidates: &[Candidate<'_>]) -> Self {
        let numbers = known
            .portraits
            .iter()
            .chain(known.files.iter().map(|(_, number)| number));
        let mut taken: BTreeSet<String> = numbers
            .map(|number| name::number_key(number.as_str()))
            .collect();
        // A made-up number must not meet one that a name further down gives.
        taken.extend(
            candidates.iter().filter_map(|candidate| {
                Some(name::number_key(candidate.reading.number.as_deref()?))
            }),
        );
        let mut in_catalogue = BTreeMap::new();
        for number in &known.portraits {
            let key = name::number_key(number.as_str());
            in_catalogue.entry(key).or_insert(number);
        }
        let mut numbering = Self {
            in_catalogue,
            given: BTreeMap::new(),
            used: BTreeSet::new(),
            taken,
            next: 1,
        };
        for (file, number) in &known.files {
            let key = belonging(&candidate(file, stems)).key;
            numbering.give(key, (number.clone(), false));
        }
        numbering
    }

    /// Gives a key its number, unless it has one.
    fn give(&mut self, key: Key, given: (PortraitNumber, bool)) {
        if let Entry::Vacant(free) = self.given.entry(key) {
            self.used.insert(name::number_key(given.0.as_str()));
            free.insert(given);
        }
    }

    fn number(&mut self, belonging: Belonging) -> (PortraitNumber, bool) {
        if let Some(given) = self.given.get(&belonging.key) {
            return given.clone();
        }
        let given = match &belonging.shown {
            Some(text) => self.named(&belonging.key, text),
            None => self.proposed(),
        };
        self.give(belonging.key, given.clone());
        given
    }

    /// Returns the catalogue's own spelling of a number, or the file's.
    fn named(&mut self, key: &Key, text: &str) -> (PortraitNumber, bool) {
        let wanted = name::number_key(text);
        match (self.in_catalogue.get(&wanted), key) {
            (Some(number), _) => ((*number).clone(), false),
            // "001" in two folders is two portraits; the second cannot have the same number.
            (None, Key::Local(..)) if self.used.contains(&wanted) => self.proposed(),
            (None, _) => (PortraitNumber::new(text), false),
        }
    }

    fn proposed(&mut self) -> (PortraitNumber, bool) {
        loop {
            let text = format!("P-{:03}", self.next);
            self.next = self.next.saturating_add(1);
            if self.taken.insert(name::number_key(&text)) || self.next == u32::MAX {
                return (PortraitNumber::new(text), true);
            }
        }
    }
}

#[cfg(test)]
mod tests;
