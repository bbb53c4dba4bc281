//! JPEG: a row of marker segments, the coded scans, and whatever follows. [ITU-T T.81 annex B]
//!
//! Counted as picture: every segment that tells a decoder how to decode, and the coded scans. Not counted: application
//! segments (except Adobe's, which tells how colours were turned) and comments.

mod metadata;
mod scans;
mod splice;

pub(super) use splice::edits;

use super::anatomy::Anatomy;
use super::anatomy::Colour;
use super::anatomy::Layout as AnyLayout;
use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use super::kind::Kind;
use super::source::Order;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use std::io::Read;
use std::io::Seek;

/// The second byte of a marker. [T81 table B.1]
const DHT: u8 = 0xc4;
const DAC: u8 = 0xcc;
const EOI: u8 = 0xd9;
const SOS: u8 = 0xda;
const DHP: u8 = 0xde;
const APP0: u8 = 0xe0;
const APP1: u8 = 0xe1;
const APP2: u8 = 0xe2;
const APP13: u8 = 0xed;
const APP14: u8 = 0xee;
const COM: u8 = 0xfe;

/// How application segments begin.
const JFIF: &[u8] = b"JFIF\0"; // [T.871 10.1]
const EXIF: &[u8] = b"Exif\0"; // followed by one byte, usually 0. [CIPA DC-008 4.7.2]
const XMP: &[u8] = b"http://ns.adobe.com/xap/1.0/\0"; // [ISO16684-3 / XMP part 3, 1.1.3]
const EXTENDED: &[u8] = b"http://ns.adobe.com/xmp/extension/\0"; // [XMP part 3, 1.1.3.1]
const ADOBE: &[u8] = b"Adobe";
const PHOTOSHOP: &[u8] = b"Photoshop 3.0\0";

/// The most segments before the first scan; the largest real files have a few hundred (profile and extended packet).
const SEGMENT_LIMIT: u64 = 20_000;
/// The most bytes before a marker. [T81 B.1.1.2] sets no bound; real files have at most a few.
const STRAY_LIMIT: usize = 64 * 1024;

/// One marker segment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    /// The second byte of its marker.
    marker: u8,
    /// All its bytes, from the marker on.
    range: Range,
}

impl Segment {
    /// Returns the bytes after marker and length.
    const fn payload(self) -> Range {
        Range::new(
            self.range.offset.saturating_add(4),
            self.range.length.saturating_sub(4),
        )
    }
}

/// Where the parts are that writing concerns.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// The segments that hold the packet now.
    packets: Vec<Range>,
    /// Where a packet goes if there is none.
    insert_at: u64,
    /// The numbers of the index of further pictures that depend on positions. [CIPA DC-007 5.2.3]
    index: Option<Index>,
}

impl Layout {
    /// Returns where the first packet begins.
    pub(super) fn packet_at(&self) -> Option<u64> {
        self.packets.first().map(|range| range.offset)
    }
}

/// The index of further pictures after the first.
#[derive(Debug, Clone)]
struct Index {
    /// The position from which it counts.
    base: u64,
    order: Order,
    /// Position of each entry of 16 bytes, with the length and the offset that it holds.
    entries: Vec<(u64, u64, u64)>,
}

/// Returns what is known of a JPEG file.
pub(super) fn examine<R: Read + Seek>(
    source: &mut Source<'_, R>,
) -> Result<Anatomy, ContainerError> {
    let mut anatomy = Anatomy::new(
        Kind::Jpeg,
        source.length(),
        AnyLayout::Jpeg(Layout::default()),
    );
    let (segments, scans_at) = segments(source, &mut anatomy)?;
    let frame = frame(source, &segments, &mut anatomy)?;
    let layout = metadata::read(source, &segments, &mut anatomy)?;
    count_tables(source, &segments, frame, &mut anatomy)?;
    scans::walk(source, scans_at, &mut anatomy)?;
    anatomy.layout = AnyLayout::Jpeg(layout);
    Ok(anatomy)
}

/// Reads the segments before the first scan, and the position of that scan.
fn segments<R: Read + Seek>(
    source: &mut Source<'_, R>,
    anatomy: &mut Anatomy,
) -> Result<(Vec<Segment>, u64), ContainerError> {
    let mut segments = Vec::new();
    let mut at = 2;
    loop {
        let (marker, start) = marker(source, at, anatomy)?;
        match marker {
            SOS => return Ok((segments, start)),
            EOI => return Err(broken(start, "the picture ends before it begins")),
            0xf7 => {
                return Err(ContainerError::Unsupported {
                    offset: start,
                    why: "this is JPEG-LS, which few programs can show",
                });
            }
            0x00..=0xbf | 0xd0..=0xd8 => {
                return Err(broken(start, "a marker stands where it has no business"));
            }
            _ => {}
        }
        let segment = segment(source, marker, start)?;
        segments.push(segment);
        within(
            start,
            "too many segments",
            count_of(segments.len()),
            SEGMENT_LIMIT,
        )?;
        at = segment.range.end();
    }
}

