//! The scan: one picture file that shows one view of a portrait.

use super::Answer;
use super::DateEntry;
use super::Extra;
use super::PortraitNumber;
use super::Row;
use super::macros::record_part;
use super::vocabulary::CopyKind;
use super::vocabulary::View;
use super::vocabulary::YesNo;

record_part! {
    /// One picture file.
    Scan {
        /// Where it is, relative to the collection, `/` between folders.
        file: String,
        /// Its name when it came from the camera or scanner.
        camera_name: Answer<String>,
        /// The portrait it shows.
        portrait: Answer<PortraitNumber>,
        /// The view it shows.
        view: Answer<View>,
        /// Who made it.
        made_by: Answer<String>,
        /// When it was made.
        made_on: Answer<DateEntry>,
        /// With what.
        made_with: Answer<String>,
        /// Whether it was made through glass.
        through_glass: Answer<YesNo>,
        /// How it was lit.
        lighting: Answer<String>,
        /// Whether a scale or colour card is in view.
        card_in_view: Answer<YesNo>,
        /// The dots per inch that the scanner was set to.
        ppi_set: Answer<String>,
        /// What kind of file it is.
        copy_kind: Answer<CopyKind>,
        /// How it was altered.
        altered_how: Answer<String>,
        /// Who altered it.
        altered_by: Answer<String>,
        /// When it was altered.
        altered_on: Answer<DateEntry>,
        /// The file from which it was altered.
        altered_from: Answer<String>,
        /// What kithbag found in the file.
        facts: ScanFacts,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

impl Scan {
    /// Tells whether this is a version changed by hand or by a program, which is never evidence.
    #[must_use]
    pub fn is_altered(&self) -> bool {
        self.copy_kind.given() == Some(&CopyKind::Altered)
            || self.view.given() == Some(&View::AlteredCopy)
            || self.altered_how.is_given()
    }
}

record_part! {
    /// What kithbag found in a picture file. Filled by `survey`, never by hand.
    ScanFacts {
        /// The format in plain words, for example "JPEG".
        format: Option<String>,
        /// Width in pixels, as stored.
        width: Option<u32>,
        /// Height in pixels, as stored.
        height: Option<u32>,
        /// Colour and depth in plain words, for example "colour, 8 bits".
        colour: Option<String>,
        /// Pixels divided by measured size, the lower of both directions, in pixels per inch.
        true_ppi: Option<u32>,
        /// Length of the file in bytes.
        bytes: Option<u64>,
        /// SHA-256 of the whole file, hexadecimal.
        sha256: Option<String>,
        /// Picture digest, hexadecimal (SHA-256): unchanged by any edit of metadata.
        picture_digest: Option<String>,
        /// What private facts were found in the file, in plain words ("place (GPS)").
        private_found: Vec<String>,
    }
}
