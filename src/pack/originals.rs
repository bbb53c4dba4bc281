//! Originals: copied as they are, under a name that says which portrait and view they show.

use super::PackError;
use super::contents::Contents;
use super::direct;
use super::naming::plain;
use super::several;
use crate::crew;
use crate::fixity;
use crate::fixity::Room;
use crate::progress::Progress;
use crate::record::Scan;
use crate::store;
use crate::store::SourceFile;
use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::path::Path;

/// Longest part of an original's own name that is kept, in characters.
const LONGEST_OWN_NAME: usize = 60;

/// From this length on originals are copied last, the largest first, so that no thread is left with a long one at the end.
const LARGE: u64 = 8 * 1024 * 1024;

/// Small originals that one thread copies at a time.
const TOGETHER: usize = 64;

/// So many small ones at most are copied in step by one thread.
const SMALL_IN_STEP: usize = 8;

/// So many large ones at most are: each needs more than a megabyte of memory.
const LARGE_IN_STEP: usize = 4;

/// Where an original went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Original {
    /// Its place in the collection.
    pub(super) from: String,
    /// Its place in the package.
    pub(super) path: String,
}

/// Decides where each original goes: `data/originals/NUMBER/own-name`, unique even where case does not count.
pub(super) fn places(scans: &[Scan]) -> Vec<Original> {
    let mut taken = BTreeSet::new();
    scans
        .iter()
        .map(|scan| Original {
            from: scan.file.clone(),
            path: place(scan, &mut taken),
        })
        .collect()
}

fn place(scan: &Scan, taken: &mut BTreeSet<String>) -> String {
    let folder = scan.portrait.given().map_or_else(
        || "unassigned".to_owned(),
        |number| plain(number.as_str(), LONGEST_OWN_NAME),
    );
    let own = scan.file.rsplit('/').next().unwrap_or(&scan.file);
    let (stem, extension) = own.rsplit_once('.').unwrap_or((own, ""));
    let extension = plain(extension, 8).to_lowercase();
    let stem = plain(stem, LONGEST_OWN_NAME);
    for count in 1_u32.. {
        let suffix = if count == 1 {
            String::new()
        } else {
            format!("-{count}")
        };
        let path = format!("data/originals/{folder}/{stem}{suffix}.{extension}");
        if taken.insert(path.to_lowercase()) {
            return path;
        }
    }
    String::new()
}

/// Copies the originals on several threads.
pub(super) fn copy(
    contents: &Contents<'_>,
    root: &Path,
    originals: &[Original],
    threads: usize,
    progress: &dyn Progress,
) -> Result<(), PackError> {
    progress.begin(
        "Copying originals",
        u64::try_from(originals.len()).unwrap_or_default(),
    );
    if contents.has_zip() {
        let done = direct::copy(contents, root, originals, threads, progress);
        progress.end();
        return done;
    }
    let work = Work {
        contents,
        root,
        progress,
    };
    let in_step =
        |count, at_most| fixity::files_in_step(count, threads, contents.algorithms(), at_most);
    let alternates = store::seeks_freely(root);
    let at_once = in_step(originals.len(), SMALL_IN_STEP);
    let room = || Room::of(at_once, alternates);
    let small = crew::share_with(&stretches(originals), threads, room, |room, some| {
        work.small(some, room)
    });
    let mut large: Vec<(u64, &Original)> = Vec::new();
    for aside in small {
        large.extend(aside?);
    }
    large.sort_by_key(|(length, _)| Reverse(*length));
    let at_once = in_step(large.len(), if alternates { LARGE_IN_STEP } else { 1 });
    let groups: Vec<_> = large.chunks(at_once).collect();
    let results = crew::share(&groups, threads, |group| work.large(group));
    progress.end();
    results.into_iter().collect()
}

/// Cuts originals into stretches of few, each in one folder: threads that make files in the same folder wait for each other.
fn stretches(originals: &[Original]) -> Vec<&[Original]> {
    let folder = |one: &Original| one.path.rfind('/');
    originals
        .chunk_by(|one, next| {
            let (end, next_end) = (folder(one), folder(next));
            end == next_end && one.path.get(..end.unwrap_or(0)) == next.path.get(..end.unwrap_or(0))
        })
        .flat_map(|of_one_folder| of_one_folder.chunks(TOGETHER))
        .collect()
}

struct Work<'a> {
    contents: &'a Contents<'a>,
    root: &'a Path,
    progress: &'a dyn Progress,
}

impl Work<'_> {
    /// Copies the small ones of a stretch; returns the others with their lengths.
    fn small<'o>(
        &self,
        originals: &'o [Original],
        room: &mut Room,
    ) -> Result<Vec<(u64, &'o Original)>, PackError> {
        let mut aside = Vec::new();
        let small = originals.iter().filter_map(|original| {
            let opened = self.open(original);
            match opened.as_ref().map(SourceFile::length) {
                Ok(length @ LARGE..) => {
                    aside.push((length, original));
                    None
                }
                _ => Some(opened.map(|source| (source, &*original.path))),
            }
        });
        several::copy(self.contents, small, room, self.progress)?;
        Ok(aside)
    }

    fn large(&self, group: &[(u64, &Original)]) -> Result<(), PackError> {
        let originals = group
            .iter()
            .map(|(_, original)| Ok((self.open(original)?, &*original.path)));
        let mut room = Room::of(group.len(), true);
        several::copy(self.contents, originals, &mut room, self.progress)
    }

    fn open(&self, original: &Original) -> Result<SourceFile, PackError> {
        Ok(store::open_again(&self.root.join(&original.from))?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;

    fn scan(file: &str, portrait: &str) -> Scan {
        Scan {
            file: file.to_owned(),
            portrait: Answer::Given(portrait.into()),
            ..Scan::default()
        }
    }

    #[test]
    fn names_stay_apart_where_case_does_not_count() {
        let places = places(&[
            scan("a/IMG_1.JPG", "A-001"),
            scan("b/img_1.jpg", "A-001"),
            scan("Zoë.tif", "A-002"),
        ]);
        let paths: Vec<&str> = places.iter().map(|one| one.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "data/originals/A-001/IMG_1.jpg",
                "data/originals/A-001/img_1-2.jpg",
                "data/originals/A-002/Zo.tif"
            ]
        );
    }
}
