//! The record: what is known and believed about a collection of portraits, in the trade's own words. Values only: nothing here
//! reads a disk or a clock.

mod answer;
pub mod audience;
pub mod caution;
mod custody;
mod date;
pub mod edition;
mod event;
mod excerpt;
mod face_region;
mod identifier;
mod macros;
mod people;
mod portrait;
mod register;
pub mod rights_statement;
mod row;
mod scan;
mod vocabulary;
pub mod wording;

pub use answer::Answer;
pub use custody::About;
pub use custody::Listing;
pub use custody::Lot;
pub use custody::Receiver;
pub use custody::Rights;
pub use custody::Transcription;
pub use date::ABOUT;
pub use date::Bound;
pub use date::DateEntry;
pub use date::DateFault;
pub use date::Day;
pub use date::Edtf;
pub use date::Estimated;
pub use date::GedcomDate;
pub use date::Precision;
pub use date::Qualification;
pub use edition::Edition;
pub use event::Event;
pub use event::EventKind;
pub use excerpt::Excerpts;
pub use face_region::FaceRegion;
pub use identifier::ClueNumber;
pub use identifier::Identifier;
pub use identifier::LotNumber;
pub use identifier::PersonNumber;
pub use identifier::PortraitNumber;
pub use identifier::ReceiverNumber;
pub use people::Claim;
pub use people::Clue;
pub use people::Person;
pub use people::Sitter;
pub use portrait::BelongsWith;
pub use portrait::Maker;
pub use portrait::Media;
pub use portrait::Portrait;
pub use portrait::PortraitDates;
pub use portrait::Size;
pub use portrait::plain_number;
pub use register::Lookup;
pub use register::Register;
pub use rights_statement::RightsStatement;
pub use row::Row;
pub use scan::Scan;
pub use scan::ScanFacts;
pub use vocabulary::Acquisition;
pub use vocabulary::Audience;
pub use vocabulary::Certainty;
pub use vocabulary::ClueKind;
pub use vocabulary::CopyKind;
pub use vocabulary::DateTarget;
pub use vocabulary::Frame;
pub use vocabulary::Glass;
pub use vocabulary::GlassContact;
pub use vocabulary::Hardness;
pub use vocabulary::IfNotWanted;
pub use vocabulary::Living;
pub use vocabulary::MakerRole;
pub use vocabulary::Measured;
pub use vocabulary::Medium;
pub use vocabulary::Mould;
pub use vocabulary::PortraitKind;
pub use vocabulary::ReceiverKind;
pub use vocabulary::SeenAs;
pub use vocabulary::SensitiveSubject;
pub use vocabulary::ShowTo;
pub use vocabulary::Side;
pub use vocabulary::Speaks;
pub use vocabulary::Standing;
pub use vocabulary::Unit;
pub use vocabulary::View;
pub use vocabulary::Vocabulary;
pub use vocabulary::WhoKnew;
pub use vocabulary::WrittenIn;
pub use vocabulary::YesNo;

use macros::record_part;
use std::collections::BTreeMap;

/// Columns of the person's own, by heading: carried along, never interpreted.
pub type Extra = BTreeMap<String, String>;

/// The version of the record's form. Raised when a reader of the older form would misunderstand the newer.
pub const RECORD_VERSION: u32 = 1;

record_part! {
    /// The whole record of a collection. Its JSON is `record.json`; its tables are the sheets of the catalogue.
    Collection {
        /// The version of this form: [`RECORD_VERSION`].
        record_version: u32,
        /// What the collection is and who keeps it.
        about: About,
        /// The portraits, in the order of the sheet.
        portraits: Vec<Portrait>,
        /// The scans.
        scans: Vec<Scan>,
        /// Words found on the objects.
        words: Vec<Transcription>,
        /// The people.
        people: Vec<Person>,
        /// Claims about sitters.
        claims: Vec<Claim>,
        /// Clues.
        clues: Vec<Clue>,
        /// How things came.
        lots: Vec<Lot>,
        /// Makers' addresses.
        listings: Vec<Listing>,
        /// Rights.
        rights: Vec<Rights>,
        /// Receivers.
        receivers: Vec<Receiver>,
        /// The editions of this package, earliest first, its own last; none while it supersedes nothing.
        editions: Vec<Edition>,
    }
}

/// Each answer searches a sheet from top to bottom. Whoever asks about many portraits makes a [`Register`] first.
impl Collection {
    /// Returns the portrait of this number.
    #[must_use]
    pub fn portrait(&self, number: &PortraitNumber) -> Option<&Portrait> {
        self.portraits
            .iter()
            .find(|portrait| &portrait.number == number)
    }

    /// Returns the person of this number.
    #[must_use]
    pub fn person(&self, number: &PersonNumber) -> Option<&Person> {
        self.people.iter().find(|person| &person.number == number)
    }

    /// Returns the lot of this number.
    #[must_use]
    pub fn lot(&self, number: &LotNumber) -> Option<&Lot> {
        self.lots.iter().find(|lot| &lot.number == number)
    }

    /// Returns the clue of this number.
    #[must_use]
    pub fn clue(&self, number: &ClueNumber) -> Option<&Clue> {
        self.clues.iter().find(|clue| &clue.number == number)
    }

    /// Returns the scans of a portrait, in the order of the sheet.
    pub fn scans_of<'a>(&'a self, number: &'a PortraitNumber) -> impl Iterator<Item = &'a Scan> {
        self.scans
            .iter()
            .filter(move |scan| scan.portrait.given() == Some(number))
    }

    /// Returns the words found on a portrait, in the order of the sheet.
    pub fn words_on<'a>(
        &'a self,
        number: &'a PortraitNumber,
    ) -> impl Iterator<Item = &'a Transcription> {
        self.words
            .iter()
            .filter(move |words| &words.portrait == number)
    }

    /// Returns the claims about a portrait's sitter, withdrawn ones included, in the order of the sheet.
    pub fn claims_about<'a>(
        &'a self,
        number: &'a PortraitNumber,
    ) -> impl Iterator<Item = &'a Claim> {
        self.claims
            .iter()
            .filter(move |claim| &claim.portrait == number)
    }

    /// Returns the clues that speak of a portrait, in the order of the sheet.
    pub fn clues_on<'a>(&'a self, number: &'a PortraitNumber) -> impl Iterator<Item = &'a Clue> {
        self.clues
            .iter()
            .filter(move |clue| clue.portraits.contains(number))
    }

    /// Returns the part of the record that concerns one portrait. Whoever wants many asks [`Excerpts`].
    #[must_use]
    pub fn excerpt(&self, portrait: &PortraitNumber, scan: Option<&Scan>) -> Self {
        Excerpts::of(self).excerpt(portrait, scan)
    }
}

/// Tells whether a field has its default, so that JSON can leave it out.
fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}
