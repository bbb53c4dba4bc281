//! Image file directories: the tables that TIFF files are made of, and that Exif blocks and MPF indexes share. [TIFF6 2]

use super::error::ContainerError;
use super::error::broken;
use super::error::within;
use super::source::Order;
use super::source::Range;
use super::source::Source;
use super::source::count_of;
use std::io::Read;
use std::io::Seek;

/// The most entries of one directory. A classic directory cannot have more; real ones have fewer than a hundred.
pub(super) const ENTRY_LIMIT: u64 = 65_535;

/// How the numbers of a TIFF structure are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Shape {
    /// The order of bytes.
    pub(super) order: Order,
    /// Whether positions have 64 bits.
    pub(super) big: bool,
}

impl Shape {
    /// Returns the width of a position in bytes.
    pub(super) const fn offset_width(self) -> usize {
        if self.big { 8 } else { 4 }
    }

    /// Returns the width of a count of entries in bytes.
    pub(super) const fn count_width(self) -> usize {
        if self.big { 8 } else { 2 }
    }

    /// Returns the width of an entry in bytes.
    pub(super) const fn entry_width(self) -> usize {
        if self.big { 20 } else { 12 }
    }

    /// Returns where the position of the first directory is written.
    pub(super) const fn first_at(self) -> u64 {
        if self.big { 8 } else { 4 }
    }

    /// Returns the length of the header in bytes.
    pub(super) const fn header_length(self) -> u64 {
        if self.big { 16 } else { 8 }
    }
}

/// One entry of a directory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Entry {
    /// What it is.
    pub(super) tag: u16,
    /// The type of its values.
    pub(super) form: u16,
    /// How many values.
    pub(super) count: u64,
    /// Where the entry itself is.
    pub(super) at: u64,
    /// Where its values are: within the entry if they fit.
    pub(super) value: Range,
    /// Whether the values are within the entry.
    pub(super) inline: bool,
}

/// A directory.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Directory {
    /// All its bytes: count, entries, position of the next.
    pub(super) range: Range,
    /// Its entries in the order of the file.
    pub(super) entries: Vec<Entry>,
    /// The bytes of its entries.
    pub(super) table: Vec<u8>,
    /// The position of the next directory, or 0.
    pub(super) next: u64,
}

impl Directory {
    /// Returns the first entry of a tag.
    pub(super) fn entry(&self, tag: u16) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.tag == tag)
    }
}

/// Returns the width in bytes of one number of a type, and how many numbers make one value. [TIFF6 2; BigTIFF adds 16 to 18]
pub(super) const fn width_of(form: u16) -> Option<(u64, u64)> {
    match form {
        1 | 2 | 6 | 7 => Some((1, 1)),
        3 | 8 => Some((2, 1)),
        4 | 9 | 11 | 13 => Some((4, 1)),
        5 | 10 => Some((4, 2)),
        12 | 16 | 17 | 18 => Some((8, 1)),
        _ => None,
    }
}

/// Reads the header and returns the shape and the position of the first directory.
pub(super) fn header<R: Read + Seek>(
    source: &mut Source<'_, R>,
) -> Result<(Shape, u64), ContainerError> {
    const CUT: &str = "the file ends within its header";
    let head = source.read(Range::new(0, 8), CUT)?;
    let order = match head.get(..2) {
        Some(b"II") => Order::Little,
        Some(b"MM") => Order::Big,
        _ => return Err(broken(0, "the header has no order of bytes")),
    };
    match order.at(&head, 2, 2) {
        Some(42) => {
            let shape = Shape { order, big: false };
            Ok((shape, order.at(&head, 4, 4).unwrap_or(0)))
        }
        Some(43) => {
            if head.get(4..8)
                != Some(
                    order
                        .bytes(8, 2)
                        .iter()
                        .chain(&[0, 0])
                        .copied()
                        .collect::<Vec<u8>>()
                        .as_slice(),
                )
            {
                return Err(broken(4, "the header has an unknown width of positions"));
            }
            let first = source.read(Range::new(8, 8), CUT)?;
            Ok((Shape { order, big: true }, order.number(&first)))
        }
        _ => Err(broken(2, "the header has not the number of a TIFF file")),
    }
}

/// Reads the directory at a position. Values are not looked at.
pub(super) fn directory<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    at: u64,
) -> Result<Directory, ContainerError> {
    const CUT: &str = "a directory lies outside the file";
    let head = source.read(Range::new(at, count_of(shape.count_width())), CUT)?;
    let count = shape.order.number(&head);
    within(at, "a directory has too many entries", count, ENTRY_LIMIT)?;
    let first = at.saturating_add(count_of(shape.count_width()));
    let width = count_of(shape.entry_width());
    let size = count.saturating_mul(width);
    let table = source.read(Range::new(first, size), CUT)?;
    let next_at = first.saturating_add(size);
    let next_range = Range::new(next_at, count_of(shape.offset_width()));
    // Some cameras leave out the position of the next directory when the Exif block ends with this one.
    let next = match source.holds(next_range) {
        true => shape.order.number(&source.read(next_range, CUT)?),
        false => 0,
    };
    let end = next_range.end().min(source.length());
    let mut entries = Vec::new();
    for (index, bytes) in table.chunks_exact(shape.entry_width()).enumerate() {
        let place = first.saturating_add(count_of(index).saturating_mul(width));
        entries.extend(entry(shape, bytes, place));
    }
    Ok(Directory {
        range: Range::new(at, end.saturating_sub(at)),
        entries,
        table,
        next,
    })
}

