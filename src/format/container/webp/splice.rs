//! Where a packet goes in a WebP file, and what depends on it.

use super::FLAG_ALPHA;
use super::FLAG_XMP;
use super::HEADER;
use super::Layout;
use crate::format::container::edit::Edit;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::error::within;
use crate::format::container::packet::PADDING;
use crate::format::container::packet::padded;
use crate::format::container::source::Order;
use crate::format::container::source::Range;
use crate::format::container::source::count_of;

/// Returns the changes that put a packet in as the last chunk, flagged in the extended header, which is made if there is none,
/// and take every older packet out. [RFC9649 2.7]
pub(in crate::format::container) fn edits(
    layout: &Layout,
    size: (u32, u32),
    packet: &str,
) -> Result<Vec<Edit>, ContainerError> {
    let length = packet.len().saturating_add(PADDING);
    // An even length needs no padding byte.
    let content = padded(packet, length.saturating_add(length & 1));
    let mut edits = vec![Edit {
        removed: Range::new(layout.end, 0),
        inserted: Insert::Bytes(chunk(b"XMP ", &content)),
        purpose: Purpose::Packet,
    }];
    edits.extend(layout.packets.iter().map(|range| Edit {
        removed: *range,
        inserted: Insert::Bytes(Vec::new()),
        purpose: Purpose::Room { kept: 8 },
    }));
    match layout.flags {
        Some((_, flags)) if flags & FLAG_XMP != 0 => {}
        Some((at, flags)) => edits.push(Edit::room(Range::new(at, 1), vec![flags | FLAG_XMP])),
        None => edits.push(Edit::room(
            Range::new(HEADER, 0),
            extended_header(layout, size)?,
        )),
    }
    edits.push(form_length(layout, &edits)?);
    Ok(edits)
}

fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut bytes = name.to_vec();
    bytes.extend(Order::Little.bytes(count_of(content.len()), 4));
    bytes.extend_from_slice(content);
    bytes
}

fn extended_header(
    layout: &Layout,
    (width, height): (u32, u32),
) -> Result<Vec<u8>, ContainerError> {
    let less_one = |size: u32| {
        size.checked_sub(1)
            .ok_or_else(|| broken(HEADER, "the picture has no size"))
    };
    let flags = FLAG_XMP | if layout.alpha { FLAG_ALPHA } else { 0 };
    let mut content = vec![flags, 0, 0, 0];
    content.extend(Order::Little.bytes(u64::from(less_one(width)?), 3));
    content.extend(Order::Little.bytes(u64::from(less_one(height)?), 3));
    Ok(chunk(b"VP8X", &content))
}

/// The RIFF form says how long it is. [RFC9649 2.4]
fn form_length(layout: &Layout, edits: &[Edit]) -> Result<Edit, ContainerError> {
    let (mut length, mut removed) = (layout.end, 0_u64);
    for edit in edits {
        length = length.saturating_add(edit.inserted.length());
        removed = removed.saturating_add(edit.removed.length);
    }
    let length = length.saturating_sub(removed).saturating_sub(8);
    within(
        4,
        "the file would become too long (bytes)",
        length,
        u64::from(u32::MAX).saturating_sub(9),
    )?;
    Ok(Edit::room(Range::new(4, 4), Order::Little.bytes(length, 4)))
}
