//! Where a packet goes in a TIFF file: a new first directory and the packet are put behind everything, and the header points to
//! them. No other byte moves, so that every position within the file stays right, those that only a maker knows included.

use super::Layout;
use super::PACKET;
use crate::format::container::edit::Edit;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::within;
use crate::format::container::ifd::ENTRY_LIMIT;
use crate::format::container::ifd::Shape;
use crate::format::container::packet::PADDING;
use crate::format::container::packet::padded;
use crate::format::container::source::Range;
use crate::format::container::source::count_of;

/// Directories and values begin at positions that eight divides.
const ALIGNMENT: u64 = 8;
/// BYTE. [TIFF6 2]
const BYTE: u64 = 1;

/// Returns the changes that put a packet in. In the new directory, `blank` ranges of the old one are zeros.
pub(in crate::format::container) fn edits(
    layout: &Layout,
    length: u64,
    packet: &str,
    blank: &[Range],
) -> Result<Vec<Edit>, ContainerError> {
    let shape = layout.shape;
    let packet = padded(packet, packet.len().saturating_add(PADDING));
    let gap = ALIGNMENT.wrapping_sub(length % ALIGNMENT) % ALIGNMENT;
    let directory_at = length.saturating_add(gap);
    let entries = entries(layout, blank);
    let table = count_of(shape.count_width())
        .saturating_add(
            count_of(entries.len())
                .saturating_add(1)
                .saturating_mul(count_of(shape.entry_width())),
        )
        .saturating_add(count_of(shape.offset_width()));
    let slack = ALIGNMENT.wrapping_sub(table % ALIGNMENT) % ALIGNMENT;
    let packet_at = directory_at.saturating_add(table).saturating_add(slack);
    let end = packet_at.saturating_add(count_of(packet.len()));
    within(
        length,
        "too many entries in the first directory",
        count_of(entries.len()),
        ENTRY_LIMIT.saturating_sub(1),
    )?;
    if !shape.big {
        within(
            length,
            "with its record the file would pass the 4 GiB that TIFF allows (bytes)",
            end,
            u64::from(u32::MAX),
        )?;
    }
    let mut block = zeros(gap);
    block.extend(directory(
        shape,
        &entries,
        layout.first.next,
        (packet_at, count_of(packet.len())),
    ));
    block.extend(zeros(slack));
    block.extend(packet);
    let first = Range::new(shape.first_at(), count_of(shape.offset_width()));
    Ok(vec![
        Edit::room(first, shape.order.bytes(directory_at, shape.offset_width())),
        Edit {
            removed: Range::new(length, 0),
            inserted: Insert::Bytes(block),
            purpose: Purpose::Packet,
        },
    ])
}

fn zeros(count: u64) -> Vec<u8> {
    vec![0; usize::try_from(count).unwrap_or(0)]
}

/// Returns the old entries without packets, each with its tag.
fn entries(layout: &Layout, blank: &[Range]) -> Vec<(u16, Vec<u8>)> {
    let width = layout.shape.entry_width();
    let stored = layout
        .first
        .entries
        .iter()
        .zip(layout.first.table.chunks_exact(width));
    stored
        .filter(|(entry, _)| entry.tag != PACKET)
        .map(|(entry, bytes)| {
            let place = (entry.at..).zip(bytes);
            let kept = place.map(|(at, byte)| {
                let gone = blank
                    .iter()
                    .any(|range| (range.offset..range.end()).contains(&at));
                if gone { 0 } else { *byte }
            });
            (entry.tag, kept.collect())
        })
        .collect()
}

/// Returns the new directory: the old entries with the packet's among them, in the order of tags as far as they are. [TIFF6 2]
fn directory(shape: Shape, entries: &[(u16, Vec<u8>)], next: u64, packet: (u64, u64)) -> Vec<u8> {
    let order = shape.order;
    let count = count_of(entries.len()).saturating_add(1);
    let mut bytes = order.bytes(count, shape.count_width());
    let place = entries
        .iter()
        .position(|(tag, _)| *tag > PACKET)
        .unwrap_or(entries.len());
    let (before, after) = entries.split_at_checked(place).unwrap_or((entries, &[]));
    before.iter().for_each(|(_, entry)| bytes.extend(entry));
    bytes.extend(order.bytes(u64::from(PACKET), 2));
    bytes.extend(order.bytes(BYTE, 2));
    bytes.extend(order.bytes(packet.1, shape.offset_width()));
    bytes.extend(order.bytes(packet.0, shape.offset_width()));
    after.iter().for_each(|(_, entry)| bytes.extend(entry));
    bytes.extend(order.bytes(next, shape.offset_width()));
    bytes
}
