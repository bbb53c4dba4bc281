//! The coded scans, and where the picture ends. [T81 B.1.1.5, B.2.1]

use super::ADOBE;
use super::APP14;
use super::COM;
use super::EOI;
use super::SOS;
use super::Segment;
use super::is_counted;
use super::segment;
use super::within_payload;
use crate::format::container::anatomy::Anatomy;
use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::note_trailer;
use crate::format::container::private::Private;
use crate::format::container::private::PrivateFact;
use crate::format::container::source::Flow;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use std::io::Read;
use std::io::Seek;

/// Coded data ends at a marker; stuffed zeros, restart markers and markers without meaning belong to it.
const fn ends_scan(marker: u8) -> bool {
    matches!(marker, 0xc0..=0xcf | 0xd9..=0xef | COM)
}

/// Walks the scans, the tables between them, and finds the end of the picture.
pub(super) fn walk<R: Read + Seek>(
    source: &mut Source<'_, R>,
    first: u64,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let mut at = first;
    let mut current = SOS;
    loop {
        let Ok(segment) = segment(source, current, at) else {
            if at == first {
                return Err(broken(at, "the file ends where the picture should begin"));
            }
            // What cannot be a segment is read by decoders as coded data.
            anatomy.flaw(
                at,
                "the picture is damaged or cut short within its coded data",
            );
            anatomy
                .picture
                .push(Range::new(at, source.length().saturating_sub(at)));
            return Ok(());
        };
        late_segment(source, segment, anatomy)?;
        let coded = segment.range.end();
        let Some(found) = next_marker(source, coded)? else {
            anatomy
                .picture
                .push(Range::new(coded, source.length().saturating_sub(coded)));
            anatomy.flaw(source.length(), "the picture has no end marker");
            return Ok(());
        };
        anatomy
            .picture
            .push(Range::new(coded, found.start.saturating_sub(coded)));
        if found.marker == EOI {
            return note_trailer(source, found.end, anatomy);
        }
        // Fill bytes before a marker do not count.
        at = found.end.saturating_sub(2);
        current = found.marker;
    }
}

/// Counts a segment among the scans, or notes the private facts that it may hold.
fn late_segment<R: Read + Seek>(
    source: &mut Source<'_, R>,
    segment: Segment,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let head = source.peek(segment.payload().offset, 12)?;
    let adobe = segment.marker == APP14 && within_payload(&head, segment).starts_with(ADOBE);
    if adobe || is_counted(segment.marker) {
        anatomy.picture.push(segment.range);
    } else {
        anatomy.flaw(
            segment.range.offset,
            "words stand among the picture's coded data",
        );
        note_private(
            source,
            segment.payload(),
            PrivateFact::ProgramNotes,
            anatomy,
        )?;
    }
    Ok(())
}

/// The marker that ends coded data.
struct Found {
    marker: u8,
    /// Where its first 0xFF is; there may be several.
    start: u64,
    /// The position behind it.
    end: u64,
}

/// Finds the marker that ends coded data.
fn next_marker<R: Read + Seek>(
    source: &mut Source<'_, R>,
    from: u64,
) -> Result<Option<Found>, ContainerError> {
    let mut found = None;
    let mut pending: Option<u64> = None;
    let rest = Range::new(from, source.length().saturating_sub(from));
    source.run(rest, |base, bytes| {
        let position = |index| base.saturating_add(count_of(index));
        let mut index = 0;
        while let Some(byte) = bytes.get(index) {
            let Some(start) = pending else {
                let rest = bytes.get(index..).unwrap_or_default();
                let Some(skipped) = memchr::memchr(0xff, rest) else {
                    break;
                };
                index = index.saturating_add(skipped);
                pending = Some(position(index));
                index = index.saturating_add(1);
                continue;
            };
            index = index.saturating_add(1);
            if ends_scan(*byte) {
                found = Some(Found {
                    marker: *byte,
                    start,
                    end: position(index),
                });
                return Flow::Stop;
            }
            pending = pending.filter(|_| *byte == 0xff);
        }
        Flow::On
    })?;
    Ok(found)
}

/// Notes a private fact unless its bytes are blank already.
fn note_private<R: Read + Seek>(
    source: &mut Source<'_, R>,
    range: Range,
    fact: PrivateFact,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let bytes = source.read(range, "a segment is cut short")?;
    if bytes.iter().any(|byte| *byte != 0) {
        anatomy.private.push(Private {
            fact,
            ranges: vec![range],
        });
    }
    Ok(())
}
