//! The closed vocabularies of the record: the words that a sheet offers in its drop-down lists.

use super::macros::vocabulary;

vocabulary! {
    /// How sure somebody is of a claim. Ordered from surest to excluded.
    Certainty {
        /// Written reasoning convinces a careful outsider.
        Proved = "proved",
        /// Better than any rival.
        Probable = "probable" | "probably",
        /// Fits, but so might others.
        Possible = "possible" | "possibly",
        /// An idea to test: family talk, likeness, sold together.
        Suggested = "suggested",
        /// The evidence leans against.
        Doubtful = "doubtful",
        /// Cannot be.
        RuledOut = "ruled out" | "ruled-out",
    }
}

vocabulary! {
    /// Which view of the portrait a scan shows.
    View {
        /// The picture itself.
        Front = "front" | "recto",
        /// The other side of it.
        Back = "back" | "verso",
        /// The whole framed thing from the front.
        FrameFront = "frame front",
        /// The whole framed thing from behind.
        FrameBack = "frame back",
        /// A label, slip or tag.
        Label = "label",
        /// An edge.
        Edge = "edge",
        /// Any other part, closer.
        Detail = "detail",
        /// A version changed by hand or by a program: never evidence.
        AlteredCopy = "altered copy" | "altered",
    }
}

vocabulary! {
    /// What kind of file a scan is.
    CopyKind {
        /// As it came from the camera or scanner.
        Untouched = "untouched",
        /// With its record written into it.
        Described = "described",
        /// A small version for sending round.
        Share = "share",
        /// With a strip of words under the picture.
        Captioned = "captioned",
        /// Changed by hand or by a program.
        Altered = "altered",
    }
}

vocabulary! {
    /// What a portrait is, as an object.
    PortraitKind {
        /// A large portrait worked over with charcoal or crayon, usually an enlargement.
        LargeCrayon = "large crayon portrait",
        /// A small card photograph.
        CarteDeVisite = "carte-de-visite" | "cdv" | "carte de visite",
        /// A larger card photograph.
        CabinetCard = "cabinet card" | "cabinet",
        /// A photograph on thin iron.
        Tintype = "tintype",
        /// A photograph on glass.
        Ambrotype = "ambrotype",
        /// A photograph on silvered copper.
        Daguerreotype = "daguerreotype",
        /// A photograph on white glass.
        Opalotype = "opalotype",
        /// A pair for a viewer.
        Stereograph = "stereograph",
        /// A photograph printed as a postcard.
        Postcard = "postcard" | "photo postcard",
        /// A photograph on a mount of another size.
        MountedPhotograph = "mounted photograph",
        /// A photograph taken by an amateur.
        Snapshot = "snapshot",
        /// A letter or paper that belongs with portraits.
        Paper = "paper" | "letter",
        /// A negative or film.
        Negative = "negative" | "film",
        /// Anything else.
        Other = "other",
    }
}

vocabulary! {
    /// What a picture is made of.
    Medium {
        /// A photograph.
        Photograph = "photograph" | "photo",
        /// Charcoal over or instead of a photograph.
        Charcoal = "charcoal",
        /// Crayon.
        Crayon = "crayon",
        /// Chalk.
        Chalk = "chalk",
        /// Pastel.
        Pastel = "pastel",
        /// Paint.
        Paint = "paint" | "watercolour" | "watercolor" | "oil paint",
        /// Ink.
        Ink = "ink",
        /// Pencil.
        Pencil = "pencil",
        /// A printing process.
        Print = "print",
    }
}

impl Medium {
    /// Tells whether the surface can come off on what touches it.
    #[must_use]
    pub const fn is_loose(self) -> bool {
        matches!(
            self,
            Self::Charcoal | Self::Crayon | Self::Chalk | Self::Pastel
        )
    }
}

