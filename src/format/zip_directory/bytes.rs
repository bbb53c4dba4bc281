//! Little-endian fields of zip headers. [APPNOTE 4.4.1.1]

use super::END_LENGTH;
use super::ZipFault;
use std::io::Read;

/// Reads fields one after another; past the end they are 0, since headers are read whole beforehand.
pub(super) struct Field<'a> {
    rest: &'a [u8],
}

impl<'a> Field<'a> {
    pub(super) const fn new(bytes: &'a [u8]) -> Self {
        Self { rest: bytes }
    }

    fn take<const LENGTH: usize>(&mut self) -> [u8; LENGTH] {
        match self.rest.split_first_chunk::<LENGTH>() {
            Some((chunk, rest)) => {
                self.rest = rest;
                *chunk
            }
            None => {
                self.rest = &[];
                [0; LENGTH]
            }
        }
    }

    pub(super) fn two(&mut self) -> u16 {
        u16::from_le_bytes(self.take())
    }

    pub(super) fn four(&mut self) -> u32 {
        u32::from_le_bytes(self.take())
    }

    pub(super) fn eight(&mut self) -> u64 {
        u64::from_le_bytes(self.take())
    }

    pub(super) fn skip(&mut self, count: usize) {
        self.rest = self.rest.get(count..).unwrap_or_default();
    }
}

/// Reads exactly this many bytes; too few mean that the file is cut short. Lengths here are at most 16 bits or the tail of a file.
pub(super) fn exactly(reader: &mut impl Read, length: u64) -> Result<Vec<u8>, ZipFault> {
    let mut bytes = Vec::new();
    let count = reader.take(length).read_to_end(&mut bytes)?;
    if u64::try_from(count).ok() == Some(length) {
        Ok(bytes)
    } else {
        Err(ZipFault::NoDirectory)
    }
}

/// Finds the end record whose comment reaches exactly to the end of the file.
pub(super) fn last_end(tail: &[u8], signature: u32) -> Option<usize> {
    let last = tail.len().checked_sub(usize::try_from(END_LENGTH).ok()?)?;
    (0..=last).rev().find(|position| {
        let Some(record) = tail.get(*position..) else {
            return false;
        };
        let mut fields = Field::new(record);
        if fields.four() != signature {
            return false;
        }
        fields.skip(16);
        let comment = u64::from(fields.two());
        u64::try_from(record.len()).ok() == END_LENGTH.checked_add(comment)
    })
}

/// Finds an extra field by its number.
pub(super) fn extra(bytes: &[u8], wanted: u16) -> Option<&[u8]> {
    let mut rest = bytes;
    while !rest.is_empty() {
        let mut fields = Field::new(rest);
        let (number, length) = (fields.two(), usize::from(fields.two()));
        let body = rest.get(4..4_usize.checked_add(length)?)?;
        if number == wanted {
            return Some(body);
        }
        rest = rest.get(4_usize.checked_add(length)?..)?;
    }
    None
}
