//! Brings what was seen and what the catalogue says together: known files get their facts, new files get rows.

use super::grouping;
use super::grouping::Known;
use super::grouping::Placement;
use super::look::Look;
use super::measure;
use super::rebuild;
use super::seen::FileSeen;
use super::seen::Survey;
use super::spelling::ByName;
use super::spelling::spelled;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::portable_path;
use crate::record::Answer;
use crate::record::Collection;
use crate::record::CopyKind;
use crate::record::DateEntry;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Scan;
use std::cell::LazyCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashSet;

/// Takes over what was seen. `on_disk` are all files of the collection, pictures or not.
pub(super) fn add(survey: &mut Survey, looks: Vec<Look>, on_disk: &[&str]) {
    let mut records: BTreeMap<String, Collection> = BTreeMap::new();
    for look in looks {
        survey.concerns.extend(look.concerns);
        if let (Some(seen), Some(record)) = (&look.seen, look.record) {
            records.insert(seen.file.clone(), *record);
        }
        survey.files.extend(look.seen);
    }
    let files = std::mem::take(&mut survey.files);
    let by_name = ByName::of(&survey.collection.scans);
    let places: Vec<Option<usize>> = files.iter().map(|seen| by_name.find(&seen.file)).collect();
    let mut new = Vec::new();
    for (seen, place) in files.iter().zip(places) {
        match place {
            Some(at) => update(survey, at, seen),
            None => new.push(seen),
        }
    }
    let new = take_moved(survey, new, on_disk);
    let (strays, plain) = split_described(survey, &files, new, &records);
    let fresh = survey.collection.portraits.is_empty() && survey.collection.scans.is_empty();
    let before = Sizes::of(&survey.collection);
    rebuild::merge(survey, &strays, &records);
    place_plain(survey, &plain);
    if fresh {
        rebuild::put_in_order(&mut survey.collection);
    }
    survey.new_scans = survey.collection.scans.len().saturating_sub(before.scans);
    survey.new_portraits = survey
        .collection
        .portraits
        .len()
        .saturating_sub(before.portraits);
    measure::work_out_ppi(&mut survey.collection, &mut survey.concerns);
    survey.files = files;
}

struct Sizes {
    scans: usize,
    portraits: usize,
}

impl Sizes {
    fn of(collection: &Collection) -> Self {
        Self {
            scans: collection.scans.len(),
            portraits: collection.portraits.len(),
        }
    }
}

/// Gives a known scan the facts that it lacks. A file that is not the one that was catalogued gets none.
fn update(survey: &mut Survey, at: usize, seen: &FileSeen) {
    let Some(scan) = survey.collection.scans.get_mut(at) else {
        return;
    };
    let found = seen.facts();
    let facts = &mut scan.facts;
    let changed = facts.sha256.is_some() && facts.sha256 != found.sha256;
    if changed {
        let same_picture =
            facts.picture_digest.is_some() && facts.picture_digest == found.picture_digest;
        report_changed(&mut survey.concerns, scan, same_picture);
        return;
    }
    facts.format = facts.format.take().or(found.format);
    facts.width = facts.width.or(found.width);
    facts.height = facts.height.or(found.height);
    facts.colour = facts.colour.take().or(found.colour);
    facts.bytes = facts.bytes.or(found.bytes);
    facts.sha256 = facts.sha256.take().or(found.sha256);
    facts.picture_digest = facts.picture_digest.take().or(found.picture_digest);
    if facts.private_found.is_empty() {
        facts.private_found = found.private_found;
    }
}

/// Returns the place of a scan's row.
pub(super) fn place_of(scan: &Scan) -> Place {
    let mut place = Place::file(&scan.file).row(scan.row.0);
    if scan.row.0.is_some() {
        place.sheet = Some(crate::catalogue::columns::SCANS.name.to_owned());
    }
    place
}

fn report_changed(concerns: &mut ConcernList, scan: &Scan, same_picture: bool) {
    let what = if same_picture {
        "The words inside this file have changed since it was catalogued; the picture itself is the same."
    } else {
        "This file is not the one that was catalogued: its checksum is another."
    };
    concerns.warning(
        "file-changed",
        place_of(scan),
        what,
        "If you changed it on purpose, empty the grey cells of its row and run this again; else take the file from a copy.",
    );
}

/// Reports files that are gone, and leaves out of the new ones those that were only moved or renamed.
fn take_moved<'s>(
    survey: &mut Survey,
    new: Vec<&'s FileSeen>,
    on_disk: &[&str],
) -> Vec<&'s FileSeen> {
    let there: HashSet<&str> = on_disk.iter().copied().collect();
    let folded = LazyCell::new(|| -> HashSet<String> {
        let paths = on_disk.iter();
        paths.map(|path| portable_path::fold(path)).collect()
    });
    let is_there =
        |file: &str| there.contains(file) || folded.contains(&portable_path::fold(&spelled(file)));
    let mut by_checksum: BTreeMap<&str, &str> = BTreeMap::new();
    for seen in &new {
        if let Some(sha256) = &seen.sha256 {
            by_checksum.entry(sha256).or_insert(&seen.file);
        }
    }
    let mut moved = BTreeSet::new();
    for scan in &survey.collection.scans {
        if scan.file.is_empty() || is_there(&scan.file) {
            continue;
        }
        survey.vanished.push(scan.file.clone());
        let now = scan
            .facts
            .sha256
            .as_deref()
            .and_then(|sha256| by_checksum.get(sha256));
        if let Some(now) = now {
            moved.insert((*now).to_owned());
            survey.concerns.question(
                "moved-file",
                place_of(scan).column("File name now"),
                format!("This file is gone; the very same file is now “{now}”."),
                format!("If you moved or renamed it, write “{now}” into this cell."),
            );
        } else {
            survey.concerns.warning(
                "vanished-file",
                place_of(scan),
                "This file is in the catalogue but not in the folder.",
                "Put it back, or correct its name in the catalogue.",
            );
        }
    }
    new.into_iter()
        .filter(|seen| !moved.contains(&seen.file))
        .collect()
}

