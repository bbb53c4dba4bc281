//! What the application segments hold. [T81 B.2.4.6]

use super::ADOBE;
use super::APP0;
use super::APP1;
use super::APP2;
use super::APP13;
use super::EXIF;
use super::EXTENDED;
use super::Index;
use super::JFIF;
use super::Layout;
use super::PHOTOSHOP;
use super::Segment;
use super::XMP;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::anatomy::Resolution;
use crate::format::container::error::ContainerError;
use crate::format::container::extended;
use crate::format::container::ifd;
use crate::format::container::image_resource;
use crate::format::container::private::Private;
use crate::format::container::private::PrivateFact;
use crate::format::container::source::Order;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;

const ICC: &[u8] = b"ICC_PROFILE\0"; // [ICC.1 B.4]
const MPF: &[u8] = b"MPF\0"; // [CIPA DC-007 5.2]

/// Reads what the application segments hold, and finds the place of the packet.
pub(super) fn read<R: Read + Seek>(
    source: &mut Source<'_, R>,
    segments: &[Segment],
    anatomy: &mut Anatomy,
) -> Result<Layout, ContainerError> {
    let mut layout = Layout {
        insert_at: 2,
        ..Layout::default()
    };
    let mut packets: Vec<(Segment, Vec<u8>)> = Vec::new();
    let mut parts = Vec::new();
    let mut profile = Vec::new();
    for segment in segments
        .iter()
        .filter(|one| (APP0..=0xef).contains(&one.marker))
    {
        let payload = source.read(segment.payload(), "a segment is cut short")?;
        let base = segment.payload().offset;
        if segment.marker == APP1 && payload.starts_with(XMP) {
            packets.push((
                *segment,
                payload.get(XMP.len()..).unwrap_or_default().to_vec(),
            ));
        } else if segment.marker == APP1 && payload.starts_with(EXTENDED) {
            parts.extend(extended::Part::read(
                &payload,
                EXTENDED.len(),
                segment.range,
            ));
        } else if segment.marker == APP2 && payload.starts_with(ICC) {
            profile.push(payload);
        } else if segment.marker == APP2 && payload.starts_with(MPF) {
            layout.index = index(&payload, base);
        } else {
            application(*segment, &payload, base, anatomy);
        }
    }
    layout.insert_at = insertion(source, segments)?;
    anatomy.icc = joined_profile(profile);
    take_packet(packets, parts, &mut layout, anatomy);
    Ok(layout)
}

/// A packet goes after the leading APP0 and Exif segments, as Exif must come first. [CIPA DC-008 4.7.2]
fn insertion<R: Read + Seek>(
    source: &mut Source<'_, R>,
    segments: &[Segment],
) -> Result<u64, ContainerError> {
    let mut at = 2;
    for segment in segments {
        let head = source.peek(segment.payload().offset, EXIF.len())?;
        let leads = segment.marker == APP0 || (segment.marker == APP1 && head == EXIF);
        if !leads {
            break;
        }
        at = segment.range.end();
    }
    Ok(at)
}

/// Reads the application segments that need no joining.
fn application(segment: Segment, payload: &[u8], base: u64, anatomy: &mut Anatomy) {
    const KNOWN: [&[u8]; 6] = [
        b"JFXX\0",
        b"FPXR\0",
        b"Ducky",
        ADOBE,
        JFIF,
        b"ICC_PROFILE\0",
    ];
    if segment.marker == APP1 && payload.starts_with(EXIF) && payload.len() > 6 {
        if anatomy.exif.is_none() {
            let block = payload.get(6..).unwrap_or_default().to_vec();
            anatomy.take_exif(block, base.saturating_add(6));
            return;
        }
    } else if segment.marker == APP13 && payload.starts_with(PHOTOSHOP) {
        image_resource::take(payload, PHOTOSHOP.len(), base, anatomy);
        return;
    } else if segment.marker == APP0 && payload.starts_with(JFIF) {
        anatomy.resolution = density(payload).or(anatomy.resolution);
        return;
    } else if KNOWN.iter().any(|known| payload.starts_with(known)) {
        return;
    }
    if payload.iter().any(|byte| *byte != 0) {
        anatomy.private.push(Private {
            fact: PrivateFact::MakerNotes,
            ranges: vec![segment.payload()],
        });
    }
}

