//! The portrait: one physical object.

use super::Answer;
use super::DateEntry;
use super::Extra;
use super::LotNumber;
use super::PortraitNumber;
use super::Row;
use super::macros::record_part;
use super::vocabulary::Certainty;
use super::vocabulary::Frame;
use super::vocabulary::Glass;
use super::vocabulary::GlassContact;
use super::vocabulary::MakerRole;
use super::vocabulary::Measured;
use super::vocabulary::Medium;
use super::vocabulary::Mould;
use super::vocabulary::PortraitKind;
use super::vocabulary::SensitiveSubject;
use super::vocabulary::ShowTo;
use super::vocabulary::Unit;
use super::vocabulary::YesNo;

record_part! {
    /// One physical object, front and back and frame.
    Portrait {
        /// Its number, unique in the collection.
        number: PortraitNumber,
        /// What it is.
        kind: Answer<PortraitKind>,
        /// What can be seen, for example "man in a pilot coat": never who.
        shows: Answer<String>,
        /// A title printed on it by its maker, exactly.
        title_as_printed: Answer<String>,
        /// The lot it came with.
        lot: Answer<LotNumber>,
        /// Its size.
        size: Size,
        /// Its shape, for example "oval".
        shape: Answer<String>,
        /// What the picture is made of.
        media: Answer<Media>,
        /// What the picture is mounted on.
        backing: Answer<String>,
        /// Whether the board is bowed.
        bowed: Answer<YesNo>,
        /// The glass over it.
        glass: Answer<Glass>,
        /// Whether the picture touches the glass.
        glass_touching: Answer<GlassContact>,
        /// The frame.
        frame: Answer<Frame>,
        /// Who made it.
        maker: Maker,
        /// Its state, in words.
        condition: Answer<String>,
        /// Flat brown spots (foxing), which are not mould.
        brown_spots: Answer<YesNo>,
        /// Mould.
        mould: Answer<Mould>,
        /// Whether the surface comes off.
        loose_surface: Answer<YesNo>,
        /// Whether the board is brittle or cracked.
        brittle: Answer<YesNo>,
        /// Whether the frame was opened.
        opened: Answer<YesNo>,
        /// When it was opened.
        opened_on: Answer<DateEntry>,
        /// What was found inside; "nothing" is a finding.
        found_inside: Answer<String>,
        /// Its three dates.
        dates: PortraitDates,
        /// Portraits that it belongs with, and why.
        belongs_with: Vec<BelongsWith>,
        /// The portrait that it is a copy of.
        copy_of: Answer<PortraitNumber>,
        /// Why there is no scan of the back.
        no_back_because: Answer<String>,
        /// Why there is no scan at all.
        not_scanned_because: Answer<String>,
        /// Subjects that ask for care.
        sensitive: Vec<SensitiveSubject>,
        /// How far the whole portrait may be shown.
        show_to: Answer<ShowTo>,
        /// Who holds the object itself now.
        original_now_at: Answer<String>,
        /// Where it is stored: kept at home.
        storage: Answer<String>,
        /// Anything else.
        notes: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// A size as measured.
    Size {
        /// Height in `unit`.
        height: Answer<String>,
        /// Width in `unit`.
        width: Answer<String>,
        /// The unit.
        unit: Answer<Unit>,
        /// What was measured.
        measured: Answer<Measured>,
    }
}

impl Size {
    /// Returns height and width in millimetres, when both are plain numbers (a decimal comma will do) and the unit is given.
    #[must_use]
    pub fn in_millimetres(&self) -> Option<(f64, f64)> {
        let factor = match self.unit.given()? {
            Unit::Millimetre => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Inch => 25.4,
        };
        Some((
            plain_number(self.height.text()?)? * factor,
            plain_number(self.width.text()?)? * factor,
        ))
    }
}

/// Reads "14", "14.5", "14,5", "14 1/2" or "14½".
#[must_use]
pub fn plain_number(text: &str) -> Option<f64> {
    let spread = text
        .replace(',', ".")
        .replace('½', " 1/2")
        .replace('¼', " 1/4")
        .replace('¾', " 3/4");
    let mut sum = 0.0;
    let mut seen = false;
    for word in spread.split_whitespace() {
        let value = match word.split_once('/') {
            Some((over, under)) => over.parse::<f64>().ok()? / under.parse::<f64>().ok()?,
            None => word.parse::<f64>().ok()?,
        };
        sum += value;
        seen = true;
    }
    (seen && sum.is_finite() && sum > 0.0).then_some(sum)
}

/// What a picture is made of: several words, in the person's order.
pub type Media = Vec<Medium>;

record_part! {
    /// Who made a portrait: what is printed on it, and what is concluded.
    Maker {
        /// The name as printed on the object, exactly.
        as_printed: Answer<String>,
        /// The place as printed.
        place_as_printed: Answer<String>,
        /// The address as printed.
        address_as_printed: Answer<String>,
        /// Who made it, in the person's words, where that says more than the print.
        name: Answer<String>,
        /// What they did.
        role: Answer<MakerRole>,
        /// How sure that is.
        certainty: Answer<Certainty>,
        /// Why.
        basis: Answer<String>,
        /// The maker's number on the object, exactly.
        number: Answer<String>,
        /// Where that number is.
        number_place: Answer<String>,
    }
}

record_part! {
    /// The three dates of a portrait, which are often far apart.
    PortraitDates {
        /// When the sitter sat.
        sitting: Answer<DateEntry>,
        /// When this print or enlargement was made.
        print: Answer<DateEntry>,
        /// When it was framed or written on.
        framed: Answer<DateEntry>,
        /// Why those dates.
        basis: Answer<String>,
    }
}

record_part! {
    /// A tie to another portrait, as the person states it.
    BelongsWith {
        /// The other portrait.
        portrait: PortraitNumber,
        /// Why they belong together.
        reason: String,
    }
}