/// Parts new files into described copies of nothing else that is here, which bring their own rows, and all others. Described
/// copies of pictures that are here get no row.
fn split_described<'s>(
    survey: &mut Survey,
    files: &[FileSeen],
    new: Vec<&'s FileSeen>,
    records: &BTreeMap<String, Collection>,
) -> (Vec<&'s FileSeen>, Vec<&'s FileSeen>) {
    let in_catalogue = survey.collection.scans.iter();
    let mut here: BTreeSet<String> = in_catalogue
        .filter_map(|scan| scan.facts.picture_digest.clone())
        .collect();
    here.extend(
        files
            .iter()
            .filter(|seen| !seen.is_described)
            .filter_map(|seen| seen.picture_digest.clone()),
    );
    let (mut strays, mut plain) = (Vec::new(), Vec::new());
    for seen in new {
        let digest = seen.picture_digest.clone();
        let is_known = digest.as_ref().is_some_and(|digest| here.contains(digest));
        if !seen.is_described {
            plain.push(seen);
        } else if is_known {
            survey.described_copies.push(seen.file.clone());
        } else {
            here.extend(digest);
            if records.contains_key(&seen.file) {
                strays.push(seen);
            } else {
                plain.push(seen);
            }
        }
    }
    if !survey.described_copies.is_empty() {
        let count = survey.described_copies.len();
        survey.concerns.note(
            "described-copies",
            Place::unknown(),
            format!(
                "{count} described copies of pictures that are here too got no row of their own."
            ),
            "Nothing need be done.",
        );
    }
    (strays, plain)
}

/// Proposes portraits and views for new files by their names and adds rows for them.
fn place_plain(survey: &mut Survey, plain: &[&FileSeen]) {
    if plain.is_empty() {
        return;
    }
    let collection = &mut survey.collection;
    let known = Known {
        portraits: collection
            .portraits
            .iter()
            .map(|portrait| portrait.number.clone())
            .collect(),
        files: collection
            .scans
            .iter()
            .filter_map(|scan| Some((spelled(&scan.file), scan.portrait.given()?.clone())))
            .collect(),
    };
    let by_name: BTreeMap<&str, &FileSeen> = plain
        .iter()
        .map(|seen| (seen.file.as_str(), *seen))
        .collect();
    let names: Vec<&str> = by_name.keys().copied().collect();
    let mut numbers: BTreeSet<PortraitNumber> = known.portraits.iter().cloned().collect();
    let placements = grouping::group(&names, &known);
    report_guesses(&placements, &mut survey.concerns);
    for placement in placements {
        if numbers.insert(placement.portrait.clone()) {
            collection.portraits.push(Portrait {
                number: placement.portrait.clone(),
                ..Portrait::default()
            });
        }
        if let Some(seen) = by_name.get(placement.file.as_str()) {
            collection.scans.push(scan_of(&placement, seen));
        }
    }
}

fn scan_of(placement: &Placement, seen: &FileSeen) -> Scan {
    let made_on = seen.made_on.as_deref().map(DateEntry::read);
    Scan {
        file: placement.file.clone(),
        camera_name: Answer::from(placement.camera_name.clone()),
        portrait: Answer::Given(placement.portrait.clone()),
        view: Answer::Given(placement.view),
        made_on: Answer::from(made_on.and_then(Result::ok)),
        made_with: Answer::from(seen.made_with.clone()),
        copy_kind: Answer::Given(if seen.is_described {
            CopyKind::Described
        } else {
            placement.copy
        }),
        altered_from: Answer::from(placement.altered_from.clone()),
        facts: seen.facts(),
        ..Scan::default()
    }
}

fn report_guesses(placements: &[Placement], concerns: &mut ConcernList) {
    let made_up: BTreeSet<&str> = placements
        .iter()
        .filter(|placement| placement.number_proposed)
        .map(|placement| placement.portrait.as_str())
        .collect();
    if let (Some(first), Some(last)) = (made_up.first(), made_up.last()) {
        let what = if first == last {
            format!("One portrait got a number of kithbag’s making ({first})")
        } else {
            let count = made_up.len();
            format!("{count} portraits got numbers of kithbag’s making ({first} to {last})")
        };
        concerns.note(
            "numbers-made-up",
            Place::unknown(),
            format!("{what}, since no name or folder gives one."),
            "Give numbers of your own on the sheets “Portraits” and “Scans”, the same on both; no file need be renamed.",
        );
    }
    let unnamed = placements
        .iter()
        .filter(|placement| !placement.view_named)
        .count();
    if unnamed > 0 {
        let what = if unnamed == 1 {
            "One file does not say in its name which side it shows, so its view is a guess."
                .to_owned()
        } else {
            format!(
                "{unnamed} files do not say in their names which side they show, so their view is a guess."
            )
        };
        concerns.note(
            "views-guessed",
            Place::unknown(),
            what,
            "Look at the column “View” on the sheet “Scans” and correct what is wrong.",
        );
    }
}
