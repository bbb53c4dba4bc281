//! Where a packet goes in a JPEG file, and what depends on it.

use super::EXTENDED;
use super::Index;
use super::Layout;
use super::XMP;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::container::edit::Edit;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::error::within;
use crate::format::container::extended;
use crate::format::container::packet::PADDING;
use crate::format::container::packet::padded;
use crate::format::container::source::Order;
use crate::format::container::source::Range;

/// The longest packet in one segment: 65,535 less two for the length and 29 for the prefix, as published. [XMP part 3, 1.1.3]
const ROOM: usize = 65_502;
/// Bytes of an extended packet in one segment. The standard's own bound is 65,458. [XMP part 3, 1.1.3.1]
const EXTENDED_ROOM: usize = 65_000;

/// Returns the changes that put a packet in, in place of the one that is there.
pub(in crate::format::container) fn edits(
    layout: &Layout,
    packet: &str,
) -> Result<Vec<Edit>, ContainerError> {
    let at = layout
        .packets
        .first()
        .map_or(layout.insert_at, |range| range.offset);
    let segments = segments(packet, at)?;
    let mut edits: Vec<Edit> = layout
        .packets
        .iter()
        .map(|range| Edit {
            removed: *range,
            inserted: Insert::Bytes(Vec::new()),
            // Marker, length and prefix; the longer prefix is that of an extended packet, with its name and place.
            purpose: Purpose::Room { kept: 33 },
        })
        .collect();
    match edits.first_mut() {
        Some(first) => {
            first.inserted = Insert::Bytes(segments);
            first.purpose = Purpose::Packet;
        }
        None => edits.push(Edit {
            removed: Range::new(at, 0),
            inserted: Insert::Bytes(segments),
            purpose: Purpose::Packet,
        }),
    }
    if let Some(index) = &layout.index {
        let moved = moved(index, &edits)?;
        edits.extend(moved);
    }
    Ok(edits)
}

/// Returns the segment or segments that hold a packet.
fn segments(packet: &str, at: u64) -> Result<Vec<u8>, ContainerError> {
    if packet.len() <= ROOM {
        let length = packet.len().saturating_add(PADDING).min(ROOM);
        return segment(&[XMP, &padded(packet, length)], at);
    }
    let (standard, extended) = extended::split(packet, ROOM.saturating_sub(PADDING))
        .or_else(|| extended::split(packet, ROOM))
        .ok_or_else(|| broken(at, "the record is too large for this kind of file"))?;
    let length = standard.len().saturating_add(PADDING).min(ROOM);
    let mut bytes = segment(&[XMP, &padded(&standard, length)], at)?;
    let name = Digest::of(Algorithm::Md5, extended.as_bytes())
        .hex()
        .to_uppercase();
    let whole = u32::try_from(extended.len()).map_err(|_| broken(at, "the record is too large"))?;
    let mut place = 0_u32;
    for part in extended.as_bytes().chunks(EXTENDED_ROOM) {
        bytes.extend(segment(
            &[
                EXTENDED,
                name.as_bytes(),
                &whole.to_be_bytes(),
                &place.to_be_bytes(),
                part,
            ],
            at,
        )?);
        place = place.saturating_add(u32::try_from(part.len()).unwrap_or(u32::MAX));
    }
    Ok(bytes)
}

fn segment(parts: &[&[u8]], at: u64) -> Result<Vec<u8>, ContainerError> {
    let payload = parts.concat();
    let length = u16::try_from(payload.len().saturating_add(2))
        .map_err(|_| broken(at, "the record is too large for one segment"))?;
    let mut bytes = vec![0xff, super::APP1];
    bytes.extend(length.to_be_bytes());
    bytes.extend(payload);
    Ok(bytes)
}

/// Corrects the index of further pictures: the first picture grows, and the others come to lie further on, counted from the
/// index, which may lie further on itself. [CIPA DC-007 5.2.3.3]
fn moved(index: &Index, edits: &[Edit]) -> Result<Vec<Edit>, ContainerError> {
    let total: i128 = edits.iter().map(grows).fold(0, i128::saturating_add);
    let before = |position: u64| {
        edits
            .iter()
            .filter(|edit| edit.removed.end() <= position)
            .map(grows)
            .fold(0, i128::saturating_add)
    };
    let mut corrections = Vec::new();
    for (at, length, offset) in &index.entries {
        let (field, old, by) = if *offset == 0 {
            (at.saturating_add(4), *length, total)
        } else {
            let position = index.base.saturating_add(*offset);
            let by = before(position).saturating_sub(before(index.base));
            (at.saturating_add(8), *offset, by)
        };
        if old == 0 || by == 0 {
            continue;
        }
        let new = u64::try_from(i128::from(old).saturating_add(by))
            .map_err(|_| broken(*at, "the index of further pictures is damaged"))?;
        within(
            *at,
            "the further pictures lie too far away (bytes)",
            new,
            u64::from(u32::MAX),
        )?;
        corrections.push(Edit::room(Range::new(field, 4), bytes(index.order, new)));
    }
    Ok(corrections)
}

fn bytes(order: Order, number: u64) -> Vec<u8> {
    order.bytes(number, 4)
}

fn grows(edit: &Edit) -> i128 {
    i128::from(edit.inserted.length()).saturating_sub(i128::from(edit.removed.length))
}
