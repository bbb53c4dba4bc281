//! Private facts: what a camera or a program wrote into a file that says where, with which device or by whom it was made.
//! Each is a list of byte ranges; filling them with zeros takes the fact away and moves no other byte.

use super::error::ContainerError;
use super::ifd;
use super::ifd::Directory;
use super::ifd::Entry;
use super::ifd::Shape;
use super::source::Range;
use super::source::Source;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;

/// The most bytes of one private value that are looked at to see whether it is blank already.
const LOOK: u64 = 64 * 1024;

/// A kind of private fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PrivateFact {
    /// Where the picture was taken.
    Place,
    /// The serial number of a camera, scanner or lens.
    SerialNumber,
    /// The name of the camera's owner.
    OwnerName,
    /// The name of the computer or telephone.
    ComputerName,
    /// What only the camera's maker can read.
    MakerNotes,
    /// What other programs left: older copies of camera details, records on later pages.
    ProgramNotes,
    /// A small picture beside the picture that is not certain to show the same.
    SmallPicture,
    /// Bytes after the end of the picture: second pictures, previews, sounds, films.
    Trailer,
}

impl PrivateFact {
    /// Returns the words that people read.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Place => "place (GPS)",
            Self::SerialNumber => "camera serial number",
            Self::OwnerName => "owner name",
            Self::ComputerName => "name of the computer or telephone",
            Self::MakerNotes => "maker's private notes",
            Self::ProgramNotes => "hidden notes of other programs",
            Self::SmallPicture => "small hidden picture that may show something else",
            Self::Trailer => "hidden pictures or sounds after the picture",
        }
    }
}

/// A private fact and the bytes that hold it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Private {
    /// What it is.
    pub fact: PrivateFact,
    /// Where it is in the file.
    pub ranges: Vec<Range>,
}

/// `GPSInfo`. [CIPA DC-008 4.6.3]
const GPS_POINTER: u16 = 0x8825;
/// Exif IFD. [CIPA DC-008 4.6.3]
const EXIF_POINTER: u16 = 0x8769;
/// `GPSVersionID`: says nothing about a place. [CIPA DC-008 4.6.6]
const GPS_VERSION: u16 = 0;

/// Which fact a tag of the first, the second or the Exif directory holds.
const fn fact_of(tag: u16) -> Option<PrivateFact> {
    match tag {
        // BodySerialNumber, LensSerialNumber [CIPA DC-008 4.6.5]; CameraSerialNumber [DNG 1.4].
        0xa431 | 0xa435 | 0xc62f => Some(PrivateFact::SerialNumber),
        // CameraOwnerName. [CIPA DC-008 4.6.5]
        0xa430 => Some(PrivateFact::OwnerName),
        // HostComputer. [TIFF6 8]
        0x013c => Some(PrivateFact::ComputerName),
        // MakerNote [CIPA DC-008 4.6.5]; DNGPrivateData [DNG 1.4].
        0x927c | 0xc634 => Some(PrivateFact::MakerNotes),
        _ => None,
    }
}

/// Finds the private facts of a directory and of the Exif and GPS directories to which it points.
pub(super) fn in_directory<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    found: &mut Vec<Private>,
) {
    in_nested(source, shape, directory, 0, found);
}

fn in_nested<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    depth: u8,
    found: &mut Vec<Private>,
) {
    for entry in &directory.entries {
        match (entry.tag, fact_of(entry.tag)) {
            (GPS_POINTER, _) => found.extend(place(source, shape, entry)),
            (EXIF_POINTER, _) if depth < 2 => {
                if let Some(inner) = pointed(source, shape, entry) {
                    in_nested(source, shape, &inner, depth.saturating_add(1), found);
                }
            }
            (_, Some(fact)) if !is_blank(source, entry.value) => found.push(Private {
                fact,
                ranges: vec![clipped(source, entry.value)],
            }),
            _ => {}
        }
    }
}

/// Finds the private facts of an Exif block that begins at `base` in its file.
pub(super) fn in_exif(exif: &[u8], base: u64) -> Vec<Private> {
    let mut found = Vec::new();
    let mut cursor = Cursor::new(exif);
    let walked = walk_exif(&mut cursor, &mut found);
    if walked.is_err() {
        // A damaged block may hide anything: all of it goes.
        let all = Range::new(0, super::source::count_of(exif.len()));
        if exif.iter().any(|byte| *byte != 0) {
            found = vec![Private {
                fact: PrivateFact::ProgramNotes,
                ranges: vec![all],
            }];
        }
    }
    for range in found.iter_mut().flat_map(|private| &mut private.ranges) {
        range.offset = range.offset.saturating_add(base);
    }
    found
}

