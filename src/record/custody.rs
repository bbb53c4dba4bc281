//! Words found on the object, how it came, its makers' addresses, rights, receivers, and the collection's own description.

use super::Answer;
use super::DateEntry;
use super::Extra;
use super::LotNumber;
use super::PortraitNumber;
use super::ReceiverNumber;
use super::Row;
use super::macros::record_part;
use super::vocabulary::Acquisition;
use super::vocabulary::IfNotWanted;
use super::vocabulary::ReceiverKind;
use super::vocabulary::Side;
use super::vocabulary::WrittenIn;
use super::vocabulary::YesNo;

record_part! {
    /// Words or numbers found on the object, exactly as written.
    Transcription {
        /// The portrait.
        portrait: PortraitNumber,
        /// The part of the object.
        side: Answer<Side>,
        /// Where on that part.
        position: Answer<String>,
        /// The words, byte for byte, line breaks included; `[?]`, `[illegible]`, `[torn]` in square brackets.
        text: Answer<String>,
        /// What they are written in.
        written_in: Answer<WrittenIn>,
        /// Whose hand it is, in words.
        hand: Answer<String>,
        /// Another place with the same hand, in words.
        same_hand_as: Answer<String>,
        /// What the person thinks it means: kept apart from the words.
        reading: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// Things that came together.
    Lot {
        /// Its number, unique in the collection.
        number: LotNumber,
        /// How it came.
        how: Answer<Acquisition>,
        /// From whom or where.
        from: Answer<String>,
        /// When.
        date: Answer<DateEntry>,
        /// What it cost: kept at home.
        price: Answer<String>,
        /// The file that shows the receipt or tag.
        receipt_file: Answer<String>,
        /// What the seller said.
        seller_said: Answer<String>,
        /// Earlier owners, oldest first.
        earlier_owners: Vec<String>,
        /// What else came with it.
        came_with: Answer<String>,
        /// Whether it may be given on.
        may_give_on: Answer<String>,
        /// What was promised.
        promises: Answer<String>,
        /// How to reach the giver: kept at home.
        giver_contact: Answer<String>,
        /// Whether all of this is private.
        private: Answer<YesNo>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// One entry of a directory: a maker at an address in a year.
    Listing {
        /// The maker as listed.
        maker: Answer<String>,
        /// The address as listed.
        address: Answer<String>,
        /// The town.
        town: Answer<String>,
        /// The year of the directory.
        year: Answer<String>,
        /// Whether the maker is listed there.
        listed: Answer<YesNo>,
        /// Source and page.
        source: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// Rights in a portrait, a lot or everything, as judged by a person.
    Rights {
        /// What it applies to: a portrait's or lot's number, or "all".
        applies_to: Answer<String>,
        /// Who made the picture, if known.
        maker_known: Answer<String>,
        /// When the maker died.
        maker_died: Answer<DateEntry>,
        /// Whether it was ever published, and how that is known.
        published: Answer<String>,
        /// The statement: a rightsstatements.org name or address. Blank means "copyright not evaluated".
        statement: Answer<String>,
        /// Who worked it out.
        worked_out_by: Answer<String>,
        /// When.
        worked_out_on: Answer<DateEntry>,
        /// Why.
        worked_out_why: Answer<String>,
        /// Whether the giver owns the picture.
        giver_owns_picture: Answer<YesNo>,
        /// Whether the giver owns the copyright.
        giver_owns_copyright: Answer<YesNo>,
        /// What the receiver may do.
        receiver_may: Answer<String>,
        /// Hold back until this date.
        hold_until: Answer<DateEntry>,
        /// Why it is held back.
        hold_reason: Answer<String>,
        /// What to do with things that are not wanted.
        if_not_wanted: Answer<IfNotWanted>,
        /// The credit line.
        credit_line: Answer<String>,
        /// The receiver's accession number.
        their_accession_number: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

impl Rights {
    /// What a row says that applies to everything.
    pub const ALL: &'static str = "all";

    /// Returns what the row applies to, without blanks around it: a portrait's or lot's number, or [`Rights::ALL`] however it
    /// is written.
    #[must_use]
    pub fn applies(&self) -> Option<&str> {
        let what = self.applies_to.text()?.trim();
        Some(if what.eq_ignore_ascii_case(Self::ALL) {
            Self::ALL
        } else {
            what
        })
    }
}

record_part! {
    /// Somebody who receives a package.
    Receiver {
        /// Their number, unique in the collection.
        number: ReceiverNumber,
        /// Their name.
        name: Answer<String>,
        /// Their kind.
        kind: Answer<ReceiverKind>,
        /// Whether they are of age.
        adult: Answer<YesNo>,
        /// Whether they may be told names of living people.
        told_living_names: Answer<YesNo>,
        /// What was sent.
        sent_what: Answer<String>,
        /// When.
        sent_on: Answer<DateEntry>,
        /// How.
        sent_how: Answer<String>,
        /// Whether the receipt came back.
        receipt_back: Answer<YesNo>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}

record_part! {
    /// What the collection is, who keeps it, and how to reach them.
    About {
        /// The name of the collection.
        title: Answer<String>,
        /// Who keeps it.
        kept_by: Answer<String>,
        /// How to reach them: given on only where they say so.
        contact: Answer<String>,
        /// Whether the contact may be given on.
        contact_may_be_shown: Answer<YesNo>,
        /// The story in a few sentences.
        story: Answer<String>,
        /// Who carries on when the keeper cannot.
        successor: Answer<String>,
        /// The row in the sheet, for concerns.
        row: Row,
        /// Columns of the person's own.
        extra: Extra,
    }
}
