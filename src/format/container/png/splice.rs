//! Where a packet goes in a PNG file.

use super::Chunk;
use super::KEYWORD;
use super::Layout;
use crate::format::container::edit::Edit;
use crate::format::container::edit::Insert;
use crate::format::container::edit::Purpose;
use crate::format::container::error::ContainerError;
use crate::format::container::error::within;
use crate::format::container::packet::PADDING;
use crate::format::container::packet::padded;
use crate::format::container::source::Order;
use crate::format::container::source::Range;
use crate::format::container::source::count_of;

/// Returns the changes that put a packet in as one uncompressed text chunk before the picture's bytes, so that readers that
/// stop there find it, and take every older packet out. [XMP part 3, 1.1.5]
pub(in crate::format::container) fn edits(
    layout: &Layout,
    packet: &str,
) -> Result<Vec<Edit>, ContainerError> {
    // Keyword, zero, not compressed, no method, no language, no translated keyword. [PNG3 11.3.3.4]
    let mut content = KEYWORD.to_vec();
    content.extend([0, 0, 0, 0, 0]);
    content.extend(padded(packet, packet.len().saturating_add(PADDING)));
    within(
        layout.first_idat,
        "the record is too large (bytes)",
        count_of(content.len()),
        super::CHUNK_LIMIT,
    )?;
    let mut edits = vec![Edit {
        removed: Range::new(layout.first_idat, 0),
        inserted: Insert::Bytes(chunk(b"iTXt", &content)),
        purpose: Purpose::Packet,
    }];
    edits.extend(layout.packets.iter().map(|range| Edit {
        removed: *range,
        inserted: Insert::Bytes(Vec::new()),
        // Length, type, keyword and its zero.
        purpose: Purpose::Room { kept: 26 },
    }));
    Ok(edits)
}

/// Returns a whole chunk. [PNG3 5.3]
fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut checksum = crc32fast::Hasher::new();
    checksum.update(name);
    checksum.update(content);
    let mut bytes = Order::Big.bytes(count_of(content.len()), 4);
    bytes.extend_from_slice(name);
    bytes.extend_from_slice(content);
    bytes.extend(checksum.finalize().to_be_bytes());
    bytes
}

/// Returns the changes that blank ranges within chunks: checksums are made to hold again, and old text chunks with camera
/// details become chunks of no meaning.
pub(in crate::format::container) fn blanking(
    layout: &Layout,
    exif: Option<&[u8]>,
    ranges: &[Range],
) -> Vec<Edit> {
    /// Ancillary, private, safe to copy: every reader skips it. [PNG3 5.4]
    const NOTHING: &[u8; 4] = b"kbNl";
    let mut edits = Vec::new();
    for profile in &layout.raw_profiles {
        let name = *NOTHING;
        let old = Chunk {
            name,
            range: *profile,
        };
        let zeros = vec![0_u8; usize::try_from(old.content().length).unwrap_or(0)];
        edits.push(replaced(*profile, chunk(NOTHING, &zeros)));
    }
    if let (Some(range), Some(exif)) = (layout.exif, exif) {
        let content = Range::new(range.offset.saturating_add(8), count_of(exif.len()));
        let mut bytes = exif.to_vec();
        let mut touched = false;
        for blank in ranges
            .iter()
            .filter(|one| one.offset >= content.offset && one.end() <= content.end())
        {
            touched = true;
            zero(
                &mut bytes,
                blank.offset.saturating_sub(content.offset),
                blank.length,
            );
        }
        if touched {
            edits.push(replaced(range, chunk(b"eXIf", &bytes)));
        }
    }
    edits
}

const fn replaced(range: Range, bytes: Vec<u8>) -> Edit {
    Edit {
        removed: range,
        inserted: Insert::Bytes(bytes),
        purpose: Purpose::Blank,
    }
}

fn zero(bytes: &mut [u8], offset: u64, length: u64) {
    let skip = usize::try_from(offset).unwrap_or(usize::MAX);
    let count = usize::try_from(length).unwrap_or(usize::MAX);
    bytes
        .iter_mut()
        .skip(skip)
        .take(count)
        .for_each(|byte| *byte = 0);
}
