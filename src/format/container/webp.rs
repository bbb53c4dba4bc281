//! WebP: a RIFF form and a row of chunks. [RFC9649 2]
//!
//! Counted as picture: `VP8 `, `VP8L`, `ALPH`, `ANIM` and `ANMF`; with the last three also the size of the canvas.

mod splice;

pub(super) use splice::edits;

use super::anatomy::Anatomy;
use super::anatomy::Colour;
use super::anatomy::Layout as AnyLayout;
use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use super::kind::Kind;
use super::private::Private;
use super::private::PrivateFact;
use super::source::Order;
use super::source::Range;
use super::source::Source;
use std::io::Read;
use std::io::Seek;

/// RIFF, length, WEBP. [RFC9649 2.4]
const HEADER: u64 = 12;
/// The most chunks; an animation has one for each picture.
const COUNT_LIMIT: u64 = 200_000;
/// Flags of the extended header. [RFC9649 2.7]
const FLAG_XMP: u8 = 0x04;
const FLAG_ALPHA: u8 = 0x10;
const FLAG_ANIMATION: u8 = 0x02;

/// Where the parts are that writing concerns.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    /// The chunks that hold a packet now, padding included.
    packets: Vec<Range>,
    /// The end of the RIFF form.
    end: u64,
    /// The position and value of the flags, if there is an extended header.
    flags: Option<(u64, u8)>,
    /// Whether a lossless picture says that it has transparency.
    alpha: bool,
}

impl Layout {
    /// Returns where the first packet begins.
    pub(super) fn packet_at(&self) -> Option<u64> {
        self.packets.first().map(|range| range.offset)
    }
}

/// One chunk.
#[derive(Debug, Clone, Copy)]
struct Chunk {
    name: [u8; 4],
    /// Name, length and content, without padding.
    range: Range,
    /// The same with padding to an even length.
    padded: Range,
}

impl Chunk {
    const fn content(self) -> Range {
        Range::new(
            self.range.offset.saturating_add(8),
            self.range.length.saturating_sub(8),
        )
    }
}

/// Returns what is known of a WebP file.
pub(super) fn examine<R: Read + Seek>(
    source: &mut Source<'_, R>,
) -> Result<Anatomy, ContainerError> {
    let mut anatomy = Anatomy::new(
        Kind::WebP,
        source.length(),
        AnyLayout::WebP(Layout::default()),
    );
    anatomy.colour = Colour::Colour;
    anatomy.channels = 3;
    let head = source.read(Range::new(0, HEADER), "the file ends within its header")?;
    let size = Order::Little.at(&head, 4, 4).unwrap_or(0);
    let mut layout = Layout {
        end: size.saturating_add(8),
        ..Layout::default()
    };
    if layout.end > source.length() || layout.end < HEADER {
        return Err(broken(
            4,
            "the file has not the length that it gives itself",
        ));
    }
    let chunks = chunks(source, layout.end)?;
    if size & 1 == 1 {
        anatomy.refuse(
            4,
            "the file has an odd length, against the rules of its format",
        );
    }
    let mut packets = Vec::new();
    for chunk in &chunks {
        read_chunk(source, *chunk, &mut layout, &mut packets, &mut anatomy)?;
    }
    count(source, &chunks, &mut anatomy)?;
    finish(source, packets, layout, anatomy)
}

fn finish<R: Read + Seek>(
    source: &mut Source<'_, R>,
    packets: Vec<Vec<u8>>,
    layout: Layout,
    mut anatomy: Anatomy,
) -> Result<Anatomy, ContainerError> {
    anatomy.pages = anatomy.pages.max(1);
    if anatomy.width == 0 || anatomy.height == 0 {
        return Err(broken(HEADER, "the file holds no picture"));
    }
    let mut packets = packets.into_iter();
    if let Some(first) = packets.next() {
        if packets.any(|other| other != first) {
            let offset = layout.packets.first().map_or(0, |range| range.offset);
            anatomy.refuse(
                offset,
                "the file holds two different records of another program",
            );
        }
        anatomy.packet = Some(first);
    }
    super::note_trailer(source, layout.end, &mut anatomy)?;
    anatomy.layout = AnyLayout::WebP(layout);
    Ok(anatomy)
}

fn chunks<R: Read + Seek>(
    source: &mut Source<'_, R>,
    end: u64,
) -> Result<Vec<Chunk>, ContainerError> {
    let mut chunks = Vec::new();
    let mut at = HEADER;
    while at < end {
        let head = source.read(Range::new(at, 8), "the file is cut short")?;
        let size = Order::Little.at(&head, 4, 4).unwrap_or(u64::MAX);
        let name = head
            .get(..4)
            .and_then(|name| name.try_into().ok())
            .unwrap_or_default();
        let range = Range::new(at, size.saturating_add(8));
        let padded = Range::new(at, range.length.saturating_add(range.length & 1));
        if range.end() > end {
            return Err(broken(at, "a chunk is longer than the file"));
        }
        chunks.push(Chunk {
            name,
            range,
            padded,
        });
        within(
            at,
            "too many chunks",
            super::source::count_of(chunks.len()),
            COUNT_LIMIT,
        )?;
        at = padded.end();
    }
    Ok(chunks)
}

