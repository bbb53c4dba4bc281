//! PNG: a signature and a row of chunks. [PNG Third Edition 5]
//!
//! Counted as picture: IHDR, PLTE, tRNS, IDAT, and for moving pictures acTL, fcTL and fdAT.

mod splice;

pub(super) use splice::blanking;
pub(super) use splice::edits;

use super::anatomy::Anatomy;
use super::anatomy::Colour;
use super::anatomy::Layout as AnyLayout;
use super::anatomy::Resolution;
use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use super::inflate::inflated;
use super::kind::Kind;
use super::private::Private;
use super::private::PrivateFact;
use super::source::Order;
use super::source::PIECE_LIMIT;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use std::io::Read;
use std::io::Seek;

/// The signature. [PNG3 5.2]
pub(super) const SIGNATURE: &[u8; 8] = b"\x89PNG\r\n\x1a\n";
/// The keyword of an XMP packet. [XMP part 3, 1.1.5]
pub(super) const KEYWORD: &[u8] = b"XML:com.adobe.xmp";
/// How old text chunks with camera details begin.
const RAW_PROFILE: &[u8] = b"Raw profile type ";
/// A chunk cannot be longer. [PNG3 5.3]
const CHUNK_LIMIT: u64 = 0x7fff_ffff;
/// The most chunks; a file of 600 MB in pieces of 8 KiB has about 75,000.
const COUNT_LIMIT: u64 = 1_000_000;

/// Where the parts are that writing concerns.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// The chunks that hold a packet now.
    packets: Vec<Range>,
    /// Where the first chunk of the picture's bytes begins.
    first_idat: u64,
    /// The Exif chunk.
    exif: Option<Range>,
    /// Text chunks that hold camera details in an old manner.
    raw_profiles: Vec<Range>,
}

impl Layout {
    /// Returns where the first packet begins.
    pub(super) fn packet_at(&self) -> Option<u64> {
        self.packets.first().map(|range| range.offset)
    }
}

/// One chunk: length, type, content, checksum.
#[derive(Debug, Clone, Copy)]
struct Chunk {
    name: [u8; 4],
    range: Range,
}

impl Chunk {
    const fn content(self) -> Range {
        Range::new(
            self.range.offset.saturating_add(8),
            self.range.length.saturating_sub(12),
        )
    }

    /// Upper case first letter: a decoder must understand it. [PNG3 5.4]
    const fn is_critical(self) -> bool {
        self.name[0] & 0x20 == 0
    }

    fn is_picture(self) -> bool {
        matches!(
            &self.name,
            b"IHDR" | b"PLTE" | b"tRNS" | b"IDAT" | b"acTL" | b"fcTL" | b"fdAT"
        )
    }
}

/// Returns what is known of a PNG file.
pub(super) fn examine<R: Read + Seek>(
    source: &mut Source<'_, R>,
) -> Result<Anatomy, ContainerError> {
    let mut anatomy = Anatomy::new(
        Kind::Png,
        source.length(),
        AnyLayout::Png(Layout::default()),
    );
    let mut layout = Layout::default();
    let mut packets: Vec<Vec<u8>> = Vec::new();
    let mut at = count_of(SIGNATURE.len());
    let mut count = 0_u64;
    loop {
        let chunk = chunk(source, at)?;
        count = count.saturating_add(1);
        within(at, "too many chunks", count, COUNT_LIMIT)?;
        if (count == 1) != (&chunk.name == b"IHDR") {
            return Err(broken(at, "the picture does not begin with its size"));
        }
        if chunk.is_picture() {
            anatomy.picture.push(chunk.range);
        } else if chunk.is_critical() && &chunk.name != b"IEND" {
            anatomy.refuse(
                at,
                "the file has a part that kithbag does not know and that changes the picture",
            );
        }
        read_chunk(source, chunk, &mut layout, &mut packets, &mut anatomy)?;
        at = chunk.range.end();
        if &chunk.name == b"IEND" {
            break;
        }
    }
    if layout.first_idat == 0 {
        return Err(broken(at, "the file ends without a picture"));
    }
    take_packet(packets, &layout, &mut anatomy);
    super::note_trailer(source, at, &mut anatomy)?;
    anatomy.layout = AnyLayout::Png(layout);
    Ok(anatomy)
}

fn chunk<R: Read + Seek>(source: &mut Source<'_, R>, at: u64) -> Result<Chunk, ContainerError> {
    let head = source.read(Range::new(at, 8), "the file is cut short")?;
    let length = Order::Big.at(&head, 0, 4).unwrap_or(u64::MAX);
    let name: [u8; 4] = head
        .get(4..8)
        .and_then(|name| name.try_into().ok())
        .ok_or_else(|| broken(at, "the file is cut short"))?;
    if length > CHUNK_LIMIT || !name.iter().all(u8::is_ascii_alphabetic) {
        return Err(broken(at, "the order of chunks is lost"));
    }
    let range = Range::new(at, length.saturating_add(12));
    if !source.holds(range) {
        return Err(broken(at, "the file is cut short"));
    }
    Ok(Chunk { name, range })
}

