//! What can be said of the object and its scans.

use crate::record::macros::vocabulary;

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
