//! Files that are the same, pictures that are the same, and prints that may be of one negative.

use super::alike;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::survey::pictures::Front;
use crate::survey::seen::FileSeen;
use std::collections::BTreeSet;
use std::collections::HashMap;

/// Most pairs that are asked about one by one.
const MOST_QUESTIONS: usize = 200;

/// Reports files that are the same byte for byte.
pub(super) fn same_files(files: &[FileSeen], concerns: &mut ConcernList) {
    let mut first: HashMap<&str, &str> = HashMap::new();
    for seen in files {
        let Some(sha256) = &seen.sha256 else { continue };
        match first.get(sha256.as_str()) {
            None => {
                first.insert(sha256, &seen.file);
            }
            Some(other) => concerns.warning(
                "exact-duplicate",
                Place::file(&seen.file),
                format!("This file is byte for byte the same as “{other}”."),
                "Keep one of them in the collection; if both are meant, nothing need be done.",
            ),
        }
    }
}

/// Asks about different files with one and the same picture. Described copies are meant to be so.
pub(super) fn same_pictures(files: &[FileSeen], concerns: &mut ConcernList) {
    let mut first: HashMap<&str, &FileSeen> = HashMap::new();
    for seen in files.iter().filter(|seen| !seen.is_described) {
        let Some(digest) = &seen.picture_digest else {
            continue;
        };
        match first.get(digest.as_str()) {
            None => {
                first.insert(digest, seen);
            }
            Some(other) if other.sha256 != seen.sha256 => concerns.question(
                "same-picture",
                Place::file(&seen.file),
                format!(
                    "The picture in this file is exactly that of “{}”; only what is written inside differs.",
                    other.file
                ),
                "Is one of them a copy in which somebody typed a title? Then keep the older one as the scan.",
            ),
            Some(_) => {}
        }
    }
}

/// Asks whether the fronts of two portraits are prints of one negative. A likeness of pictures, never an answer.
pub(super) fn perhaps_one_negative(
    fronts: &[Front],
    files: &[FileSeen],
    concerns: &mut ConcernList,
) {
    let digests: HashMap<&str, Option<&str>> = files
        .iter()
        .map(|seen| (seen.file.as_str(), seen.picture_digest.as_deref()))
        .collect();
    let digest = |front: &Front| digests.get(front.file.as_str()).copied().flatten();
    let known: Vec<(&Front, u64)> = fronts
        .iter()
        .filter_map(|front| Some((front, front.fingerprint?)))
        .collect();
    let fingerprints: Vec<u64> = known.iter().map(|(_, fingerprint)| *fingerprint).collect();
    let mut asked = 0_usize;
    let mut first = BTreeSet::new();
    let front = |at: usize| known.get(at).map(|(front, _)| *front);
    alike::each_pair(&fingerprints, |one, other| {
        if front(one).map(digest) != front(other).map(digest) {
            asked = asked.saturating_add(1);
            first.insert((one, other));
            if first.len() > MOST_QUESTIONS {
                first.pop_last();
            }
        }
    });
    let mut told = BTreeSet::new();
    for (one, other) in first {
        if let (Some(one), Some(other)) = (front(one), front(other))
            && told.insert((&one.portrait, &other.portrait))
        {
            ask(one, other, concerns);
        }
    }
    if asked > MOST_QUESTIONS {
        concerns.note(
            "more-alike-pictures",
            Place::unknown(),
            format!(
                "{asked} pairs of portraits look alike; the first {MOST_QUESTIONS} are named above."
            ),
            "Settle those first, then run this again.",
        );
    }
}

fn ask(one: &Front, other: &Front, concerns: &mut ConcernList) {
    concerns.question(
        "perhaps-same-negative",
        Place::file(&other.file).of_portrait(&other.portrait),
        format!(
            "The front of {} looks much like that of {} (“{}”).",
            other.portrait, one.portrait, one.file
        ),
        "Are they prints of one negative, or one a copy of the other? If so, say it in “Belongs with” or “Copy of”.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(file: &str, sha256: &str, digest: &str, is_described: bool) -> FileSeen {
        FileSeen {
            file: file.to_owned(),
            sha256: Some(sha256.to_owned()),
            picture_digest: Some(digest.to_owned()),
            is_described,
            ..FileSeen::default()
        }
    }

    #[test]
    fn same_files_and_same_pictures_are_told_apart() {
        let files = [
            seen("a", "1", "x", false),
            seen("b", "1", "x", false),
            seen("c", "2", "x", false),
            seen("d", "3", "x", true),
        ];
        let mut concerns = ConcernList::default();
        same_files(&files, &mut concerns);
        same_pictures(&files, &mut concerns);
        let told: Vec<_> = concerns
            .iter()
            .map(|concern| {
                (
                    concern.code.as_ref(),
                    concern.place.file.as_deref().unwrap(),
                )
            })
            .collect();
        assert_eq!(told, [("exact-duplicate", "b"), ("same-picture", "c")]);
    }
}
