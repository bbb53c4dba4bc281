//! Looks at the front of each portrait itself: a small picture for the workbook, and a fingerprint for the question whether two
//! prints are of one negative.

use super::SurveyOptions;
use super::seen::FileSeen;
use super::seen::Survey;
use crate::concern::Place;
use crate::crew;
use crate::format::viewing::Picture;
use crate::format::viewing::ViewingFault;
use crate::progress::Progress;
use crate::record::PortraitNumber;
use crate::record::View;
use crate::store;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

/// The longest edge of a small picture in pixels: twice the space in the sheet, for fine screens.
const EDGE: u32 = 176;

/// The JPEG quality of a small picture.
const QUALITY: u8 = 78;

/// Most small pictures in a workbook: some 10 MB, which spreadsheet programs still open at once.
const MOST_SMALL_PICTURES: usize = 2000;

/// The front of one portrait.
#[derive(Debug, Clone)]
pub(super) struct Front {
    pub(super) portrait: PortraitNumber,
    pub(super) file: String,
    pub(super) small: Option<Vec<u8>>,
    pub(super) fingerprint: Option<u64>,
    fault: Option<String>,
}

/// What is wanted of the fronts.
pub(super) struct Wanted<'a> {
    /// Whether small pictures are wanted, for a new workbook.
    pub(super) small: bool,
    /// Fingerprints that are known already, by file.
    pub(super) known: &'a BTreeMap<String, u64>,
}

/// Looks at the first front of each portrait.
pub(super) fn fronts(
    root: &Path,
    survey: &mut Survey,
    wanted: &Wanted<'_>,
    options: &SurveyOptions,
    progress: &dyn Progress,
) -> Vec<Front> {
    let chosen = chosen(survey);
    let numbered: Vec<(usize, &(PortraitNumber, String))> = chosen.iter().enumerate().collect();
    let total = u64::try_from(chosen.len()).unwrap_or(u64::MAX);
    progress.begin("Looking at the portraits", total);
    let fronts = crew::share(&numbered, options.threads, |(at, (portrait, file))| {
        let front = look_at(root, portrait, file, wanted, *at);
        progress.advance(1);
        front
    });
    progress.end();
    for front in &fronts {
        report_fault(front, survey);
    }
    fronts
}

fn report_fault(front: &Front, survey: &mut Survey) {
    if let Some(fault) = &front.fault {
        survey.concerns.warning(
            "picture-cannot-be-shown",
            Place::file(&front.file).of_portrait(&front.portrait),
            format!("This picture cannot be shown: {fault}."),
            "Open it in any picture viewer. If it is whole there, also save it as an ordinary JPEG; else take it from a copy.",
        );
    }
}

/// Returns the file of each portrait's first front that is no altered copy, in the order of the portraits.
fn chosen(survey: &Survey) -> Vec<(PortraitNumber, String)> {
    let by_name: BTreeMap<&str, &FileSeen> = survey
        .files
        .iter()
        .filter(|seen| seen.picture_digest.is_some())
        .map(|seen| (seen.file.as_str(), seen))
        .collect();
    let mut first: BTreeMap<&PortraitNumber, &str> = BTreeMap::new();
    for scan in &survey.collection.scans {
        let is_front = scan.view.given() == Some(&View::Front) && !scan.is_altered();
        if let (true, Some(number), Some(seen)) = (
            is_front,
            scan.portrait.given(),
            by_name.get(scan.file.as_str()),
        ) {
            first.entry(number).or_insert(&seen.file);
        }
    }
    let mut met = BTreeSet::new();
    survey
        .collection
        .portraits
        .iter()
        .map(|portrait| &portrait.number)
        .filter(|number| met.insert(*number))
        .filter_map(|number| Some((number.clone(), (*first.get(number)?).to_owned())))
        .collect()
}

fn look_at(
    root: &Path,
    portrait: &PortraitNumber,
    file: &str,
    wanted: &Wanted<'_>,
    at: usize,
) -> Front {
    let mut front = Front {
        portrait: portrait.clone(),
        file: file.to_owned(),
        small: None,
        fingerprint: wanted.known.get(file).copied(),
        fault: None,
    };
    let wants_small = wanted.small && at < MOST_SMALL_PICTURES;
    if front.fingerprint.is_some() && !wants_small {
        return front;
    }
    // A file that vanished meanwhile was seen a moment ago; the next run will tell.
    let Ok(source) = store::open(&root.join(file)) else {
        return front;
    };
    match Picture::read(source, EDGE) {
        Ok(picture) => {
            front.fingerprint = picture.fingerprint().ok();
            if wants_small {
                front.small = picture.jpeg(EDGE, QUALITY).ok().map(|small| small.jpeg);
            }
        }
        Err(ViewingFault::Read(_)) => {}
        Err(fault) => front.fault = Some(fault.to_string()),
    }
    front
}
