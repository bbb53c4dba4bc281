//! What examining a picture file tells.

use super::error::Refusal;
use super::kind::Kind;
use super::private::Private;
use super::source::Range;

/// Pixels per inch as stored in a file. A claim of the device, not a measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    /// Across, in pixels per inch.
    pub x: f64,
    /// Down, in pixels per inch.
    pub y: f64,
}

impl Resolution {
    /// Returns a resolution, if both numbers can be one.
    pub(super) fn new(x: f64, y: f64) -> Option<Self> {
        let sound = |number: f64| number.is_finite() && number > 0.0;
        (sound(x) && sound(y)).then_some(Self { x, y })
    }
}

/// What the channels of a picture mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    /// Shades of one ink, black and white included.
    Grey,
    /// Red, green and blue, or what turns into them.
    Colour,
    /// Numbers of colours in a table.
    Palette,
    /// Printing inks.
    Cmyk,
    /// Something else.
    Other,
}

impl Colour {
    const fn word(self) -> &'static str {
        match self {
            Self::Grey => "grey",
            Self::Colour => "colour",
            Self::Palette => "table of colours",
            Self::Cmyk => "printing inks (CMYK)",
            Self::Other => "unusual colours",
        }
    }
}

/// One piece of what the picture digest covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Piece {
    /// Bytes that are not in the file as such.
    Words(Vec<u8>),
    /// Bytes of the file.
    Stored(Range),
}

/// What the picture digest covers, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Picture {
    pieces: Vec<Piece>,
}

impl Picture {
    /// Adds bytes that are not in the file as such.
    pub(super) fn push_words(&mut self, words: Vec<u8>) {
        self.pieces.push(Piece::Words(words));
    }

    /// Adds bytes of the file; neighbours are joined.
    pub(super) fn push(&mut self, range: Range) {
        if range.length == 0 {
            return;
        }
        if let Some(Piece::Stored(last)) = self.pieces.last_mut()
            && last.end() == range.offset
        {
            last.length = last.length.saturating_add(range.length);
            return;
        }
        self.pieces.push(Piece::Stored(range));
    }

    /// Returns the picture as it lies in a copy that keeps these ranges, in the order of the file, each from that position on.
    /// Nothing if the copy does not keep all of it.
    pub(super) fn carried(&self, kept: &[(Range, u64)]) -> Option<Self> {
        let mut carried = Self::default();
        for piece in &self.pieces {
            match piece {
                Piece::Words(words) => carried.push_words(words.clone()),
                Piece::Stored(range) => carried.push_carried(*range, kept)?,
            }
        }
        Some(carried)
    }

    fn push_carried(&mut self, range: Range, kept: &[(Range, u64)]) -> Option<()> {
        let mut at = range.offset;
        let first = kept.partition_point(|(one, _)| one.end() <= range.offset);
        for (one, to) in kept.iter().skip(first) {
            if at >= range.end() {
                break;
            }
            let within = at.checked_sub(one.offset)?;
            let end = one.end().min(range.end());
            self.push(Range::new(
                to.saturating_add(within),
                end.saturating_sub(at),
            ));
            at = end;
        }
        (at >= range.end()).then_some(())
    }

    /// Returns the pieces in order.
    pub(super) fn pieces(&self) -> &[Piece] {
        &self.pieces
    }
}

/// What examining a picture file tells: sizes, metadata as stored, and where the picture's own bytes are.
#[derive(Debug, Clone)]
pub struct Anatomy {
    /// The container.
    pub kind: Kind,
    /// The length of the file in bytes.
    pub length: u64,
    /// Width in pixels as stored, before any turning.
    pub width: u32,
    /// Height in pixels as stored, before any turning.
    pub height: u32,
    /// Bits of one channel.
    pub bits: u16,
    /// The number of channels, transparency included.
    pub channels: u16,
    /// What the channels mean.
    pub colour: Colour,
    /// Pixels per inch as stored, if the file says so.
    pub resolution: Option<Resolution>,
    /// Which way is up, 1 to 8, if the file says so. [TIFF6 8 Orientation]
    pub orientation: Option<u16>,
    /// The number of pages or moving pictures; 1 for an ordinary picture.
    pub pages: u32,
    /// The Exif block as a TIFF structure, without `Exif\0\0`. For a TIFF file a small one with the same values.
    pub exif: Option<Vec<u8>>,
    /// The whole XMP packet as stored, an extended part joined in.
    pub packet: Option<Vec<u8>>,
    /// The IPTC-IIM block.
    pub iim: Option<Vec<u8>>,
    /// The ICC profile.
    pub icc: Option<Vec<u8>>,
    /// The bytes after the end of the picture, if there are any.
    pub trailer: Option<Range>,
    /// The private facts found in the container, XMP excepted, each with its place.
    pub private: Vec<Private>,
    /// The bytes of the small pictures that stand beside the picture; nobody has looked yet whether they show the same.
    pub thumbnails: Vec<Range>,
    /// Why nothing may be written into this file although it can be looked at.
    pub refusal: Option<Refusal>,
    /// Things that are not as they should be, but do no harm.
    pub flaws: Vec<Refusal>,
    pub(super) uncertain: Option<Refusal>,
    pub(super) picture: Picture,
    pub(super) layout: Layout,
}