vocabulary! {
    /// The unit of a size.
    Unit {
        /// Millimetres.
        Millimetre = "mm" | "millimetres" | "millimeters",
        /// Centimetres.
        Centimetre = "cm" | "centimetres" | "centimeters",
        /// Inches of 25.4 mm.
        Inch = "in" | "inch" | "inches" | "\"",
    }
}

vocabulary! {
    /// What was measured.
    Measured {
        /// The card or board.
        Mount = "mount",
        /// The part seen through the frame.
        Sight = "sight size" | "sight",
        /// The picture alone.
        Picture = "picture",
        /// The frame.
        Frame = "frame",
    }
}

vocabulary! {
    /// The glass over a picture.
    Glass {
        /// None.
        Absent = "none" | "no",
        /// Flat.
        Flat = "flat",
        /// Bowed outwards.
        Convex = "convex",
        /// Broken or cracked.
        Broken = "broken",
    }
}

vocabulary! {
    /// Whether a picture touches its glass.
    GlassContact {
        /// It does not.
        Clear = "no",
        /// It touches.
        Touching = "touching" | "yes",
        /// It sticks.
        Stuck = "stuck",
        /// It is held by tape.
        Taped = "taped",
        /// It cannot be seen.
        Unsure = "unsure" | "not sure",
    }
}

vocabulary! {
    /// The frame.
    Frame {
        /// None.
        Absent = "none" | "no",
        /// Wood without paint or gilding.
        PlainWood = "plain wood",
        /// Painted.
        Painted = "painted",
        /// Gilded.
        Gilded = "gilded",
        /// Anything else.
        Other = "other",
    }
}

vocabulary! {
    /// What mould looks like.
    Mould {
        /// None seen.
        Absent = "none" | "no",
        /// Dry and powdery.
        Powdery = "powdery" | "dry",
        /// Fuzzy, slimy or damp.
        Active = "fuzzy" | "slimy" | "damp" | "active",
    }
}

vocabulary! {
    /// A plain answer.
    YesNo {
        /// Yes.
        Yes = "yes" | "y",
        /// No.
        No = "no" | "n",
    }
}

vocabulary! {
    /// Which part of the object carries words.
    Side {
        /// The picture side.
        Front = "front" | "recto",
        /// The other side.
        Back = "back" | "verso",
        /// The frame, from the front.
        FrameFront = "frame front",
        /// The frame, from behind.
        FrameBack = "frame back",
        /// A label, slip or tag.
        Label = "label",
        /// An edge.
        Edge = "edge",
        /// A page, sleeve or wrapper that came with it.
        Enclosure = "enclosure" | "sleeve" | "album page",
    }
}

vocabulary! {
    /// What words are written in.
    WrittenIn {
        /// Pencil.
        Pencil = "pencil",
        /// Ink.
        Ink = "ink",
        /// Ballpoint: about 1945 or later (common practice, from memory).
        Ballpoint = "ballpoint",
        /// Crayon or grease pencil.
        Crayon = "crayon",
        /// Printed.
        Print = "print" | "printed",
        /// Stamped.
        Stamp = "stamp" | "stamped",
        /// Embossed.
        Embossed = "embossed",
        /// Typed.
        Typed = "typed",
    }
}

vocabulary! {
    /// Whether a person lives.
    Living {
        /// Known to be alive.
        Yes = "yes",
        /// Known to be dead.
        No = "no",
        /// Not known, treated as alive.
        Presumed = "presumed",
    }
}

