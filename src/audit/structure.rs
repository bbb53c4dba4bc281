//! The rules of bags that concern names alone: what has to be there, and which manifest has to list what. [RFC8493 2, 3]

use super::lists::Lists;
use super::report::number;
use super::tag_files::TagFiles;
use super::tag_files::is_payload;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Algorithm;
use crate::format::bagit::Manifest;
use crate::format::bagit::Part;
use crate::format::bagit::bag_info::BagInfo;
use crate::format::bagit::declaration;
use crate::format::bagit::layout::is_litter;
use crate::format::bagit::profile;
use crate::portable_path;
use crate::store::Holding;
use std::hash::DefaultHasher;
use std::hash::Hash;
use std::hash::Hasher;

/// Names that are told one by one; of more, the number is told.
const TOLD_ONE_BY_ONE: usize = 20;

const ANOTHER_COPY: &str = "Compare with another copy of the bag.";

/// Checks everything that can be told from names.
pub(super) fn check(
    holding: &dyn Holding,
    tags: &TagFiles,
    payload: &Lists<'_>,
    tag_lists: &Lists<'_>,
    concerns: &mut ConcernList,
) {
    check_parts(holding, tags, concerns);
    check_algorithms(tags, concerns);
    check_payload_coverage(holding, tags, payload, concerns);
    check_tag_coverage(holding, tags, tag_lists, concerns);
    check_fetch(holding, tags, payload, concerns);
    check_twins(tags, concerns);
    check_names(holding, concerns);
    for path in payload.aliased().chain(tag_lists.aliased()) {
        concerns.warning(
            "bag-name-normalised",
            Place::file(path),
            "The accents of this name are stored in another way on the disk than in the manifest; it was taken for the same file.",
            "Nothing needs to be done; some other program may not find the file.",
        );
    }
}

fn check_parts(holding: &dyn Holding, tags: &TagFiles, concerns: &mut ConcernList) {
    if !tags.has_declaration {
        concerns.stop(
            "bag-declaration-missing",
            Place::file(declaration::FILE),
            "The file that says what kind of bag this is (bagit.txt) is not there, so this is no valid bag.",
            "Take it from another copy of the bag.",
        );
    }
    if !holding.has_payload_folder() {
        concerns.stop(
            "bag-payload-missing",
            Place::file("data"),
            "The folder “data”, which holds the payload, is not there.",
            "Take it from another copy of the bag.",
        );
    }
    if tags.manifests.is_empty() {
        concerns.stop(
            "bag-manifest-missing",
            Place::unknown(),
            "There is no manifest, so nothing says how the files should be.",
            "Take it from another copy of the bag.",
        );
    }
    if tags.tag_manifests.is_empty() && !profile::is_own(&tags.info) {
        concerns.note(
            "bag-tag-manifest-missing",
            Place::unknown(),
            "There is no tag manifest, so that a change to the manifest itself could not be noticed.",
            "Nothing needs to be done; a bag made anew should have one.",
        );
    }
}

fn check_algorithms(tags: &TagFiles, concerns: &mut ConcernList) {
    for manifests in [&tags.manifests, &tags.tag_manifests] {
        let any_known = manifests.iter().any(|one| one.algorithm().is_some());
        for manifest in manifests {
            match manifest.algorithm() {
                None => tell_unknown(manifest, any_known, concerns),
                Some(Algorithm::Md5 | Algorithm::Sha1) => concerns.note(
                    "bag-algorithm-weak",
                    Place::file(manifest.file()),
                    "These checksums show accidents; somebody who means to deceive could get round them.",
                    "Nothing needs to be done; a bag made anew should use SHA-512 or SHA-256.",
                ),
                Some(_) => {}
            }
        }
    }
}

fn tell_unknown(manifest: &Manifest, any_known: bool, concerns: &mut ConcernList) {
    let place = Place::file(manifest.file());
    if any_known {
        concerns.warning(
            "bag-algorithm-unknown",
            place,
            "The checksums of this manifest are of a kind that is not known here and were not compared. Other manifests were.",
            "Check them with a program that knows this kind.",
        );
    } else {
        concerns.stop(
            "bag-algorithm-unknown",
            place,
            "The checksums of this manifest are of a kind that is not known here, and there are no others: nothing could be compared.",
            "Check the bag with a program that knows this kind.",
        );
    }
}

/// From version 1.0 on every manifest lists every payload file; before it, one of them is enough. [RFC8493 2.1.3, 3]
fn check_payload_coverage(
    holding: &dyn Holding,
    tags: &TagFiles,
    lists: &Lists<'_>,
    concerns: &mut ConcernList,
) {
    if !tags.version().is_strict() || tags.manifests.len() < 2 {
        return;
    }
    for manifest in lists.manifests() {
        let left_out: Vec<&str> = holding
            .entries()
            .iter()
            .map(|entry| &*entry.path)
            .filter(|path| is_payload(path) && lists.is_listed(path))
            .filter(|path| !lists.lists(manifest, path))
            .collect();
        if let Some(first) = left_out.first() {
            concerns.stop(
                "bag-manifests-differ",
                Place::file(manifest.file()),
                format!(
                    "This manifest leaves out {} that another manifest lists; the first is “{first}”.",
                    files(number(left_out.len()))
                ),
                ANOTHER_COPY,
            );
        }
    }
}