fn read_chunk<R: Read + Seek>(
    source: &mut Source<'_, R>,
    chunk: Chunk,
    layout: &mut Layout,
    packets: &mut Vec<Vec<u8>>,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    const CUT: &str = "a chunk is cut short";
    let at = chunk.content().offset;
    match &chunk.name {
        b"VP8X" => {
            let content = source.read(chunk.content(), CUT)?;
            extended_header(&content, at, layout, anatomy)?;
        }
        b"VP8 " | b"VP8L" if anatomy.width == 0 || layout.flags.is_none() => {
            let head = source.peek(at, 10)?;
            bitstream(&chunk.name, &head, at, layout, anatomy)?;
        }
        b"ANMF" => anatomy.pages = anatomy.pages.saturating_add(1),
        b"EXIF" => {
            let content = source.read(chunk.content(), CUT)?;
            // Some programs put the prefix of JPEG before it.
            let skip = if content.starts_with(b"Exif\0\0") {
                6
            } else {
                0
            };
            let block = content.get(skip..).unwrap_or_default().to_vec();
            anatomy.take_exif(block, at.saturating_add(super::source::count_of(skip)));
        }
        b"XMP " => {
            packets.push(source.read(chunk.content(), CUT)?);
            layout.packets.push(chunk.padded);
        }
        b"ICCP" => anatomy.icc = Some(source.read(chunk.content(), CUT)?),
        b"VP8 " | b"VP8L" | b"ALPH" | b"ANIM" => {}
        _ => unknown(source, chunk, anatomy)?,
    }
    Ok(())
}

/// What a chunk of no known name holds is its writer's secret.
fn unknown<R: Read + Seek>(
    source: &mut Source<'_, R>,
    chunk: Chunk,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let content = source.read(chunk.content(), "a chunk is cut short")?;
    if content.iter().any(|byte| *byte != 0) {
        anatomy.private.push(Private {
            fact: PrivateFact::ProgramNotes,
            ranges: vec![chunk.content()],
        });
    }
    Ok(())
}

/// Flags, three reserved bytes, width and height less one in three bytes each. [RFC9649 2.7]
fn extended_header(
    content: &[u8],
    at: u64,
    layout: &mut Layout,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let number = |place| {
        Order::Little
            .at(content, place, 3)
            .and_then(|one| u32::try_from(one).ok())
    };
    let (Some(flags), Some(width), Some(height)) = (content.first(), number(4), number(7)) else {
        return Err(broken(at, "the header is cut short"));
    };
    if layout.flags.is_some() || anatomy.width != 0 {
        return Err(broken(at, "the header stands in the wrong place"));
    }
    layout.flags = Some((at, *flags));
    anatomy.width = width.saturating_add(1);
    anatomy.height = height.saturating_add(1);
    if flags & FLAG_ALPHA != 0 {
        anatomy.channels = 4;
    }
    if flags & FLAG_ANIMATION != 0 {
        // Each picture is counted as it is met.
        anatomy.pages = 0;
    }
    Ok(())
}

/// Reads the size from the coded picture itself. [RFC6386 9.1; RFC9649 3.4]
fn bitstream(
    name: &[u8; 4],
    head: &[u8],
    at: u64,
    layout: &mut Layout,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let order = Order::Little;
    let (width, height) = if name == b"VP8L" {
        let bits = order.at(head, 1, 4).filter(|_| head.first() == Some(&0x2f));
        let bits = bits.ok_or_else(|| broken(at, "the picture does not begin as it should"))?;
        layout.alpha = bits & (1 << 28) != 0;
        (
            (bits & 0x3fff).saturating_add(1),
            (bits.wrapping_shr(14) & 0x3fff).saturating_add(1),
        )
    } else {
        if head.get(3..6) != Some(&[0x9d, 0x01, 0x2a]) {
            return Err(broken(at, "the picture does not begin as it should"));
        }
        let size = |place| {
            order
                .at(head, place, 2)
                .map(|one| one & 0x3fff)
                .unwrap_or(0)
        };
        (size(6), size(8))
    };
    anatomy.width = u32::try_from(width).unwrap_or(0);
    anatomy.height = u32::try_from(height).unwrap_or(0);
    if layout.alpha {
        anatomy.channels = 4;
    }
    Ok(())
}

/// Counts the picture. With transparency or movement beside it, the canvas of the extended header decides too.
fn count<R: Read + Seek>(
    source: &mut Source<'_, R>,
    chunks: &[Chunk],
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let canvas_counts = chunks
        .iter()
        .any(|chunk| matches!(&chunk.name, b"ALPH" | b"ANIM" | b"ANMF"));
    for chunk in chunks {
        match &chunk.name {
            b"VP8X" if canvas_counts => {
                let content = source.read(chunk.content(), "the header is cut short")?;
                let flags = content.first().copied().unwrap_or(0) & (FLAG_ALPHA | FLAG_ANIMATION);
                let mut words = vec![flags];
                words.extend_from_slice(content.get(4..10).unwrap_or_default());
                anatomy.picture.push_words(words);
            }
            b"VP8 " | b"VP8L" | b"ALPH" | b"ANIM" | b"ANMF" => anatomy.picture.push(chunk.range),
            _ => {}
        }
    }
    Ok(())
}