vocabulary! {
    /// How far something may be shown. Ordered from narrowest to widest.
    ShowTo {
        /// Own storage only.
        Nobody = "nobody",
        /// Relatives who receive a package.
        Family = "family",
        /// An archive that takes the collection.
        Archive = "archive",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// Whether a claim is still held.
    Standing {
        /// Still held.
        Held = "yes" | "held",
        /// Given up; kept and shown as given up.
        Withdrawn = "withdrawn" | "no",
    }
}

vocabulary! {
    /// How the source of a clue was seen.
    SeenAs {
        /// The thing itself.
        Original = "the thing itself" | "original",
        /// A copy of it.
        Copy = "copy",
        /// Somebody's account of it.
        Account = "someone's write-up" | "write-up" | "account",
    }
}

vocabulary! {
    /// Where the informant of a clue knew it from.
    WhoKnew {
        /// Was there.
        FirstHand = "was there" | "first-hand",
        /// Heard it.
        SecondHand = "heard it" | "second-hand",
        /// Not known.
        Undetermined = "not known" | "unknown",
    }
}

vocabulary! {
    /// How a clue speaks.
    Speaks {
        /// Straight to the question.
        Direct = "straight to it" | "direct",
        /// Only together with other facts.
        Indirect = "only with other facts" | "indirect",
        /// By what is missing.
        Negative = "by its absence" | "negative",
    }
}

vocabulary! {
    /// What kind of thing a clue is; decides how much it can carry.
    ClueKind {
        /// Words on the object.
        Words = "words on it",
        /// A document.
        Record = "record",
        /// The maker's number, address or imprint.
        Maker = "maker",
        /// The process, mount, size or stamp.
        Object = "the object itself" | "object",
        /// Clothes and hair.
        Dress = "dress" | "clothes",
        /// Likeness to another picture.
        Likeness = "likeness" | "resemblance",
        /// What relatives say.
        FamilyTalk = "family talk",
        /// How the things were found or sold.
        FoundTogether = "found together",
        /// Anything else.
        Other = "other",
    }
}

vocabulary! {
    /// Which of a portrait's dates a clue speaks of.
    DateTarget {
        /// When the sitter sat.
        Sitting = "sitting",
        /// When this print or enlargement was made.
        Print = "this print" | "print",
        /// When it was framed or written on.
        Framed = "framed or written on" | "framed",
    }
}

vocabulary! {
    /// Whether a clue's date can be set aside.
    Hardness {
        /// Cannot be otherwise.
        Hard = "hard",
        /// Usually so.
        Soft = "soft",
    }
}

vocabulary! {
    /// How a lot came.
    Acquisition {
        /// Bought.
        Bought = "bought",
        /// Inherited.
        Inherited = "inherited",
        /// Given.
        Given = "given",
        /// Found.
        Found = "found",
        /// Lent.
        Lent = "lent",
    }
}

vocabulary! {
    /// What a maker did.
    MakerRole {
        /// Took the photograph.
        Photographer = "photographer",
        /// A studio.
        Studio = "studio",
        /// Made the enlargement.
        CopyingHouse = "copying house",
        /// Worked it over by hand.
        Artist = "artist",
        /// Framed it.
        Framer = "framer",
    }
}

vocabulary! {
    /// What should happen to things that a receiver does not want.
    IfNotWanted {
        /// Send back.
        Return = "return",
        /// Pass on.
        PassOn = "pass on",
        /// Dispose of.
        Dispose = "dispose",
    }
}

vocabulary! {
    /// A receiver's kind.
    ReceiverKind {
        /// A relative.
        Family = "family",
        /// An archive, library, museum or society.
        Archive = "archive",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// Who a package is made for. Ordered from the one that holds most to the one that holds least.
    Audience {
        /// Own storage: everything.
        Keeping = "keeping",
        /// A donation.
        Archive = "archive",
        /// Return to descendants.
        Family = "family",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// A subject that asks for care whatever the copyright.
    SensitiveSubject {
        /// A person photographed after death.
        PostMortem = "post-mortem",
        /// A patient.
        Medical = "medical",
        /// An inmate of an institution.
        Institution = "institution",
        /// Something sacred.
        Sacred = "sacred",
        /// An enslaved person.
        Enslaved = "enslaved",
        /// An Indigenous person or community.
        Indigenous = "indigenous",
        /// A dispute about ownership.
        Dispute = "dispute",
    }
}
