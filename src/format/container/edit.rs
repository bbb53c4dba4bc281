//! Changes to a file as a list: at this place these bytes go and those come. The file itself is never touched; the list is
//! carried out while it is copied, or while it is read.

use super::error::ContainerError;
use super::error::broken;
use super::source::Range;
use super::source::count_of;
use std::io;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

/// What comes in place of the bytes that go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Insert {
    /// These bytes.
    Bytes(Vec<u8>),
    /// So many zeros.
    Zeros(u64),
}

impl Insert {
    /// Returns how many bytes come.
    pub(super) fn length(&self) -> u64 {
        match self {
            Self::Bytes(bytes) => count_of(bytes.len()),
            Self::Zeros(count) => *count,
        }
    }
}

/// Why a change is made, and so what becomes of it when the inscription is undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    /// It holds the packet.
    Packet,
    /// It makes room for the packet, or takes an older one away, of which the first `kept` bytes name it and the rest is it.
    Room {
        /// Bytes that say nothing private.
        kept: u64,
    },
    /// It blanks a private fact, for good.
    Blank,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Edit {
    /// The bytes that go.
    pub(super) removed: Range,
    /// What comes.
    pub(super) inserted: Insert,
    /// Why.
    pub(super) purpose: Purpose,
}

impl Edit {
    /// Returns a change that puts in or replaces numbers.
    pub(super) const fn room(removed: Range, bytes: Vec<u8>) -> Self {
        Self {
            removed,
            inserted: Insert::Bytes(bytes),
            purpose: Purpose::Room {
                kept: removed.length,
            },
        }
    }

    /// Returns a change that puts zeros in place of bytes.
    pub(super) const fn blank(range: Range) -> Self {
        Self {
            removed: range,
            inserted: Insert::Zeros(range.length),
            purpose: Purpose::Blank,
        }
    }
}

/// Sorts changes by place and makes sure that none touches another and all are within a file of this length.
pub(super) fn in_order(mut edits: Vec<Edit>, length: u64) -> Result<Vec<Edit>, ContainerError> {
    edits.sort_by_key(|edit| (edit.removed.offset, edit.removed.length));
    let mut end = 0;
    for edit in &edits {
        if edit.removed.offset < end || edit.removed.end() > length {
            return Err(broken(
                edit.removed.offset,
                "two parts of the file lie over each other",
            ));
        }
        end = edit.removed.end();
    }
    Ok(edits)
}

/// Returns which ranges of a file of this length stay when changes in order are made to it, each with its new position.
pub(super) fn kept<'e>(edits: impl Iterator<Item = &'e Edit>, length: u64) -> Vec<(Range, u64)> {
    let mut kept = Vec::new();
    let mut at = 0;
    let mut to = 0_u64;
    for edit in edits {
        let stays = edit.removed.offset.saturating_sub(at);
        kept.push((Range::new(at, stays), to));
        to = to
            .saturating_add(stays)
            .saturating_add(edit.inserted.length());
        at = edit.removed.end();
    }
    kept.push((Range::new(at, length.saturating_sub(at)), to));
    kept
}

/// A stretch of a changed file.
#[derive(Debug)]
struct Stretch {
    /// Where it begins in the changed file.
    start: u64,
    length: u64,
    from: From,
}

#[derive(Debug)]
enum From {
    Source(u64),
    Bytes(Vec<u8>),
    Zeros,
}

/// A file as it would be with changes made to it.
#[derive(Debug)]
pub(super) struct Changed<'a, R> {
    reader: &'a mut R,
    stretches: Vec<Stretch>,
    length: u64,
    position: u64,
}

impl<'a, R: Read + Seek> Changed<'a, R> {
    /// Looks at a file of a length through changes.
    pub(super) fn new(
        reader: &'a mut R,
        length: u64,
        edits: Vec<Edit>,
    ) -> Result<Self, ContainerError> {
        let mut changed = Self {
            reader,
            stretches: Vec::new(),
            length: 0,
            position: 0,
        };
        let mut at = 0;
        for edit in in_order(edits, length)? {
            changed.push(edit.removed.offset.saturating_sub(at), From::Source(at));
            let inserted = edit.inserted.length();
            match edit.inserted {
                Insert::Bytes(bytes) => changed.push(inserted, From::Bytes(bytes)),
                Insert::Zeros(_) => changed.push(inserted, From::Zeros),
            }
            at = edit.removed.end();
        }
        changed.push(length.saturating_sub(at), From::Source(at));
        Ok(changed)
    }

    fn push(&mut self, length: u64, from: From) {
        if length > 0 {
            self.stretches.push(Stretch {
                start: self.length,
                length,
                from,
            });
            self.length = self.length.saturating_add(length);
        }
    }

    /// Returns the length of the changed file in bytes.
    pub(super) const fn length(&self) -> u64 {
        self.length
    }
}