fn walk_exif(cursor: &mut Cursor<&[u8]>, found: &mut Vec<Private>) -> Result<(), ContainerError> {
    let mut source = Source::new(cursor)?;
    let (shape, mut at) = ifd::header(&mut source)?;
    // The first directory is about the picture, the second about the thumbnail; there are no others. [CIPA DC-008 4.5.1]
    let first = ifd::directory(&mut source, shape, at)?;
    in_directory(&mut source, shape, &first, found);
    at = first.next;
    // Several cameras leave rubbish where the position of the second should be.
    if at != 0
        && let Ok(second) = ifd::directory(&mut source, shape, at)
    {
        in_directory(&mut source, shape, &second, found);
    }
    Ok(())
}

/// Finds the small pictures of an Exif block that begins at `base` in its file: coded as JPEG, or plain in strips. Those that were
/// blanked already do not count. [CIPA DC-008 4.5.5]
pub(super) fn thumbnails_in_exif(exif: &[u8], base: u64) -> Vec<Range> {
    /// Position and length of the JPEG stream, and of the strips.
    const PLACES: [(u16, u16); 2] = [(513, 514), (273, 279)];
    let mut cursor = Cursor::new(exif);
    let Ok(mut source) = Source::new(&mut cursor) else {
        return Vec::new();
    };
    let Some((shape, second)) = second_directory(&mut source) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (offsets, lengths) in PLACES {
        let mut values = |tag| {
            second
                .entry(tag)
                .and_then(|entry| ifd::numbers(&mut source, shape, entry).ok())
                .unwrap_or_default()
        };
        let (offsets, lengths) = (values(offsets), values(lengths));
        for (offset, length) in offsets.into_iter().zip(lengths) {
            let range = clipped(&source, Range::new(offset, length));
            let there = source.read(range, "a value lies outside the file");
            if there.is_ok_and(|bytes| bytes.iter().any(|byte| *byte != 0)) {
                found.push(Range::new(base.saturating_add(offset), range.length));
            }
        }
    }
    found
}

/// Returns the directory about the small picture.
fn second_directory<R: Read + Seek>(source: &mut Source<'_, R>) -> Option<(Shape, Directory)> {
    let (shape, at) = ifd::header(source).ok()?;
    let next = ifd::directory(source, shape, at).ok()?.next;
    let second = ifd::directory(source, shape, next).ok()?;
    (next != 0).then_some((shape, second))
}

/// The GPS directory becomes one without entries, and the values to which it pointed become zeros.
fn place<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    pointer: &Entry,
) -> Option<Private> {
    let Some(directory) = pointed(source, shape, pointer) else {
        // It cannot be read as a directory, so it is cut off from its readers.
        return (!is_blank(source, pointer.value)).then(|| Private {
            fact: PrivateFact::Place,
            ranges: vec![pointer.value],
        });
    };
    let tells = |entry: &Entry| entry.tag != GPS_VERSION;
    if !directory.entries.iter().any(tells) {
        return None;
    }
    let mut ranges = vec![directory.range];
    for entry in directory.entries.iter().filter(|entry| !entry.inline) {
        ranges.push(clipped(source, entry.value));
    }
    ranges.retain(|range| range.length > 0);
    Some(Private {
        fact: PrivateFact::Place,
        ranges,
    })
}

fn pointed<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    pointer: &Entry,
) -> Option<Directory> {
    let at = ifd::numbers(source, shape, pointer)
        .ok()?
        .first()
        .copied()?;
    ifd::directory(source, shape, at).ok()
}

/// A damaged length must not reach past the end of the file.
fn clipped<R: Read + Seek>(source: &Source<'_, R>, range: Range) -> Range {
    let left = source.length().saturating_sub(range.offset);
    Range::new(range.offset, range.length.min(left))
}

fn is_blank<R: Read + Seek>(source: &mut Source<'_, R>, range: Range) -> bool {
    let range = clipped(source, range);
    if range.length > LOOK {
        return false;
    }
    source
        .read(range, "a value lies outside the file")
        .is_ok_and(|bytes| bytes.iter().all(|byte| matches!(byte, 0 | b' ')))
}