/// Where each container's own parts are, for writing.
#[derive(Debug, Clone)]
pub(super) enum Layout {
    /// JPEG.
    Jpeg(super::jpeg::Layout),
    /// TIFF and BigTIFF.
    Tiff(super::tiff::Layout),
    /// PNG.
    Png(super::png::Layout),
    /// WebP.
    WebP(super::webp::Layout),
}

impl Anatomy {
    /// Returns an anatomy that knows only its kind, to be filled.
    pub(super) fn new(kind: Kind, length: u64, layout: Layout) -> Self {
        Self {
            kind,
            length,
            width: 0,
            height: 0,
            bits: 8,
            channels: 1,
            colour: Colour::Other,
            resolution: None,
            orientation: None,
            pages: 1,
            exif: None,
            packet: None,
            iim: None,
            icc: None,
            trailer: None,
            private: Vec::new(),
            thumbnails: Vec::new(),
            refusal: None,
            flaws: Vec::new(),
            uncertain: None,
            picture: Picture::default(),
            layout,
        }
    }

    /// Returns colour and depth in plain words, for example "colour, 8 bits".
    #[must_use]
    pub fn colour_words(&self) -> String {
        match (self.colour, self.bits) {
            (Colour::Grey, 1) => "black and white".to_owned(),
            (colour, 1) => format!("{}, 1 bit", colour.word()),
            (colour, bits) => format!("{}, {bits} bits", colour.word()),
        }
    }

    /// Returns the ranges of bytes that are the picture itself, in the order in which the picture digest takes them.
    pub fn picture_ranges(&self) -> impl Iterator<Item = Range> {
        self.picture
            .pieces()
            .iter()
            .filter_map(|piece| match piece {
                Piece::Stored(range) => Some(*range),
                Piece::Words(_) => None,
            })
    }

    /// Returns the private facts found in the container, each once, XMP excepted.
    #[must_use]
    pub fn private_facts(&self) -> Vec<super::private::PrivateFact> {
        let mut facts: Vec<_> = self.private.iter().map(|private| private.fact).collect();
        facts.sort_unstable();
        facts.dedup();
        facts
    }

    /// Returns where the packet begins in the file, if there is one.
    #[must_use]
    pub fn packet_at(&self) -> Option<u64> {
        self.packet.as_ref()?;
        match &self.layout {
            Layout::Jpeg(layout) => layout.packet_at(),
            Layout::Tiff(layout) => layout.packets().next().map(|range| range.offset),
            Layout::Png(layout) => layout.packet_at(),
            Layout::WebP(layout) => layout.packet_at(),
        }
    }

    /// Notes the first reason for which nothing may be written.
    pub(super) fn refuse(&mut self, offset: u64, why: &'static str) {
        self.refusal.get_or_insert(Refusal { offset, why });
    }

    /// Notes the first reason for which it is not certain which bytes are the picture, so that nothing may be written either.
    pub(super) fn refuse_picture(&mut self, offset: u64, why: &'static str) {
        self.uncertain.get_or_insert(Refusal { offset, why });
        self.refuse(offset, why);
    }

    /// Notes something that is not as it should be.
    pub(super) fn flaw(&mut self, offset: u64, why: &'static str) {
        // A file of nothing but faults must not fill the memory.
        if self.flaws.len() < 100 {
            self.flaws.push(Refusal { offset, why });
        }
    }

    /// Takes over an Exif block that begins at `base` in the file.
    pub(super) fn take_exif(&mut self, exif: Vec<u8>, base: u64) {
        let (orientation, resolution) = super::basics::of_exif(&exif);
        self.orientation = orientation;
        self.resolution = self.resolution.or(resolution);
        self.private.extend(super::private::in_exif(&exif, base));
        self.thumbnails
            .extend(super::private::thumbnails_in_exif(&exif, base));
        self.exif = Some(exif);
    }
}
