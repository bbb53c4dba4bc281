//! Where a packet goes in a PNG file. [PNG3 11.3.3.4; ISO 16684-3 / XMP part 3, 1.1.5]

use super::Layout;
use crate::format::container::error::ContainerError;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::splice::Edit;
use std::io::Read;
use std::io::Seek;

/// Keyword, no compression, no language, no translated keyword.
const HEAD: &[u8] = b"XML:com.adobe.xmp\0\0\0\0\0";

/// Returns the edits that put a packet before the picture's bytes and take out all packets that are there. `blank` names the private
/// ranges that are filled with zeros besides: the checksum of the chunk around them is worked out anew, and chunks that hold camera
/// details in an old manner are left out whole.
pub(in crate::format::container) fn place<R: Read + Seek>(
    source: &mut Source<'_, R>,
    layout: &Layout,
    packet: &[u8],
    blank: &[Range],
) -> Result<Vec<Edit>, ContainerError> {
    let mut edits = vec![Edit::replace(
        Range::new(layout.first_idat, 0),
        chunk(packet)?,
    )];
    edits.extend(
        layout
            .packets
            .iter()
            .map(|range| Edit::replace(*range, Vec::new())),
    );
    if !blank.is_empty() {
        edits.extend(
            layout
                .raw_profiles
                .iter()
                .map(|range| Edit::replace(*range, Vec::new())),
        );
    }
    if let Some(exif) = layout.exif {
        edits.extend(checksum(source, exif, blank)?);
    }
    Ok(edits)
}

fn chunk(packet: &[u8]) -> Result<Vec<u8>, ContainerError> {
    let content = HEAD.len().saturating_add(packet.len());
    let length = u32::try_from(content)
        .ok()
        .filter(|length| u64::from(*length) <= super::CHUNK_LIMIT);
    let length = length.ok_or(ContainerError::Unsupported {
        offset: 0,
        why: "the record is longer than a PNG file takes in one piece",
    })?;
    let mut chunk = Vec::with_capacity(content.saturating_add(12));
    chunk.extend(length.to_be_bytes());
    chunk.extend_from_slice(b"iTXt");
    chunk.extend_from_slice(HEAD);
    chunk.extend_from_slice(packet);
    let checked = crc32fast::hash(chunk.get(4..).unwrap_or_default());
    chunk.extend(checked.to_be_bytes());
    Ok(chunk)
}

/// The checksum of a chunk in which ranges become zeros. [PNG3 5.5]
fn checksum<R: Read + Seek>(
    source: &mut Source<'_, R>,
    exif: Range,
    blank: &[Range],
) -> Result<Option<Edit>, ContainerError> {
    let inside: Vec<&Range> = blank
        .iter()
        .filter(|range| range.offset >= exif.offset && range.end() <= exif.end())
        .collect();
    if inside.is_empty() {
        return Ok(None);
    }
    let covered = Range::new(exif.offset.saturating_add(4), exif.length.saturating_sub(8));
    let mut bytes = source.read(covered, "the file ended while it was read")?;
    for range in inside {
        let from =
            usize::try_from(range.offset.saturating_sub(covered.offset)).unwrap_or(usize::MAX);
        let length = usize::try_from(range.length).unwrap_or(usize::MAX);
        if let Some(part) = bytes.get_mut(from..from.saturating_add(length)) {
            part.fill(0);
        }
    }
    let place = Range::new(covered.end(), 4);
    Ok(Some(Edit::replace(
        place,
        crc32fast::hash(&bytes).to_be_bytes().to_vec(),
    )))
}