/// Units 1 are dots per inch, 2 dots per centimetre, 0 only a proportion. [T.871 10.1]
fn density(payload: &[u8]) -> Option<Resolution> {
    let number = |at| {
        Order::Big
            .at(payload, at, 2)
            .and_then(|one| u16::try_from(one).ok())
    };
    let (x, y) = (f64::from(number(8)?), f64::from(number(10)?));
    match payload.get(7)? {
        1 => Resolution::new(x, y),
        2 => Resolution::new(x * 2.54, y * 2.54),
        _ => None,
    }
}

/// Joins the parts of a profile in their order. [ICC.1 B.4]
fn joined_profile(mut parts: Vec<Vec<u8>>) -> Option<Vec<u8>> {
    if parts.is_empty() {
        return None;
    }
    parts.sort_by_key(|part| part.get(ICC.len()).copied());
    let body = ICC.len().saturating_add(2);
    Some(
        parts
            .iter()
            .flat_map(|part| part.get(body..).unwrap_or_default())
            .copied()
            .collect(),
    )
}

/// Reads the index of further pictures. [CIPA DC-007 5.2.3]
fn index(payload: &[u8], base: u64) -> Option<Index> {
    const ENTRIES: u16 = 0xb002;
    let structure = payload.get(MPF.len()..)?;
    let base = base.saturating_add(count_of(MPF.len()));
    let mut cursor = Cursor::new(structure);
    let mut source = Source::new(&mut cursor).ok()?;
    let (shape, first) = ifd::header(&mut source).ok()?;
    let directory = ifd::directory(&mut source, shape, first).ok()?;
    let entry = directory.entry(ENTRIES)?;
    let table = source
        .read(entry.value, "the index of pictures is cut short")
        .ok()?;
    let entries = table
        .chunks_exact(16)
        .enumerate()
        .filter_map(|(number, one)| {
            let at = base
                .checked_add(entry.value.offset)?
                .checked_add(count_of(number).checked_mul(16)?)?;
            Some((at, shape.order.at(one, 4, 4)?, shape.order.at(one, 8, 4)?))
        });
    Some(Index {
        base,
        order: shape.order,
        entries: entries.collect(),
    })
}

/// Takes the packet and its extended part; more than one packet cannot be merged without guessing.
fn take_packet(
    packets: Vec<(Segment, Vec<u8>)>,
    parts: Vec<extended::Part>,
    layout: &mut Layout,
    anatomy: &mut Anatomy,
) {
    let Some((first, packet)) = packets.first() else {
        return note_strays(&parts, &[], anatomy);
    };
    if packets.iter().any(|(_, other)| other != packet) {
        anatomy.refuse(
            first.range.offset,
            "the file holds two different records of another program",
        );
    }
    layout.packets = packets.iter().map(|(segment, _)| segment.range).collect();
    match extended::joined(packet, &parts) {
        extended::Joined::Alone => {
            note_strays(&parts, &[], anatomy);
            anatomy.packet = Some(packet.clone());
        }
        extended::Joined::Whole { packet, used } => {
            note_strays(&parts, &used, anatomy);
            layout.packets.extend(used);
            anatomy.packet = Some(packet);
        }
        extended::Joined::Incomplete => {
            anatomy.refuse(
                first.range.offset,
                "the record of another program is spread over several segments, and they cannot be joined",
            );
            anatomy.packet = Some(packet.clone());
        }
    }
    layout.packets.sort_unstable();
}

/// Parts of an extended packet that the standard one does not name: readers pass over them, but what they say is still there.
fn note_strays(parts: &[extended::Part], used: &[Range], anatomy: &mut Anatomy) {
    for segment in parts.iter().map(extended::Part::segment) {
        if !used.contains(&segment) {
            anatomy.private.push(Private {
                fact: PrivateFact::ProgramNotes,
                ranges: vec![Range::new(
                    segment.offset.saturating_add(4),
                    segment.length.saturating_sub(4),
                )],
            });
        }
    }
}
