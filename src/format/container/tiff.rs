//! TIFF and BigTIFF: directories that point to strips, tiles and to each other. [TIFF 6.0; BigTIFF]
//!
//! Counted as picture: for each directory in order, and for the directories below it, the values of the tags that decide how
//! the picture is decoded, and then the bytes of its strips, tiles and JPEG stream.

mod compact;
mod page;
mod splice;

pub(super) use splice::edits;

use super::anatomy::Anatomy;
use super::anatomy::Colour;
use super::anatomy::Layout as AnyLayout;
use super::basics;
use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use super::ifd;
use super::ifd::Directory;
use super::ifd::Entry;
use super::ifd::Shape;
use super::image_resource;
use super::kind::Kind;
use super::private;
use super::private::Private;
use super::private::PrivateFact;
use super::source::PIECE_LIMIT;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use std::collections::BTreeSet;
use std::io::Read;
use std::io::Seek;

/// `DNGVersion`. [DNG 1.4]
pub(super) const DNG_VERSION: u64 = 50_706;
/// The packet. [XMP part 3, 1.1.8]
const PACKET: u16 = 700;
/// IPTC-IIM, image resources, ICC profile. [ICC.1 B.6; TIFF registered tags]
const IIM: u16 = 33_723;
const IMAGE_RESOURCES: u16 = 34_377;
const PROFILE: u16 = 34_675;
/// Directories below a directory. [TIFF/EP; Adobe `PageMaker` 6.0 TIFF Technical Notes]
const SUB_DIRECTORIES: u16 = 330;
const WIDTH: u16 = 256;
const HEIGHT: u16 = 257;
const BITS: u16 = 258;
const COMPRESSION: u16 = 259;
const PHOTOMETRIC: u16 = 262;
const SAMPLES: u16 = 277;

/// The most directories of one file. Scanned books have hundreds of pages.
const DIRECTORY_LIMIT: u64 = 4096;
/// The most entries in all directories together.
const ENTRY_TOTAL_LIMIT: u64 = 200_000;
/// How deep directories may lie below each other.
const DEPTH_LIMIT: u8 = 4;

/// Where the parts are that writing concerns.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    /// How numbers are written.
    shape: Shape,
    /// The first directory.
    first: Directory,
    /// All packets, superseded or on later pages.
    packets: Vec<Range>,
}

impl Layout {
    /// Returns the ranges of all packets.
    pub(super) fn packets(&self) -> impl Iterator<Item = Range> {
        self.packets.iter().copied()
    }

    /// Returns the layout of an empty file.
    fn empty(shape: Shape) -> Self {
        Self {
            shape,
            first: Directory {
                range: Range::new(0, 0),
                entries: Vec::new(),
                table: Vec::new(),
                next: 0,
            },
            packets: Vec::new(),
        }
    }
}

/// What is carried along while the directories are walked.
struct Walk {
    shape: Shape,
    seen: BTreeSet<u64>,
    entries: u64,
    pages: u32,
    first: Option<Directory>,
    packets: Vec<Range>,
}

/// Returns what is known of a TIFF or BigTIFF file.
pub(super) fn examine<R: Read + Seek>(
    source: &mut Source<'_, R>,
) -> Result<Anatomy, ContainerError> {
    let (shape, first) = ifd::header(source)?;
    let kind = if shape.big { Kind::BigTiff } else { Kind::Tiff };
    let mut anatomy = Anatomy::new(kind, source.length(), AnyLayout::Tiff(Layout::empty(shape)));
    let mut walk = Walk {
        shape,
        seen: BTreeSet::new(),
        entries: 0,
        pages: 0,
        first: None,
        packets: Vec::new(),
    };
    walk.chain(source, first, 0, &mut anatomy)?;
    let Some(first) = walk.first.take() else {
        return Err(broken(shape.first_at(), "the file has no directory"));
    };
    anatomy.pages = walk.pages;
    describe(source, shape, &first, &mut anatomy)?;
    anatomy.layout = AnyLayout::Tiff(Layout {
        shape,
        first,
        packets: walk.packets,
    });
    Ok(anatomy)
}