impl<R: Read + Seek> Read for Changed<'_, R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let position = self.position;
        let index = self.stretches.partition_point(|one| one.start <= position);
        let Some(stretch) = index
            .checked_sub(1)
            .and_then(|index| self.stretches.get(index))
        else {
            return Ok(0);
        };
        let within = position.saturating_sub(stretch.start);
        let left = stretch.length.saturating_sub(within);
        let wanted = usize::try_from(left)
            .unwrap_or(usize::MAX)
            .min(buffer.len());
        let place = buffer.get_mut(..wanted).unwrap_or_default();
        let count = match &stretch.from {
            From::Source(at) => {
                self.reader
                    .seek(SeekFrom::Start(at.saturating_add(within)))?;
                self.reader.read(place)?
            }
            From::Bytes(bytes) => {
                let from = usize::try_from(within).unwrap_or(usize::MAX);
                bytes.get(from..).unwrap_or_default().read(place)?
            }
            From::Zeros => {
                place.fill(0);
                wanted
            }
        };
        self.position = position.saturating_add(count_of(count));
        Ok(count)
    }
}

impl<R: Read + Seek> Seek for Changed<'_, R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let target = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::End(by) => self.length.checked_add_signed(by),
            SeekFrom::Current(by) => self.position.checked_add_signed(by),
        };
        self.position = target.ok_or_else(|| io::Error::from(io::ErrorKind::InvalidInput))?;
        Ok(self.position)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::container::anatomy::Picture;
    use crate::format::container::anatomy::Piece;
    use std::io::Cursor;

    fn changed(bytes: &[u8], edits: Vec<Edit>) -> Vec<u8> {
        let mut cursor = Cursor::new(bytes);
        let mut changed = Changed::new(&mut cursor, count_of(bytes.len()), edits).unwrap();
        let mut read = Vec::new();
        changed.read_to_end(&mut read).unwrap();
        read
    }

    #[test]
    fn changes_are_seen_in_place() {
        let edits = vec![
            Edit::blank(Range::new(4, 2)),
            Edit::room(Range::new(1, 2), b"xyz".to_vec()),
            Edit::room(Range::new(8, 0), b"!".to_vec()),
        ];
        assert_eq!(changed(b"01234567", edits), b"0xyz3\0\x0067!");
    }

    #[test]
    fn what_stays_is_found_at_its_new_place() {
        let edits = vec![
            Edit::room(Range::new(1, 2), b"xyz".to_vec()),
            Edit::room(Range::new(5, 0), b"!".to_vec()),
            Edit::blank(Range::new(6, 1)),
        ];
        let original = b"01234567";
        let copy = changed(original, edits.clone());
        let kept = kept(edits.iter(), 8);
        let bytes = |bytes: &[u8], at: u64, length: u64| {
            let at = usize::try_from(at).unwrap();
            bytes[at..at + usize::try_from(length).unwrap()].to_vec()
        };
        for (range, to) in &kept {
            let stays = bytes(original, range.offset, range.length);
            assert_eq!(bytes(&copy, *to, range.length), stays);
        }
        assert_eq!(kept.iter().map(|(range, _)| range.length).sum::<u64>(), 5);
        let carried = |range| {
            let mut picture = Picture::default();
            picture.push_words(b"words".to_vec());
            picture.push(range);
            let carried = picture.carried(&kept)?;
            let pieces = carried.pieces().iter().skip(1);
            let ranges = pieces.map(|piece| match piece {
                Piece::Stored(range) => bytes(&copy, range.offset, range.length),
                Piece::Words(_) => Vec::new(),
            });
            Some(ranges.collect::<Vec<_>>())
        };
        assert_eq!(
            carried(Range::new(3, 3)),
            Some(vec![b"34".to_vec(), b"5".to_vec()])
        );
        assert_eq!(carried(Range::new(7, 1)), Some(vec![b"7".to_vec()]));
        assert_eq!(carried(Range::new(5, 2)), None);
        assert_eq!(carried(Range::new(0, 2)), None);
        assert_eq!(carried(Range::new(7, 2)), None);
    }

    #[test]
    fn seeking_lands_inside_what_came() {
        let mut cursor = Cursor::new(b"0123");
        let edits = vec![Edit::room(Range::new(2, 1), b"abc".to_vec())];
        let mut changed = Changed::new(&mut cursor, 4, edits).unwrap();
        changed.seek(SeekFrom::End(-3)).unwrap();
        let mut read = String::new();
        changed.read_to_string(&mut read).unwrap();
        assert_eq!(read, "bc3");
    }

    #[test]
    fn changes_over_each_other_or_outside_are_refused() {
        let over = vec![Edit::blank(Range::new(0, 3)), Edit::blank(Range::new(2, 1))];
        assert!(in_order(over, 9).is_err());
        assert!(in_order(vec![Edit::blank(Range::new(8, 2))], 9).is_err());
    }
}