fn entry(shape: Shape, bytes: &[u8], at: u64) -> Option<Entry> {
    let order = shape.order;
    let width = shape.offset_width();
    let tag = u16::try_from(order.at(bytes, 0, 2)?).ok()?;
    let form = u16::try_from(order.at(bytes, 2, 2)?).ok()?;
    let count = order.at(bytes, 4, width)?;
    let field_at = width.checked_add(4)?;
    let field = order.at(bytes, field_at, width)?;
    // A type that is not known says nothing about its length: only the field itself is its own.
    let size = width_of(form).map_or(count_of(width), |(one, many)| {
        one.saturating_mul(many).saturating_mul(count)
    });
    let inline = size <= count_of(width);
    let offset = if inline {
        at.saturating_add(count_of(field_at))
    } else {
        field
    };
    Some(Entry {
        tag,
        form,
        count,
        at,
        value: Range::new(offset, size),
        inline,
    })
}

/// Reads the values of an entry as plain unsigned numbers, whatever their type; a fraction gives two.
pub(super) fn numbers<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    entry: &Entry,
) -> Result<Vec<u64>, ContainerError> {
    let Some((width, _)) = width_of(entry.form) else {
        return Err(broken(entry.at, "a value has an unknown type"));
    };
    let bytes = source.read(entry.value, "a value lies outside the file")?;
    let width = usize::try_from(width).unwrap_or(1);
    Ok(bytes
        .chunks_exact(width)
        .map(|one| shape.order.number(one))
        .collect())
}

/// Reads the first value of an entry as a plain unsigned number, if there is one inside the file.
pub(super) fn number<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    tag: u16,
) -> Result<Option<u64>, ContainerError> {
    let Some(entry) = directory.entry(tag) else {
        return Ok(None);
    };
    let Some((width, _)) = width_of(entry.form) else {
        return Ok(None);
    };
    let first = Range::new(entry.value.offset, width);
    if entry.count == 0 || !source.holds(first) {
        return Ok(None);
    }
    let bytes = source.read(first, "a value lies outside the file")?;
    Ok(Some(shape.order.number(&bytes)))
}

/// Reads the first value of an entry as a fraction.
pub(super) fn fraction<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    tag: u16,
) -> Option<f64> {
    let entry = directory.entry(tag)?;
    let range = Range::new(entry.value.offset, 8);
    if !matches!(entry.form, 5 | 10) || entry.count == 0 || !source.holds(range) {
        return None;
    }
    let bytes = source.read(range, "a value lies outside the file").ok()?;
    let part = |at| {
        shape
            .order
            .at(&bytes, at, 4)
            .and_then(|one| u32::try_from(one).ok())
    };
    let (above, below) = (part(0)?, part(4)?);
    (below != 0).then(|| f64::from(above) / f64::from(below))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn little(bytes: &[u8]) -> Result<Directory, ContainerError> {
        let mut cursor = Cursor::new(bytes);
        let mut source = Source::new(&mut cursor)?;
        let (shape, first) = header(&mut source)?;
        directory(&mut source, shape, first)
    }

    #[test]
    fn smallest_directory_and_every_cut_of_it() {
        let whole = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
        let read = little(whole).unwrap();
        assert_eq!(read.entries.len(), 1);
        assert_eq!(read.entry(0x112).unwrap().value, Range::new(18, 2));
        // The last four bytes are the position of the next directory, which may be absent.
        for length in 0..whole.len() - 4 {
            assert!(little(&whole[..length]).is_err(), "{length}");
        }
    }

    #[test]
    fn a_count_that_overflows_is_no_inline_value() {
        let whole = b"II*\0\x08\0\0\0\x01\0\x12\x01\x04\0\xff\xff\xff\xff\x06\0\0\0\0\0\0\0";
        let read = little(whole).unwrap();
        let entry = read.entry(0x112).unwrap();
        assert!(!entry.inline);
        assert_eq!(entry.value.length, 4 * 0xffff_ffff);
    }

    #[test]
    fn big_positions() {
        let mut whole = b"MM\0+\0\x08\0\0\0\0\0\0\0\0\0\x10".to_vec();
        whole.extend([0, 0, 0, 0, 0, 0, 0, 1]);
        whole.extend([1, 0, 0, 16, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 9]);
        whole.extend([0; 8]);
        let mut cursor = Cursor::new(whole.as_slice());
        let mut source = Source::new(&mut cursor).unwrap();
        let (shape, first) = header(&mut source).unwrap();
        let read = directory(&mut source, shape, first).unwrap();
        assert_eq!(number(&mut source, shape, &read, 256).unwrap(), Some(9));
    }
}
