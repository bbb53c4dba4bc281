//! The words in file names that survey understands: views, alterations, kinds of copies, machines.

use crate::record::CopyKind;
use crate::record::View;

/// Words that name a view. Two words stand before one, so that "frame back" is not read as "back".
pub(super) const VIEWS: [(&str, View); 31] = [
    ("frame front", View::FrameFront),
    ("front frame", View::FrameFront),
    ("frame back", View::FrameBack),
    ("back frame", View::FrameBack),
    ("frame reverse", View::FrameBack),
    ("frame verso", View::FrameBack),
    ("close up", View::Detail),
    ("front", View::Front),
    ("fronts", View::Front),
    ("recto", View::Front),
    ("rectos", View::Front),
    ("obverse", View::Front),
    ("back", View::Back),
    ("backs", View::Back),
    ("verso", View::Back),
    ("versos", View::Back),
    ("reverse", View::Back),
    ("rear", View::Back),
    ("frame", View::FrameFront),
    ("framed", View::FrameFront),
    ("frames", View::FrameFront),
    ("label", View::Label),
    ("labels", View::Label),
    ("tag", View::Label),
    ("slip", View::Label),
    ("edge", View::Edge),
    ("edges", View::Edge),
    ("detail", View::Detail),
    ("details", View::Detail),
    ("closeup", View::Detail),
    ("inscription", View::Detail),
];

/// Words that say that a picture was changed by hand or by a program.
pub(super) const ALTERATIONS: [&str; 19] = [
    "ai",
    "enhanced",
    "cleaned",
    "restored",
    "restoration",
    "colourised",
    "colourized",
    "colorised",
    "colorized",
    "retouched",
    "repaired",
    "edited",
    "upscaled",
    "sharpened",
    "altered",
    "deoldified",
    "unblurred",
    "photoshopped",
    "improved",
];

/// Words that name a kind of copy.
pub(super) const COPIES: [(&str, CopyKind); 6] = [
    ("captioned", CopyKind::Captioned),
    ("share", CopyKind::Share),
    ("web", CopyKind::Share),
    ("email", CopyKind::Share),
    ("thumbnail", CopyKind::Share),
    ("thumb", CopyKind::Share),
];

/// First words of names that machines give. Plain English and makers' habits; none is an object number.
pub(super) const MACHINE_WORDS: [&str; 29] = [
    "img",
    "dsc",
    "dscn",
    "dscf",
    "dscs",
    "pxl",
    "mvimg",
    "vid",
    "pict",
    "cimg",
    "imag",
    "gopr",
    "sam",
    "kic",
    "hpim",
    "dji",
    "wa",
    "scan",
    "scanned",
    "image",
    "photo",
    "picture",
    "pic",
    "untitled",
    "screenshot",
    "whatsapp",
    "document",
    "file",
    "page",
];

/// Words before a number that count things other than portraits.
pub(super) const COUNTING_WORDS: [&str; 9] =
    ["box", "lot", "bag", "set", "no", "nr", "vol", "mr", "abt"];