impl Walk {
    /// Walks a chain of directories and what lies below each.
    fn chain<R: Read + Seek>(
        &mut self,
        source: &mut Source<'_, R>,
        first: u64,
        depth: u8,
        anatomy: &mut Anatomy,
    ) -> Result<(), ContainerError> {
        let mut at = first;
        while at != 0 {
            if !self.seen.insert(at) {
                // Some programs list all directories below a page and chain them to each other too: each counts once. The
                // first one moves when a packet is put in, so nothing may point to it but the header.
                let is_first = self.first.as_ref().map(|first| first.range.offset) == Some(at);
                if depth > 0 && !is_first {
                    return Ok(());
                }
                return Err(broken(
                    at,
                    "the directories point to each other in a circle",
                ));
            }
            within(
                at,
                "too many pages",
                count_of(self.seen.len()),
                DIRECTORY_LIMIT,
            )?;
            let directory = ifd::directory(source, self.shape, at)?;
            self.entries = self
                .entries
                .saturating_add(count_of(directory.entries.len()));
            within(
                at,
                "too many entries in all directories",
                self.entries,
                ENTRY_TOTAL_LIMIT,
            )?;
            refuse_raw(source, self.shape, &directory)?;
            if depth == 0 {
                self.pages = self.pages.saturating_add(1);
            }
            let is_first = self.first.is_none();
            if is_first {
                self.first = Some(directory.clone());
            }
            self.directory(source, &directory, (depth, is_first), anatomy)?;
            at = directory.next;
        }
        Ok(())
    }

    fn directory<R: Read + Seek>(
        &mut self,
        source: &mut Source<'_, R>,
        directory: &Directory,
        (depth, is_first): (u8, bool),
        anatomy: &mut Anatomy,
    ) -> Result<(), ContainerError> {
        check_values(source, self.shape.header_length(), directory, anatomy);
        if anatomy.uncertain.is_none() {
            page::count(source, self.shape, directory, anatomy)?;
        }
        self.notes(source, directory, is_first, anatomy);
        private::in_directory(source, self.shape, directory, &mut anatomy.private);
        if let Some(entry) = directory.entry(SUB_DIRECTORIES) {
            if depth >= DEPTH_LIMIT {
                return Err(broken(
                    entry.at,
                    "directories lie too deep below each other",
                ));
            }
            within(entry.at, "too many pages", entry.count, DIRECTORY_LIMIT)?;
            let below = match ifd::numbers(source, self.shape, entry) {
                Ok(below) => below,
                // A value outside the file was noted as a refusal already.
                Err(ContainerError::Format { .. }) => Vec::new(),
                Err(error) => return Err(error),
            };
            for at in below {
                self.chain(source, at, depth.saturating_add(1), anatomy)?;
            }
        }
        Ok(())
    }

    /// Notes packets, and private copies in image resources.
    fn notes<R: Read + Seek>(
        &mut self,
        source: &mut Source<'_, R>,
        directory: &Directory,
        is_first: bool,
        anatomy: &mut Anatomy,
    ) {
        if let Some(entry) = directory.entry(PACKET) {
            self.packets.push(entry.value);
            if !is_first && !is_zero(source, entry.value) {
                anatomy.private.push(Private {
                    fact: PrivateFact::ProgramNotes,
                    ranges: vec![entry.value],
                });
            }
        }
        if let Some(entry) = directory.entry(IMAGE_RESOURCES) {
            match source.read(entry.value, "a value lies outside the file") {
                Ok(block) => image_resource::take(&block, 0, entry.value.offset, anatomy),
                // A value outside the file was noted as a refusal already.
                Err(ContainerError::Format { .. }) => {}
                Err(_) => anatomy.refuse(
                    entry.at,
                    "the notes of another program are too large to be looked at",
                ),
            }
        }
    }
}

