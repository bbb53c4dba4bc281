//! Views that are missing, or that cannot all be what they are said to be.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::portable_path;
use crate::record::Collection;
use crate::record::PortraitNumber;
use crate::record::Scan;
use crate::record::View;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

fn by_portrait(collection: &Collection) -> BTreeMap<&PortraitNumber, Vec<&Scan>> {
    let mut scans: BTreeMap<&PortraitNumber, Vec<&Scan>> = BTreeMap::new();
    for scan in &collection.scans {
        if let Some(number) = scan.portrait.given() {
            scans.entry(number).or_default().push(scan);
        }
    }
    scans
}

/// Reports portraits without front or back, unless the catalogue says why.
pub(super) fn missing(collection: &Collection, concerns: &mut ConcernList) {
    let scans = by_portrait(collection);
    for portrait in &collection.portraits {
        if !portrait.not_scanned_because.is_blank() {
            continue;
        }
        let place = || Place::portrait(&portrait.number).row(portrait.row.0);
        let Some(scans) = scans.get(&portrait.number) else {
            concerns.warning(
                "no-scan",
                place(),
                "There is no scan of this portrait.",
                "Scan it, or say in “Why not scanned” why not.",
            );
            continue;
        };
        let has = |view: View| {
            scans
                .iter()
                .any(|scan| scan.view.given() == Some(&view) && !scan.is_altered())
        };
        if !has(View::Front) {
            concerns.warning(
                "no-front",
                place(),
                "There is no scan of the front of this portrait.",
                "Scan the front, or correct the column “View” on the sheet “Scans”.",
            );
        }
        if !has(View::Back) && portrait.no_back_because.is_blank() {
            concerns.warning(
                "no-back",
                place(),
                "There is no scan of the back of this portrait; backs hold names, numbers and makers.",
                "Scan the back, or say in “Why no back view” why not.",
            );
        }
    }
}

/// Asks about new portraits of which several differently named files would be the front.
pub(super) fn several_fronts(
    collection: &Collection,
    before: &Collection,
    concerns: &mut ConcernList,
) {
    let old: BTreeSet<&PortraitNumber> = before
        .portraits
        .iter()
        .map(|portrait| &portrait.number)
        .collect();
    for (number, scans) in by_portrait(collection) {
        if old.contains(number) {
            continue;
        }
        let fronts: BTreeSet<String> = scans
            .iter()
            .filter(|scan| scan.view.given() == Some(&View::Front) && !scan.is_altered())
            .map(|scan| portable_path::fold(stem(&scan.file)))
            .collect();
        if fronts.len() > 1 {
            concerns.question(
                "several-fronts",
                Place::portrait(number),
                format!("{} files were taken for the front of this portrait.", fronts.len()),
                "Look at them, and correct portrait or view on the sheet “Scans” where that is wrong.",
            );
        }
    }
}

fn stem(file: &str) -> &str {
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}
