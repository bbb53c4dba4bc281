//! True pixels per inch: pixels divided by what a person measured on the object.

use super::look::whole;
use super::rows::place_of;
use crate::concern::ConcernList;
use crate::record::Collection;
use crate::record::Measured;
use crate::record::PortraitNumber;
use crate::record::View;
use std::collections::BTreeMap;

/// Works out the true pixels per inch of every scan whose portrait was measured.
pub(super) fn work_out_ppi(collection: &mut Collection, concerns: &mut ConcernList) {
    let sizes: BTreeMap<PortraitNumber, (f64, f64, Option<Measured>)> = collection
        .portraits
        .iter()
        .filter_map(|portrait| {
            let (height, width) = portrait.size.in_millimetres()?;
            let measured = portrait.size.measured.given().copied();
            Some((portrait.number.clone(), (height, width, measured)))
        })
        .collect();
    for scan in &mut collection.scans {
        let Some((height, width, measured)) =
            scan.portrait.given().and_then(|number| sizes.get(number))
        else {
            continue;
        };
        if !shows_what_was_measured(scan.view.given(), *measured) {
            continue;
        }
        let (Some(across), Some(down)) = (scan.facts.width, scan.facts.height) else {
            continue;
        };
        let Some(ppi) = true_ppi((*height, *width), (across, down)) else {
            continue;
        };
        match scan.facts.true_ppi {
            None => scan.facts.true_ppi = Some(ppi),
            Some(written) if written != ppi => concerns.note(
                "true-ppi-outdated",
                place_of(scan).column("True dots per inch"),
                format!("The sheet says {written}; with the size that is given now it is {ppi}."),
                "Empty this cell and run this again.",
            ),
            Some(_) => {}
        }
    }
}

fn shows_what_was_measured(view: Option<&View>, measured: Option<Measured>) -> bool {
    match view {
        Some(View::Front | View::Back) => measured != Some(Measured::Frame),
        Some(View::FrameFront | View::FrameBack) => measured == Some(Measured::Frame),
        _ => false,
    }
}

/// Pixels divided by measured size: long edge by long edge, short by short, the lower of both, rounded down.
fn true_ppi((height, width): (f64, f64), (across, down): (u32, u32)) -> Option<u32> {
    const MILLIMETRES_IN_AN_INCH: f64 = 25.4;
    let (across, down) = (f64::from(across), f64::from(down));
    let long = across.max(down) / (height.max(width) / MILLIMETRES_IN_AN_INCH);
    let short = across.min(down) / (height.min(width) / MILLIMETRES_IN_AN_INCH);
    // A size in inches comes back from millimetres with a crumb too little now and then.
    whole((long.min(short) + 1e-6).floor())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 12-megapixel photograph of a board of 14 by 20 inches: 4000 / 20 and 3000 / 14, the lower counts.
    #[test]
    fn true_ppi_is_the_lower_of_both_directions() {
        let inches = |height: f64, width: f64| (height * 25.4, width * 25.4);
        assert_eq!(true_ppi(inches(20.0, 14.0), (4000, 3000)), Some(200));
        assert_eq!(true_ppi(inches(20.0, 14.0), (3000, 4000)), Some(200));
        // A card of 2½ by 4 inches at 600: 1500 by 2400.
        assert_eq!(true_ppi(inches(4.0, 2.5), (1500, 2400)), Some(600));
        // 12 megapixels filling 16 by 20 inches: at best 187.
        assert_eq!(true_ppi(inches(20.0, 16.0), (3000, 4000)), Some(187));
    }

    #[test]
    fn a_frame_that_was_measured_says_nothing_of_the_picture() {
        assert!(!shows_what_was_measured(
            Some(&View::Front),
            Some(Measured::Frame)
        ));
        assert!(shows_what_was_measured(
            Some(&View::FrameBack),
            Some(Measured::Frame)
        ));
        assert!(shows_what_was_measured(Some(&View::Back), None));
        assert!(!shows_what_was_measured(Some(&View::Label), None));
    }
}