fn read_chunk<R: Read + Seek>(
    source: &mut Source<'_, R>,
    chunk: Chunk,
    layout: &mut Layout,
    packets: &mut Vec<Vec<u8>>,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    const CUT: &str = "a chunk is cut short";
    match &chunk.name {
        b"IHDR" => header(&source.read(chunk.range, CUT)?, anatomy)?,
        b"IDAT" if layout.first_idat == 0 => layout.first_idat = chunk.range.offset,
        b"acTL" => {
            let content = source.read(chunk.content(), CUT)?;
            anatomy.pages = Order::Big
                .at(&content, 0, 4)
                .and_then(|one| u32::try_from(one).ok())
                .unwrap_or(1)
                .max(1);
        }
        b"pHYs" => anatomy.resolution = density(&source.read(chunk.content(), CUT)?),
        b"eXIf" => {
            let content = source.read(chunk.content(), CUT)?;
            layout.exif = Some(chunk.range);
            anatomy.take_exif(content, chunk.content().offset);
        }
        b"iCCP" => anatomy.icc = profile(&source.read(chunk.content(), CUT)?),
        b"iTXt" | b"tEXt" | b"zTXt" => text(source, chunk, layout, packets, anatomy)?,
        _ => {}
    }
    Ok(())
}

/// Reads the header; its checksum must hold, as everything else hangs on it. [PNG3 11.2.1]
fn header(chunk: &[u8], anatomy: &mut Anatomy) -> Result<(), ContainerError> {
    let at = count_of(SIGNATURE.len());
    let checked = chunk.get(4..21).unwrap_or_default();
    if chunk.len() != 25 || Order::Big.at(chunk, 21, 4) != Some(u64::from(crc32fast::hash(checked)))
    {
        return Err(broken(
            at,
            "the part that says how large the picture is is damaged",
        ));
    }
    let size = |place| {
        Order::Big
            .at(chunk, place, 4)
            .and_then(|one| u32::try_from(one).ok())
            .unwrap_or(0)
    };
    anatomy.width = size(8);
    anatomy.height = size(12);
    anatomy.bits = chunk.get(16).copied().map_or(8, u16::from);
    (anatomy.colour, anatomy.channels) = match chunk.get(17) {
        Some(0) => (Colour::Grey, 1),
        Some(2) => (Colour::Colour, 3),
        Some(3) => (Colour::Palette, 1),
        Some(4) => (Colour::Grey, 2),
        Some(6) => (Colour::Colour, 4),
        _ => return Err(broken(at, "the picture has colours of an unknown kind")),
    };
    if anatomy.width == 0 || anatomy.height == 0 {
        return Err(broken(at, "the picture has no size"));
    }
    Ok(())
}

/// Unit 1 is the metre. [PNG3 11.3.4.3]
fn density(content: &[u8]) -> Option<Resolution> {
    let number = |place| {
        Order::Big
            .at(content, place, 4)
            .and_then(|one| u32::try_from(one).ok())
    };
    let (x, y) = (f64::from(number(0)?), f64::from(number(4)?));
    (content.get(8) == Some(&1))
        .then(|| Resolution::new(x * 0.0254, y * 0.0254))
        .flatten()
}

/// Name, zero, method, deflated profile. [PNG3 11.3.2.3]
fn profile(content: &[u8]) -> Option<Vec<u8>> {
    let (_, rest) = split_at_zero(content)?;
    inflated(rest.get(1..)?, PIECE_LIMIT)
}

fn split_at_zero(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let at = bytes.iter().position(|byte| *byte == 0)?;
    Some((bytes.get(..at)?, bytes.get(at.checked_add(1)?..)?))
}

/// Reads a text chunk as far as it holds a packet or camera details.
fn text<R: Read + Seek>(
    source: &mut Source<'_, R>,
    chunk: Chunk,
    layout: &mut Layout,
    packets: &mut Vec<Vec<u8>>,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let at = chunk.content().offset;
    let head = source.peek(at, 80)?;
    if &chunk.name == b"iTXt" && head.starts_with(KEYWORD) && head.get(KEYWORD.len()) == Some(&0) {
        let content = source.read(chunk.content(), "a chunk is cut short")?;
        match packet(&content) {
            Some(packet) => packets.push(packet),
            None => anatomy.refuse(at, "the record of another program cannot be unpacked"),
        }
        layout.packets.push(chunk.range);
    } else if head.starts_with(RAW_PROFILE) {
        layout.raw_profiles.push(chunk.range);
        anatomy.private.push(Private {
            fact: PrivateFact::ProgramNotes,
            ranges: vec![chunk.range],
        });
    }
    Ok(())
}

/// Keyword, zero, flag, method, language, zero, keyword in that language, zero, text. [PNG3 11.3.3.4]
fn packet(content: &[u8]) -> Option<Vec<u8>> {
    let (_, rest) = split_at_zero(content)?;
    let flag = rest.first()?;
    let (_, rest) = split_at_zero(rest.get(2..)?)?;
    let (_, text) = split_at_zero(rest)?;
    match flag {
        0 => Some(text.to_vec()),
        1 => inflated(text, PIECE_LIMIT),
        _ => None,
    }
}

fn take_packet(packets: Vec<Vec<u8>>, layout: &Layout, anatomy: &mut Anatomy) {
    let mut packets = packets.into_iter();
    let Some(first) = packets.next() else {
        return;
    };
    if packets.any(|other| other != first) {
        let offset = layout.packets.first().map_or(0, |range| range.offset);
        anatomy.refuse(
            offset,
            "the file holds two different records of another program",
        );
    }
    anatomy.packet = Some(first);
}
