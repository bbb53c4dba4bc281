//! Where a packet goes in a TIFF file: packet and a new first directory behind everything, so that no other byte moves.
//! [TIFF6 2; ISO 16684-3 / XMP part 3, 1.1.7]

use super::Layout;
use crate::format::container::error::ContainerError;
use crate::format::container::ifd::Shape;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use crate::format::container::splice::Edit;
use std::io::Read;
use std::io::Seek;

/// The tag of a packet. [ISO 16684-3 / XMP part 3, 1.1.7]
const XMP: u16 = 700;
/// The type of bytes. [TIFF6 2]
const BYTE: u64 = 1;

/// Returns the edits that append packet and directory and let the header point there.
pub(in crate::format::container) fn place<R: Read + Seek>(
    source: &mut Source<'_, R>,
    layout: &Layout,
    packet: &[u8],
    blank: &[Range],
) -> Result<Vec<Edit>, ContainerError> {
    let shape = layout.shape;
    let end = source.length();
    let begin = end.next_multiple_of(8);
    let mut tail = vec![0_u8; usize::try_from(begin.saturating_sub(end)).unwrap_or_default()];
    tail.extend_from_slice(packet);
    tail.resize(tail.len().next_multiple_of(8), 0);
    let directory_at = end.saturating_add(count_of(tail.len()));
    tail.extend(directory(
        source,
        layout,
        blank,
        begin,
        count_of(packet.len()),
    )?);
    let whole = end.saturating_add(count_of(tail.len()));
    if !shape.big && whole > u64::from(u32::MAX) {
        return Err(ContainerError::Unsupported {
            offset: end,
            why: "with its record the file would pass 4 GiB, more than this form of TIFF can hold",
        });
    }
    let pointer = Range::new(shape.first_at(), count_of(shape.offset_width()));
    let mut edits = vec![Edit::replace(
        pointer,
        shape.order.bytes(directory_at, shape.offset_width()),
    )];
    if !blank.is_empty() {
        // Older packets stay in the file unread; what they say must not leave with it.
        edits.extend(layout.packets.iter().map(|range| Edit::blank(*range)));
    }
    edits.push(Edit::replace(Range::new(end, 0), tail));
    Ok(edits)
}

/// Returns the first directory with the packet's entry in its place, all other entries as they are, and the same next directory.
fn directory<R: Read + Seek>(
    source: &mut Source<'_, R>,
    layout: &Layout,
    blank: &[Range],
    packet_at: u64,
    packet_length: u64,
) -> Result<Vec<u8>, ContainerError> {
    let shape = layout.shape;
    let width = count_of(shape.entry_width());
    let mut entries: Vec<(u16, Vec<u8>)> = Vec::new();
    for entry in layout.first.entries.iter().filter(|entry| entry.tag != XMP) {
        let mut bytes = source.read(
            Range::new(entry.at, width),
            "the file ended while it was read",
        )?;
        fill(&mut bytes, entry.at, blank);
        entries.push((entry.tag, bytes));
    }
    let place = entries
        .iter()
        .position(|(tag, _)| *tag > XMP)
        .unwrap_or(entries.len());
    entries.insert(place, (XMP, entry(shape, packet_at, packet_length)));
    let mut directory = shape
        .order
        .bytes(count_of(entries.len()), shape.count_width());
    entries
        .iter()
        .for_each(|(_, bytes)| directory.extend_from_slice(bytes));
    directory.extend(shape.order.bytes(layout.first.next, shape.offset_width()));
    Ok(directory)
}

fn entry(shape: Shape, at: u64, length: u64) -> Vec<u8> {
    let mut bytes = shape.order.bytes(u64::from(XMP), 2);
    bytes.extend(shape.order.bytes(BYTE, 2));
    bytes.extend(shape.order.bytes(length, shape.offset_width()));
    bytes.extend(shape.order.bytes(at, shape.offset_width()));
    bytes
}

/// Fills the private ranges of some bytes that lie at `at` in the file with zeros.
fn fill(bytes: &mut [u8], at: u64, blank: &[Range]) {
    for (byte, position) in bytes.iter_mut().zip(at..) {
        if blank
            .iter()
            .any(|range| position >= range.offset && position < range.end())
        {
            *byte = 0;
        }
    }
}
