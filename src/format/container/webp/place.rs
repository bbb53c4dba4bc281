//! Where a packet goes in a WebP file: the last chunk, and a flag that tells of it. [RFC9649 2.7.1.4]

use super::Layout;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::error::ContainerError;
use crate::format::container::source::Order;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use crate::format::container::splice::Edit;
use std::io::Read;
use std::io::Seek;

/// Where the first chunk begins.
const FIRST_CHUNK: u64 = 12;
/// The largest length that the header can give. [RFC9649 2.4]
const LARGEST: u64 = 0xffff_fff6;

/// Returns the edits that put a packet at the end, take out the old one, and set lengths and flags.
pub(in crate::format::container) fn place<R: Read + Seek>(
    _source: &mut Source<'_, R>,
    layout: &Layout,
    anatomy: &Anatomy,
    packet: &[u8],
) -> Result<Vec<Edit>, ContainerError> {
    let chunk = chunk(packet)?;
    let mut size = layout
        .end
        .saturating_sub(8)
        .saturating_add(count_of(chunk.len()));
    let mut edits = Vec::new();
    for range in &layout.packets {
        size = size.saturating_sub(range.length);
        edits.push(Edit::replace(*range, Vec::new()));
    }
    match layout.flags {
        Some((at, flags)) => edits.push(Edit::replace(
            Range::new(at, 1),
            vec![flags | super::FLAG_XMP],
        )),
        None => {
            let header = extended_header(layout, anatomy);
            size = size.saturating_add(count_of(header.len()));
            edits.push(Edit::replace(Range::new(FIRST_CHUNK, 0), header));
        }
    }
    if size > LARGEST {
        return Err(ContainerError::Unsupported {
            offset: 4,
            why: "with its record the file would be longer than a WebP file can be",
        });
    }
    edits.push(Edit::replace(
        Range::new(4, 4),
        Order::Little.bytes(size, 4),
    ));
    edits.push(Edit::replace(Range::new(layout.end, 0), chunk));
    Ok(edits)
}

fn chunk(packet: &[u8]) -> Result<Vec<u8>, ContainerError> {
    let length = u32::try_from(packet.len()).map_err(|_| ContainerError::Unsupported {
        offset: 0,
        why: "the record is longer than a WebP file takes",
    })?;
    let mut chunk = b"XMP ".to_vec();
    chunk.extend(length.to_le_bytes());
    chunk.extend_from_slice(packet);
    if chunk.len() % 2 == 1 {
        chunk.push(0);
    }
    Ok(chunk)
}

/// A simple file gets the header that tells what else is in it: flags, and the canvas less one in 24 bits each. [RFC9649 2.7.1]
fn extended_header(layout: &Layout, anatomy: &Anatomy) -> Vec<u8> {
    let alpha = if layout.alpha { super::FLAG_ALPHA } else { 0 };
    let mut header = b"VP8X\x0a\0\0\0".to_vec();
    header.extend([super::FLAG_XMP | alpha, 0, 0, 0]);
    for side in [anatomy.width, anatomy.height] {
        header.extend(Order::Little.bytes(u64::from(side.saturating_sub(1)), 3));
    }
    header
}
