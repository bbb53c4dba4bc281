//! Image resources: blocks called `8BIM` in which JPEG and TIFF files carry IPTC-IIM and other programs' notes.
//! [Adobe Photoshop File Formats, "Image Resources Section"]

use super::anatomy::Anatomy;
use super::private::Private;
use super::private::PrivateFact;
use super::source::Order;
use super::source::Range;
use super::source::count_of;

/// IPTC-NAA record.
const IIM: u64 = 0x0404;
/// A copy of the Exif block, its continuation, and a copy of the XMP packet.
const COPIES: [u64; 3] = [0x0422, 0x0423, 0x0424];

/// Small pictures: 28 bytes of sizes and a JPEG stream.
const THUMBNAILS: [u64; 2] = [0x0409, 0x040c];
const THUMBNAIL_HEADER: usize = 28;

/// One resource: its number and where its content is in the block.
struct Resource {
    number: u64,
    start: usize,
    end: usize,
}

/// Takes the IIM block and notes private copies and small pictures from a block of resources whose first byte is at `base` in the file.
/// The resources begin `skip` bytes into the block.
pub(super) fn take(block: &[u8], skip: usize, base: u64, anatomy: &mut Anatomy) {
    let mut at = skip;
    while let Some((resource, next)) = resource(block, at) {
        let content = block.get(resource.start..resource.end).unwrap_or_default();
        if resource.number == IIM && anatomy.iim.is_none() {
            anatomy.iim = Some(content.to_vec());
        }
        if COPIES.contains(&resource.number) && content.iter().any(|byte| *byte != 0) {
            let offset = base.saturating_add(count_of(resource.start));
            anatomy.private.push(Private {
                fact: PrivateFact::ProgramNotes,
                ranges: vec![Range::new(offset, count_of(content.len()))],
            });
        }
        let small = content.get(THUMBNAIL_HEADER..).unwrap_or_default();
        if THUMBNAILS.contains(&resource.number) && small.iter().any(|byte| *byte != 0) {
            let start = resource.start.saturating_add(THUMBNAIL_HEADER);
            let offset = base.saturating_add(count_of(start));
            anatomy
                .thumbnails
                .push(Range::new(offset, count_of(small.len())));
        }
        at = next;
    }
}

/// Reads the resource at a place and where the next begins. Name and content are padded to even lengths.
fn resource(block: &[u8], at: usize) -> Option<(Resource, usize)> {
    let signature_end = at.checked_add(4)?;
    if block.get(at..signature_end)? != b"8BIM" {
        return None;
    }
    let number = Order::Big.at(block, signature_end, 2)?;
    let name_at = at.checked_add(6)?;
    let name = usize::from(*block.get(name_at)?).checked_add(1)?;
    let size_at = name_at.checked_add(even(name)?)?;
    let size = usize::try_from(Order::Big.at(block, size_at, 4)?).ok()?;
    let start = size_at.checked_add(4)?;
    let end = start.checked_add(size)?;
    if end > block.len() {
        return None;
    }
    let next = start.checked_add(even(size)?)?;
    Some((Resource { number, start, end }, next))
}

fn even(length: usize) -> Option<usize> {
    length.checked_add(length & 1)
}

#[cfg(test)]
mod tests {
    use super::super::Kind;
    use super::super::anatomy::Layout;
    use super::*;

    fn empty() -> Anatomy {
        Anatomy::new(
            Kind::Png,
            0,
            Layout::Png(super::super::png::Layout::default()),
        )
    }

    #[test]
    fn iim_and_private_copies_are_found_and_every_cut_is_harmless() {
        let mut block = b"8BIM\x03\xed\0\0\0\0\0\x03abc\0".to_vec();
        block.extend(b"8BIM\x04\x04\x03cap\0\0\0\x05\x1c\x02\x78\0\0\0");
        block.extend(b"8BIM\x04\x22\0\0\0\0\0\x02II");
        let mut anatomy = empty();
        take(&block, 0, 100, &mut anatomy);
        assert_eq!(anatomy.iim.as_deref(), Some(&b"\x1c\x02\x78\0\0"[..]));
        let offset = 100 + u64::try_from(block.len()).unwrap() - 2;
        assert_eq!(anatomy.private[0].ranges, [Range::new(offset, 2)]);
        for length in 0..block.len() {
            take(&block[..length], 0, 0, &mut empty());
        }
    }
}
