//! Whether scans are fine enough, and in colour.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::Collection;
use crate::record::PortraitKind;
use crate::record::PortraitNumber;
use crate::record::Scan;
use crate::record::View;
use crate::survey::seen::FileSeen;
use std::collections::HashMap;

/// What a scan of a photograph should have at the size of the original, in pixels per inch. [36 CFR 1236.50]
const PHOTOGRAPH_PPI: u32 = 400;

/// What a scan of a page of text should have, in pixels per inch. [36 CFR 1236.50]
const TEXT_PPI: u32 = 300;

/// Reports scans that are coarser than they should be, and files that claim a resolution that is not theirs.
pub(super) fn resolution(collection: &Collection, files: &[FileSeen], concerns: &mut ConcernList) {
    let claimed: HashMap<&str, u32> = files
        .iter()
        .filter_map(|seen| Some((seen.file.as_str(), seen.claimed_ppi?)))
        .collect();
    for scan in &collection.scans {
        let Some(ppi) = scan.facts.true_ppi else {
            continue;
        };
        let place = || Place::file(&scan.file).row(scan.row.0);
        if ppi < TEXT_PPI {
            concerns.warning(
                "coarse-scan",
                place(),
                format!("This scan has {ppi} true dots per inch, below {TEXT_PPI}; small writing and faces may be lost."),
                format!("If you still have the object, scan it at {PHOTOGRAPH_PPI} or more. Never enlarge the file instead."),
            );
        } else if ppi < PHOTOGRAPH_PPI {
            concerns.note(
                "fair-scan",
                place(),
                format!("This scan has {ppi} true dots per inch; for photographs {PHOTOGRAPH_PPI} are asked for."),
                "Good enough to know it by. Scan it again only when you have it out anyway.",
            );
        }
        let tag = claimed.get(scan.file.as_str()).copied().unwrap_or(ppi);
        if differs(tag, ppi) && !is_default(tag) {
            concerns.note(
                "claimed-resolution-wrong",
                place(),
                format!("The file claims {tag} dots per inch; measured on the object it is {ppi}."),
                "Nothing need be done if height and width on the sheet “Portraits” are right.",
            );
        }
    }
}

/// More than a tenth apart.
fn differs(one: u32, other: u32) -> bool {
    u64::from(one.abs_diff(other)).saturating_mul(10) > u64::from(one.max(other))
}

/// What cameras and telephones write without having measured anything.
const fn is_default(ppi: u32) -> bool {
    matches!(ppi, 0 | 1 | 72 | 96)
}

/// Reports scans without colours of things that are seldom without: brown prints, stains, inks.
pub(super) fn grey(collection: &Collection, files: &[FileSeen], concerns: &mut ConcernList) {
    let grey: HashMap<&str, bool> = files
        .iter()
        .map(|seen| (seen.file.as_str(), seen.is_grey))
        .collect();
    let kinds: HashMap<&PortraitNumber, PortraitKind> = collection
        .portraits
        .iter()
        .filter_map(|portrait| Some((&portrait.number, *portrait.kind.given()?)))
        .collect();
    for scan in &collection.scans {
        let is_grey = grey.get(scan.file.as_str()).copied().unwrap_or(false);
        let kind = scan.portrait.given().and_then(|number| kinds.get(number));
        if is_grey && shows_the_object(scan) && kind != Some(&PortraitKind::Negative) {
            concerns.note(
                "grey-scan",
                Place::file(&scan.file).row(scan.row.0),
                "This scan has no colours. Old prints are mostly brown, and stains and inks tell things by their colour.",
                "If you still have the object, scan it in colour.",
            );
        }
    }
}

fn shows_the_object(scan: &Scan) -> bool {
    let whole = matches!(
        scan.view.given(),
        Some(View::Front | View::Back | View::FrameFront | View::FrameBack)
    );
    whole && !scan.is_altered()
}
