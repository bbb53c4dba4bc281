//! What the package itself knows of its files: its record and its log, as far as both are as they were.

use super::bag::FileState;
use super::tag_files;
use crate::concern::ConcernList;
use crate::record::Collection;
use crate::record::Event;
use crate::record::EventKind;
use crate::record::View;
use crate::store::Holding;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Where the record may stand in a package.
const RECORDS: [&str; 2] = ["data/catalogue/record.json", "data/record.json"];
/// Where the log of events stands.
const LOG: &str = "data/log/events.json";

/// What is known of portraits, views and pictures.
#[derive(Debug, Default)]
pub(super) struct Known {
    portraits: BTreeSet<String>,
    /// Picture digests by path in the package.
    by_path: BTreeMap<String, String>,
    /// All picture digests of the record.
    pictures: BTreeSet<String>,
}

impl Known {
    /// Reads record and log, when a manifest vouches for them.
    pub(super) fn read(holding: &dyn Holding, files: &[FileState]) -> Self {
        let mut known = Self::default();
        let vouched = |path: &str| {
            let position = holding.position(path)?;
            files.get(position).filter(|state| state.is_vouched())?;
            // That a file cannot be read now was told where it was read before.
            tag_files::bytes(holding, path, &mut ConcernList::default())
        };
        for path in RECORDS {
            if let Some(record) =
                vouched(path).and_then(|bytes| serde_json::from_slice::<Collection>(&bytes).ok())
            {
                known.take_record(&record);
            }
        }
        if let Some(events) =
            vouched(LOG).and_then(|bytes| serde_json::from_slice::<Vec<Event>>(&bytes).ok())
        {
            known.take_log(&events);
        }
        known
    }

    fn take_record(&mut self, record: &Collection) {
        let numbers = record.portraits.iter();
        self.portraits
            .extend(numbers.map(|portrait| portrait.number.as_str().to_owned()));
        let digests = record.scans.iter();
        self.pictures
            .extend(digests.filter_map(|scan| scan.facts.picture_digest.clone()));
    }

    fn take_log(&mut self, events: &[Event]) {
        for event in events {
            // A version in another form has a picture of its own.
            let same_picture = event.kind != Some(EventKind::Migration);
            let Some(digest) = event.picture_digest.as_ref().filter(|_| same_picture) else {
                continue;
            };
            self.pictures.insert(digest.to_ascii_lowercase());
            for file in &event.files {
                let path = if tag_files::is_payload(file) {
                    file.clone()
                } else {
                    format!("data/{file}")
                };
                self.by_path.insert(path, digest.to_ascii_lowercase());
            }
        }
    }

    /// Returns the picture digest that the log states for a path.
    pub(super) fn picture_of(&self, path: &str) -> Option<&str> {
        self.by_path.get(path).map(String::as_str)
    }

    /// Tells whether the record knows a picture of this digest.
    pub(super) fn has_picture(&self, hex: &str) -> bool {
        self.pictures.contains(hex)
    }

    /// Returns the portrait and the view that a path names: files in a package are called by number and view.
    pub(super) fn shown_by(&self, path: &str) -> (Option<String>, Option<String>) {
        let mut parts: Vec<&str> = path.split('/').collect();
        let Some(name) = parts.pop() else {
            return (None, None);
        };
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        let folder = parts.last().copied().unwrap_or_default();
        let by_record = self
            .portraits
            .iter()
            .map(|number| (number.as_str(), in_names(number)));
        // The folder of a portrait is called by its number, even when the record cannot be read.
        let has_folder = matches!(parts.get(1), Some(&"portraits" | &"originals"));
        let by_folder = has_folder.then(|| (folder, folder.to_owned()));
        let best = by_folder
            .into_iter()
            .chain(by_record)
            .filter(|(_, name)| !name.is_empty())
            .filter_map(|(number, name)| Some((number, name.len(), after_number(stem, &name)?)))
            .max_by_key(|(_, length, _)| *length);
        let Some((number, _, rest)) = best else {
            return (None, None);
        };
        (Some(number.to_owned()), view(rest))
    }
}

/// Returns a number as it stands in file names, where everything but letters and digits is a hyphen.
fn in_names(number: &str) -> String {
    number
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || c == '_' {
                c
            } else {
                '-'
            }
        })
        .collect()
}

fn after_number<'a>(stem: &'a str, number: &str) -> Option<&'a str> {
    let head = stem.get(..number.len())?;
    let rest = stem.get(number.len()..)?;
    let is_whole = rest.is_empty() || rest.starts_with(['-', '_', ' ']);
    (head.eq_ignore_ascii_case(number) && is_whole).then_some(rest)
}

fn view(rest: &str) -> Option<String> {
    let plain = rest
        .trim_start_matches(['-', '_', ' '])
        .to_ascii_lowercase()
        .replace(['-', '_'], " ");
    View::ALL
        .iter()
        .map(|view| view.word())
        .filter(|word| {
            plain
                .strip_prefix(*word)
                .is_some_and(|after| after.is_empty() || after.starts_with(' '))
        })
        .max_by_key(|word| word.len())
        .map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_names_portrait_and_view() {
        let mut known = Known::default();
        let shown = |known: &Known, path: &str| {
            let (portrait, view) = known.shown_by(path);
            (portrait.unwrap_or_default(), view.unwrap_or_default())
        };
        let path = "data/portraits/A-001/A-001-front.tif";
        assert_eq!(shown(&known, path), ("A-001".into(), "front".into()));
        let path = "data/viewing/A-001-back.jpg";
        assert_eq!(shown(&known, path), (String::new(), String::new()));
        known.portraits = ["A-001", "A-00", "A-001-b"].map(str::to_owned).into();
        assert_eq!(shown(&known, path), ("A-001".into(), "back".into()));
        let path = "data/viewing/A-001-b-frame-front-2.jpg";
        assert_eq!(
            shown(&known, path),
            ("A-001-b".into(), "frame front".into())
        );
        known.portraits = ["A.1/7"].map(str::to_owned).into();
        let path = "data/portraits/A-1-7/A-1-7-front-altered.jpg";
        assert_eq!(shown(&known, path), ("A.1/7".into(), "front".into()));
        assert_eq!(shown(&known, "data/catalogue/record.json").0, "");
    }
}