/// Finds the next marker from a position on, and where its last 0xFF is. Fill bytes before it are allowed [T81 B.1.1.2];
/// other bytes are not, but cameras have left some there, and decoders skip them.
fn marker<R: Read + Seek>(
    source: &mut Source<'_, R>,
    at: u64,
    anatomy: &mut Anatomy,
) -> Result<(u8, u64), ContainerError> {
    if let [0xff, marker @ (1..=0xfe)] = source.peek(at, 2)?[..] {
        return Ok((marker, at));
    }
    let head = source.peek(at, STRAY_LIMIT)?;
    let pairs = head.iter().zip(head.iter().skip(1));
    let found = pairs
        .enumerate()
        .find(|(_, (first, second))| **first == 0xff && !matches!(second, 0 | 0xff));
    let Some((skipped, (_, marker))) = found else {
        return Err(broken(
            at,
            "the file ends before the picture begins, or the order of its segments is lost",
        ));
    };
    if head.iter().take(skipped).any(|byte| *byte != 0xff) {
        anatomy.flaw(at, "stray bytes stand between two segments");
    }
    Ok((*marker, at.saturating_add(count_of(skipped))))
}

/// Reads the length of the segment whose marker is at `start`.
fn segment<R: Read + Seek>(
    source: &mut Source<'_, R>,
    marker: u8,
    start: u64,
) -> Result<Segment, ContainerError> {
    let length_at = start.saturating_add(2);
    let field = source.read(Range::new(length_at, 2), "the file ends within a segment")?;
    let length = Order::Big.number(&field);
    let range = Range::new(start, length.saturating_add(2));
    if length < 2 || !source.holds(range) {
        return Err(broken(length_at, "a segment has a length that cannot be"));
    }
    Ok(Segment { marker, range })
}

/// What the frame header says that the digest needs.
#[derive(Debug, Clone, Copy)]
struct Frame {
    /// Three channels called R, G and B.
    named_rgb: bool,
    /// Three channels.
    three: bool,
}

const fn is_frame(marker: u8) -> bool {
    matches!(marker, 0xc0..=0xcf) && !matches!(marker, DHT | 0xc8 | DAC)
}

/// Reads size and colours from the frame header. [T81 B.2.2]
fn frame<R: Read + Seek>(
    source: &mut Source<'_, R>,
    segments: &[Segment],
    anatomy: &mut Anatomy,
) -> Result<Frame, ContainerError> {
    let Some(segment) = segments.iter().find(|one| is_frame(one.marker)) else {
        return Err(broken(2, "nothing says how large the picture is"));
    };
    let at = segment.range.offset;
    let bytes = source.read(segment.payload(), "the frame header is cut short")?;
    let cut = || broken(at, "the frame header is cut short");
    let number = |place, width| Order::Big.at(&bytes, place, width).ok_or_else(cut);
    anatomy.bits = u16::try_from(number(0, 1)?).unwrap_or(8);
    anatomy.height = u32::try_from(number(1, 2)?).unwrap_or(0);
    anatomy.width = u32::try_from(number(3, 2)?).unwrap_or(0);
    anatomy.channels = u16::try_from(number(5, 1)?).unwrap_or(0);
    if anatomy.width == 0 || anatomy.channels == 0 {
        return Err(broken(at, "the picture has no size"));
    }
    if anatomy.height == 0 {
        anatomy.refuse(at, "the picture says only at its end how high it is");
    }
    if segments.iter().any(|one| one.marker == DHP)
        || matches!(segment.marker, 0xc5..=0xc7 | 0xcd..=0xcf)
    {
        anatomy.refuse(
            at,
            "the picture is coded in layers, which few programs can show",
        );
    }
    let names: Vec<u8> = bytes
        .get(6..)
        .unwrap_or_default()
        .chunks_exact(3)
        .filter_map(|one| one.first().copied())
        .collect();
    if names.len() != usize::from(anatomy.channels) {
        return Err(cut());
    }
    anatomy.colour = match anatomy.channels {
        1 => Colour::Grey,
        3 => Colour::Colour,
        4 => Colour::Cmyk,
        _ => Colour::Other,
    };
    Ok(Frame {
        named_rgb: names == b"RGB",
        three: anatomy.channels == 3,
    })
}

/// Counts the segments before the first scan that tell how to decode.
fn count_tables<R: Read + Seek>(
    source: &mut Source<'_, R>,
    segments: &[Segment],
    frame: Frame,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let mut jfif = false;
    let mut untransformed = frame.named_rgb;
    let mut counted = Vec::new();
    for segment in segments {
        let head = source.peek(segment.payload().offset, 12)?;
        let head = within_payload(&head, *segment);
        jfif |= segment.marker == APP0 && head.starts_with(JFIF);
        let adobe = segment.marker == APP14 && head.starts_with(ADOBE);
        untransformed |= adobe && head.get(11) == Some(&0);
        if adobe || is_counted(segment.marker) {
            counted.push(segment.range);
        }
    }
    // A JFIF segment overrules the names of channels and Adobe's word that colours were not turned, so then it counts.
    if jfif && untransformed && frame.three {
        anatomy.picture.push_words(b"JFIF".to_vec());
    }
    counted
        .into_iter()
        .for_each(|range| anatomy.picture.push(range));
    Ok(())
}

fn within_payload(head: &[u8], segment: Segment) -> &[u8] {
    let length = usize::try_from(segment.payload().length).unwrap_or(usize::MAX);
    head.get(..length.min(head.len())).unwrap_or_default()
}

/// Frame headers, tables of every kind and scan headers.
const fn is_counted(marker: u8) -> bool {
    matches!(marker, 0xc0..=0xcf | 0xda..=0xdf)
}
