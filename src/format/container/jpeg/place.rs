//! Where a packet goes in a JPEG file. [ISO 16684-3 / XMP part 3, 1.1.3]

use super::Index;
use super::Layout;
use crate::format::container::error::ContainerError;
use crate::format::container::source::Range;
use crate::format::container::splice::Edit;

/// What stands before the packet in its APP1 segment.
const SIGNATURE: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";

/// The most bytes of a packet in one segment: a segment's length has two bytes and counts itself.
const LARGEST: usize = 65_533 - SIGNATURE.len();

/// Returns the edits that put a packet where the old one is, or else behind the leading segments.
pub(in crate::format::container) fn place(
    layout: &Layout,
    packet: &[u8],
) -> Result<Vec<Edit>, ContainerError> {
    let segment = segment(packet)?;
    let at = layout
        .packets
        .first()
        .map_or(layout.insert_at, |first| first.offset);
    let mut edits = vec![Edit::replace(Range::new(at, 0), segment)];
    edits.extend(
        layout
            .packets
            .iter()
            .map(|range| Edit::replace(*range, Vec::new())),
    );
    if let Some(index) = &layout.index {
        let moved = index_edits(index, &edits)?;
        edits.extend(moved);
    }
    Ok(edits)
}

fn segment(packet: &[u8]) -> Result<Vec<u8>, ContainerError> {
    if packet.len() > LARGEST {
        return Err(ContainerError::Unsupported {
            offset: 0,
            why: "the record is longer than the 65,502 bytes that a JPEG file takes in one piece",
        });
    }
    let length = u16::try_from(
        packet
            .len()
            .saturating_add(SIGNATURE.len())
            .saturating_add(2),
    )
    .unwrap_or(u16::MAX);
    let mut segment = vec![0xff, 0xe1];
    segment.extend(length.to_be_bytes());
    segment.extend_from_slice(SIGNATURE);
    segment.extend_from_slice(packet);
    Ok(segment)
}

/// The index of further pictures gives the length of the first, which grows, and the place of the others counted from the index.
/// [CIPA DC-007 5.2.3.3]
fn index_edits(index: &Index, edits: &[Edit]) -> Result<Vec<Edit>, ContainerError> {
    let growth = |from: u64| -> i128 {
        let behind = edits.iter().filter(|edit| edit.at >= from);
        behind
            .map(|edit| i128::from(edit.put.length()).saturating_sub(i128::from(edit.removed)))
            .sum()
    };
    let mut patches = Vec::new();
    for (entry, length, offset) in &index.entries {
        let (at, old, grown) = if *offset == 0 {
            (4, length, growth(0))
        } else {
            (8, offset, growth(index.base))
        };
        let new = u32::try_from(i128::from(*old).saturating_add(grown)).map_err(|_| {
            ContainerError::Unsupported {
                offset: *entry,
                why: "the index of further pictures has no room for larger numbers",
            }
        })?;
        if u64::from(new) != *old {
            let place = Range::new(entry.saturating_add(at), 4);
            patches.push(Edit::replace(place, index.order.bytes(u64::from(new), 4)));
        }
    }
    Ok(patches)
}
