//! Names of described copies: object number and view, ASCII, unique even where case does not count, never the name of a person.

use crate::record::PortraitNumber;
use crate::record::Scan;
use crate::record::View;
use std::collections::BTreeMap;

/// Longest part of a name that comes from an object number, in characters.
const LONGEST_NUMBER: usize = 40;

/// A scan with the name of its described copy.
#[derive(Debug, Clone, PartialEq)]
pub struct Named<'a> {
    /// The scan.
    pub scan: &'a Scan,
    /// The portrait that it shows.
    pub portrait: PortraitNumber,
    /// The folder below `portraits/`.
    pub folder: String,
    /// The name without ending, for example `A-001-front`.
    pub stem: String,
}

/// Names every scan that is assigned to a portrait, in the order of the record.
#[must_use]
pub fn name_scans(scans: &[Scan]) -> Vec<Named<'_>> {
    let folders = folders(scans);
    let mut taken: BTreeMap<String, u32> = BTreeMap::new();
    let assigned = scans
        .iter()
        .filter_map(|scan| Some((scan, scan.portrait.given()?)));
    assigned
        .map(|(scan, portrait)| {
            let folder = folders.get(portrait).cloned().unwrap_or_default();
            let stem = format!("{folder}-{}", view_word(scan));
            let count = taken.entry(stem.to_lowercase()).or_default();
            *count = count.saturating_add(1);
            let stem = if *count == 1 {
                stem
            } else {
                format!("{stem}-{count}")
            };
            Named {
                scan,
                portrait: portrait.clone(),
                folder,
                stem,
            }
        })
        .collect()
}

/// Gives each portrait a folder; numbers that become the same on some disk get a counter.
fn folders(scans: &[Scan]) -> BTreeMap<PortraitNumber, String> {
    let mut folders = BTreeMap::new();
    let mut taken: BTreeMap<String, u32> = BTreeMap::new();
    for number in scans.iter().filter_map(|scan| scan.portrait.given()) {
        if folders.contains_key(number) {
            continue;
        }
        let plain = plain(number.as_str());
        let count = taken.entry(plain.to_lowercase()).or_default();
        *count = count.saturating_add(1);
        let folder = if *count == 1 {
            plain
        } else {
            format!("{plain}_{count}")
        };
        folders.insert(number.clone(), folder);
    }
    folders
}

/// An altered version says so in its name, since names outlive what is written inside.
fn view_word(scan: &Scan) -> String {
    let view = scan
        .view
        .given()
        .copied()
        .filter(|view| *view != View::AlteredCopy);
    let word = view.map_or("scan", View::word).replace(' ', "-");
    match (scan.is_altered(), view) {
        (false, _) => word,
        (true, None) => "altered".to_owned(),
        (true, Some(_)) => format!("{word}-altered"),
    }
}

fn plain(number: &str) -> String {
    let mut name = String::new();
    for character in number.chars().take(LONGEST_NUMBER) {
        let kept = if character.is_ascii_alphanumeric() || character == '_' {
            character
        } else {
            '-'
        };
        if kept != '-' || !name.ends_with('-') {
            name.push(kept);
        }
    }
    let trimmed = name.trim_matches('-');
    if trimmed.is_empty() || is_device(trimmed) {
        format!("portrait-{trimmed}")
            .trim_end_matches('-')
            .to_owned()
    } else {
        trimmed.to_owned()
    }
}

/// Names that one family of systems keeps for devices, with or without an ending. [RFC8493 6.1.2]
fn is_device(name: &str) -> bool {
    let upper = name.to_ascii_uppercase();
    let numbered = |word: &str| {
        upper
            .strip_prefix(word)
            .is_some_and(|rest| rest.len() == 1 && rest.chars().all(|c| ('1'..='9').contains(&c)))
    };
    matches!(upper.as_str(), "CON" | "PRN" | "AUX" | "NUL") || numbered("COM") || numbered("LPT")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::CopyKind;

    fn scan(portrait: &str, view: View) -> Scan {
        Scan {
            portrait: Answer::Given(portrait.into()),
            view: Answer::Given(view),
            ..Scan::default()
        }
    }

    #[test]
    fn names_are_plain_and_unique_where_case_does_not_count() {
        let mut altered = scan("A-001", View::Front);
        altered.copy_kind = Answer::Given(CopyKind::Altered);
        let scans = [
            scan("A-001", View::Front),
            scan("A-001", View::Front),
            scan("a-001", View::Front),
            scan("Zoë 7/3", View::FrameBack),
            altered,
            scan("A-001", View::AlteredCopy),
            scan("nul", View::Back),
            scan("日本", View::Back),
            Scan::default(),
        ];
        let stems: Vec<String> = name_scans(&scans)
            .into_iter()
            .map(|named| named.stem)
            .collect();
        assert_eq!(
            stems,
            [
                "A-001-front",
                "A-001-front-2",
                "a-001_2-front",
                "Zo-7-3-frame-back",
                "A-001-front-altered",
                "A-001-altered",
                "portrait-nul-back",
                "portrait-back",
            ]
        );
    }
}