/// Tells whether a range holds nothing but zeros, or lies outside the file. What is too large to be looked at is not zero.
fn is_zero<R: Read + Seek>(source: &mut Source<'_, R>, range: Range) -> bool {
    source
        .read(range, "a value lies outside the file")
        .map_or(!source.holds(range), |bytes| {
            bytes.iter().all(|byte| *byte == 0)
        })
}

/// Camera raw files look like TIFF, but positions are hidden in what only their makers can read.
fn refuse_raw<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
) -> Result<(), ContainerError> {
    let dng = directory
        .entries
        .iter()
        .find(|entry| u64::from(entry.tag) == DNG_VERSION);
    let mosaic = ifd::number(source, shape, directory, PHOTOMETRIC)?;
    let coding = ifd::number(source, shape, directory, COMPRESSION)?;
    let raw =
        matches!(mosaic, Some(32_803 | 34_892)) || matches!(coding, Some(32_767 | 34_713 | 65_535));
    let (kind, offset) = match dng {
        Some(entry) => (Kind::Dng, entry.at),
        None if raw => (Kind::Raw, directory.range.offset),
        None => return Ok(()),
    };
    Err(ContainerError::Unsupported {
        offset,
        why: kind.why_not().unwrap_or("this is a camera raw file"),
    })
}

/// A value outside the file would come to point into what is appended; one over the header would change with it.
fn check_values<R: Read + Seek>(
    source: &Source<'_, R>,
    header: u64,
    directory: &Directory,
    anatomy: &mut Anatomy,
) {
    if directory.range.offset < header {
        anatomy.refuse_picture(directory.range.offset, "a directory lies over the header");
    }
    for entry in &directory.entries {
        if entry.inline {
            continue;
        }
        if !source.holds(entry.value) {
            anatomy.refuse_picture(entry.at, "an entry points outside the file");
        } else if entry.value.offset < header {
            anatomy.refuse_picture(entry.at, "an entry points over the header");
        }
    }
}

/// Reads what the first directory says of the picture, and its metadata.
fn describe<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let one = |source: &mut Source<'_, R>, tag| ifd::number(source, shape, directory, tag);
    let size = |number: Option<u64>| number.and_then(|one| u32::try_from(one).ok()).unwrap_or(0);
    anatomy.width = size(one(source, WIDTH)?);
    anatomy.height = size(one(source, HEIGHT)?);
    if anatomy.width == 0 || anatomy.height == 0 {
        return Err(broken(directory.range.offset, "the picture has no size"));
    }
    let small = |number: Option<u64>| u16::try_from(number.unwrap_or(1)).unwrap_or(1);
    anatomy.bits = small(one(source, BITS)?);
    anatomy.channels = small(one(source, SAMPLES)?);
    anatomy.colour = colour(one(source, PHOTOMETRIC)?);
    (anatomy.orientation, anatomy.resolution) = basics::of_directory(source, shape, directory);
    for entry in [PACKET, IIM].iter().filter_map(|tag| directory.entry(*tag)) {
        if source.holds(entry.value) && entry.value.length > PIECE_LIMIT {
            anatomy.refuse(
                entry.at,
                "the record of another program is too large to be read",
            );
        }
    }
    let mut value = |tag: u16| stored(source, directory.entry(tag)?);
    anatomy.packet = value(PACKET);
    anatomy.icc = value(PROFILE);
    if let Some(iim) = value(IIM) {
        anatomy.iim = Some(iim);
    }
    anatomy.exif = Some(compact::exif(source, shape, directory));
    Ok(())
}

fn stored<R: Read + Seek>(source: &mut Source<'_, R>, entry: &Entry) -> Option<Vec<u8>> {
    let bytes = source
        .read(entry.value, "a value lies outside the file")
        .ok()?;
    (!bytes.is_empty()).then_some(bytes)
}

/// `PhotometricInterpretation`. [TIFF6 8, 21, 23]
const fn colour(number: Option<u64>) -> Colour {
    match number {
        Some(0 | 1) => Colour::Grey,
        Some(2 | 6 | 8 | 9 | 10) => Colour::Colour,
        Some(3) => Colour::Palette,
        Some(5) => Colour::Cmyk,
        _ => Colour::Other,
    }
}