/// Tag manifests list every payload manifest and should list all other tag files. [RFC8493 2.2.1]
fn check_tag_coverage(
    holding: &dyn Holding,
    tags: &TagFiles,
    lists: &Lists<'_>,
    concerns: &mut ConcernList,
) {
    for tag_manifest in &tags.tag_manifests {
        for manifest in &tags.manifests {
            if tag_manifest.position(manifest.file()).is_none() {
                let tell = if tags.version().is_strict() {
                    ConcernList::stop
                } else {
                    ConcernList::warning
                };
                tell(
                    concerns,
                    "bag-manifest-not-vouched",
                    Place::file(tag_manifest.file()),
                    format!("This tag manifest does not list {}.", manifest.file()),
                    ANOTHER_COPY.to_owned(),
                );
            }
        }
    }
    if tags.tag_manifests.is_empty() {
        return;
    }
    for entry in holding.entries() {
        let path = &*entry.path;
        let part = Part::of(path, tags.version());
        let needs_none = matches!(part, Part::Payload | Part::TagManifest { .. });
        if needs_none || is_litter(path) {
            continue;
        }
        let left_out = lists
            .manifests()
            .filter(|one| !lists.lists(one, path))
            .count();
        if left_out > 0 && !matches!(part, Part::PayloadManifest { .. }) {
            concerns.warning(
                "bag-tag-file-not-listed",
                Place::file(path),
                "Not every tag manifest lists this file, so that a change to it may not be noticed.",
                "Nothing needs to be done when the file was in the bag from the beginning; otherwise it was added later.",
            );
        }
    }
}

/// Nothing is ever fetched; what is left to be fetched and not there makes the bag incomplete. [RFC8493 2.2.3, 3]
fn check_fetch(
    holding: &dyn Holding,
    tags: &TagFiles,
    lists: &Lists<'_>,
    concerns: &mut ConcernList,
) {
    for item in &tags.fetch {
        let place = || Place::file("fetch.txt").row(item.row);
        if tags.version().is_strict() && !lists.is_listed(&item.path) {
            concerns.stop(
                "bag-fetch-not-listed",
                place(),
                format!(
                    "“{}” is to be fetched, but no manifest lists it.",
                    item.path
                ),
                "Do not fetch it. Ask the maker of the bag.",
            );
        }
    }
    let pending = tags
        .fetch
        .iter()
        .filter(|item| holding.position(&item.path).is_none())
        .count();
    if pending > 0 {
        concerns.stop(
            "bag-fetch-pending",
            Place::file("fetch.txt"),
            format!(
                "{} left to be fetched from elsewhere, so the bag is not complete. Nothing was fetched.",
                match pending {
                    1 => "One file is".to_owned(),
                    more => format!("{more} files are"),
                }
            ),
            "Ask the maker of the bag for a complete copy.",
        );
    }
}

/// Names that differ only in capitals or in how accents are stored are one file on many disks. [RFC8493 6.1.1.3]
fn check_twins(tags: &TagFiles, concerns: &mut ConcernList) {
    let Some(manifest) = tags.manifests.first() else {
        return;
    };
    let mut marks: Vec<(u64, usize)> = manifest
        .paths()
        .map(|path| mark(&portable_path::fold(path)))
        .enumerate()
        .map(|(position, mark)| (mark, position))
        .collect();
    marks.sort_unstable();
    let twins = marks.windows(2).filter_map(|pair| match pair {
        [(first, a), (second, b)] if first == second => {
            let (a, b) = (manifest.path(*a)?, manifest.path(*b)?);
            (portable_path::fold(a) == portable_path::fold(b)).then_some((a, b))
        }
        _ => None,
    });
    for (a, b) in twins.take(TOLD_ONE_BY_ONE) {
        concerns.warning(
            "bag-twin-names",
            Place::file(b),
            format!("This name and “{a}” are one and the same name on many computers."),
            "Copy this bag only to disks that keep both; a bag made anew should rename one.",
        );
    }
}

/// Returns a short mark that is the same for the same text within one run.
fn mark(text: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    hasher.finish()
}

fn check_names(holding: &dyn Holding, concerns: &mut ConcernList) {
    let awkward = holding
        .entries()
        .iter()
        .filter_map(|entry| Some((&entry.path, portable_path::awkward(&entry.path)?)));
    for (path, why) in awkward.take(TOLD_ONE_BY_ONE) {
        concerns.note(
            "bag-name-awkward",
            Place::file(path.to_string()),
            format!("This name {why}."),
            "It can be lost when the bag is copied to other disks; a bag made anew should rename it.",
        );
    }
}

/// Compares the stated count of the payload with what is there. [RFC8493 2.2.2]
pub(super) fn check_oxum(
    info: &BagInfo,
    found: crate::format::bagit::Oxum,
    concerns: &mut ConcernList,
) {
    let Some(stated) = info.oxum().filter(|stated| *stated != found) else {
        return;
    };
    concerns.stop(
        "bag-oxum-differs",
        Place::unknown(),
        format!(
            "The bag states that it holds {} bytes in {}, but {} bytes in {} are there.",
            stated.bytes,
            files(stated.files),
            found.bytes,
            files(found.files)
        ),
        ANOTHER_COPY,
    );
}

fn files(count: u64) -> String {
    match count {
        1 => "one file".to_owned(),
        more => format!("{more} files"),
    }
}
