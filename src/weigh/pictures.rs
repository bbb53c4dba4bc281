//! The scans against common aims: pixels per inch by the measured size, grey scans, private facts inside.

use super::cell::cell;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::Measured;
use crate::record::Portrait;
use crate::record::Register;
use crate::record::Scan;
use crate::record::View;
use crate::record::plain_number;
use schemars::JsonSchema;
use serde::Serialize;

/// How finely a scan shows its portrait.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ScanMeasure {
    /// The file.
    pub file: String,
    /// Pixels divided by the measured size, the lower of both directions, rounded down.
    pub true_ppi: u32,
    /// What that means, in words.
    pub in_words: String,
}

/// Sampling aims in pixels per inch of the original. [36 CFR 1236.48 and 1236.50: 300 for text, 400 for photographic prints;
/// FADGI 2023, prints and photographs, four stars: 600]. Resolution is one of many things that such rules look at: a scan that
/// meets the number "meets the sampling aim" and nothing more.
const AIMS: [u32; 3] = [300, 400, 600];

/// Looks at the scans of a portrait.
pub(super) fn check(
    register: &Register<'_>,
    portrait: &Portrait,
    concerns: &mut ConcernList,
) -> Vec<ScanMeasure> {
    let mut measures = Vec::new();
    for scan in register.scans_of(&portrait.number) {
        private_facts(scan, concerns);
        grey(scan, concerns);
        let Some(ppi) = true_ppi(portrait, scan) else {
            continue;
        };
        compare_with_setting(scan, ppi, concerns);
        let in_words = sampling_words(ppi);
        if ppi < AIMS[0] {
            concerns.warning(
                "below-sampling-aim",
                place(scan, "True dots per inch"),
                format!("The scan has {ppi} pixels per inch of the object: {in_words}."),
                "Scan it again at 400 or more if the object can bear it; keep this one otherwise.",
            );
        }
        measures.push(ScanMeasure {
            file: scan.file.clone(),
            true_ppi: ppi,
            in_words,
        });
    }
    measures
}

fn place(scan: &Scan, heading: &'static str) -> Place {
    Place {
        file: Some(scan.file.clone()),
        ..cell(&columns::SCANS, scan.row, heading)
    }
}

/// Returns pixels divided by measured size, the lower of both directions, rounded down. Only for views that show the whole of
/// what was measured.
#[must_use]
pub fn true_ppi(portrait: &Portrait, scan: &Scan) -> Option<u32> {
    let framed = portrait.size.measured.given() == Some(&Measured::Frame);
    let shows_all = match scan.view.given()? {
        View::Front | View::Back => !framed,
        View::FrameFront | View::FrameBack => framed,
        View::Label | View::Edge | View::Detail | View::AlteredCopy => false,
    };
    if !shows_all || scan.is_altered() {
        return None;
    }
    let (height, width) = portrait.size.in_millimetres()?;
    let (across, down) = (scan.facts.width?, scan.facts.height?);
    let long = f64::from(across.max(down)) / (height.max(width) / 25.4);
    let short = f64::from(across.min(down)) / (height.min(width) / 25.4);
    floor(long.min(short))
}

/// Rounds down to a whole number; a value that misses the next one only by the error of the division counts as that one.
fn floor(value: f64) -> Option<u32> {
    let text = format!("{:.0}", (value + 1e-6).floor());
    text.parse().ok()
}

fn sampling_words(ppi: u32) -> String {
    let met = AIMS.iter().rev().find(|aim| ppi >= **aim);
    let next = AIMS.iter().find(|aim| ppi < **aim);
    match (met, next) {
        (None, _) => "below 300/400".to_owned(),
        (Some(met), Some(next)) => format!("meets the sampling aim of {met}, below {next}"),
        (Some(met), None) => format!("meets the sampling aim of {met}"),
    }
}

fn compare_with_setting(scan: &Scan, ppi: u32, concerns: &mut ConcernList) {
    let Some(set) = scan.ppi_set.text().and_then(plain_number) else {
        return;
    };
    // A tenth covers a picture that does not fill the frame to its edges.
    if (set - f64::from(ppi)).abs() > set / 10.0 {
        concerns.question(
            "ppi-set-differs",
            place(scan, "Dots per inch set"),
            format!("The scanner is said to have been set to {set}, but pixels divided by the measured size give {ppi}."),
            "Check the measured size and whether the scan shows the whole object.",
        );
    }
}

fn grey(scan: &Scan, concerns: &mut ConcernList) {
    let is_grey = scan.facts.colour.as_deref().is_some_and(|colour| {
        let colour = colour.to_lowercase();
        colour.contains("grey") || colour.contains("gray") || colour.contains("black and white")
    });
    if is_grey && matches!(scan.view.given(), Some(View::Front | View::Back)) {
        concerns.note(
            "grey-scan",
            place(scan, "Colour"),
            "The scan is grey; the tone of the print and the ink are lost.",
            "Scan in colour where you can: brown tones, foxing and ink are evidence.",
        );
    }
}

fn private_facts(scan: &Scan, concerns: &mut ConcernList) {
    if !scan.facts.private_found.is_empty() {
        concerns.warning(
            "private-facts-in-scan",
            place(scan, "Private facts found"),
            format!("The file holds {}.", scan.facts.private_found.join(", ")),
            "Nothing to do for packages: it is left out of every copy for an archive, for family and for the public. Do not send the file itself round.",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::Unit;

    fn ppi(size: (&str, &str, Unit), pixels: (u32, u32)) -> Option<u32> {
        let mut portrait = Portrait::default();
        portrait.size.height = Answer::Given(size.0.to_owned());
        portrait.size.width = Answer::Given(size.1.to_owned());
        portrait.size.unit = Answer::Given(size.2);
        let mut scan = Scan {
            view: Answer::Given(View::Front),
            ..Scan::default()
        };
        scan.facts.width = Some(pixels.0);
        scan.facts.height = Some(pixels.1);
        true_ppi(&portrait, &scan)
    }

    #[test]
    fn true_ppi_is_pixels_by_measured_size() {
        // Computed: 9600 px over 406.4 mm = 600.0; 4000 px over 165.1 mm = 615.4; 4000 px over 406.4 mm = 250.0.
        assert_eq!(
            ppi(("406.4", "304.8", Unit::Millimetre), (7200, 9600)),
            Some(600)
        );
        assert_eq!(
            ppi(("165.1", "108", Unit::Millimetre), (2700, 4000)),
            Some(615)
        );
        assert_eq!(
            ppi(("406.4", "304.8", Unit::Millimetre), (3000, 4000)),
            Some(250)
        );
        // Invented demo A: 4000 by 3000 pixels of 20 by 14 inches are 200 and 214 per inch.
        assert_eq!(ppi(("20", "14", Unit::Inch), (4000, 3000)), Some(200));
        assert_eq!(ppi(("14", "20", Unit::Inch), (3000, 4000)), Some(200));
        assert_eq!(ppi(("x", "20", Unit::Inch), (3000, 4000)), None);
    }

    #[test]
    fn aims_are_told_without_claiming_more() {
        assert_eq!(sampling_words(200), "below 300/400");
        assert_eq!(
            sampling_words(300),
            "meets the sampling aim of 300, below 400"
        );
        assert_eq!(sampling_words(615), "meets the sampling aim of 600");
        for ppi in [0, 299, 450, 9999] {
            assert!(!sampling_words(ppi).to_lowercase().contains("fadgi"));
        }
    }
}
