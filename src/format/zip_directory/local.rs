//! The header that stands before an entry's bytes. [APPNOTE 4.3.7]

use super::CENTRAL_HEADER;
use super::END;
use super::END_64;
use super::LOCAL_HEADER;
use super::LOCAL_HEADER_LENGTH;
use super::Method;
use super::Wide;
use super::ZipFault;
use super::bytes;
use super::bytes::Field;
use super::contradiction;
use super::name_of;
use std::io::Read;

/// Bytes of the mark by which a header is known.
const SIGNATURE: u64 = 4;

/// What an entry says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Local {
    /// The name, `/` between folders.
    pub name: String,
    /// How the bytes are kept.
    pub method: Method,
    /// The check value of the bytes (CRC-32); 0 when it stands behind them.
    pub crc: u32,
    /// The length as kept, in bytes; 0 when it stands behind them.
    pub kept: u64,
    /// The length when read, in bytes; 0 when it stands behind the bytes.
    pub length: u64,
    pub(super) flags: u16,
    /// The length of the header itself, in bytes.
    pub header: u64,
}

impl Local {
    /// Says in one line what the header says of the entry that begins at `offset`, as [`super::Entry::line`] does.
    #[must_use]
    pub fn line(&self, offset: u64) -> String {
        let lengths = (self.kept, self.length);
        super::line(
            &self.name,
            (self.method, self.flags),
            self.crc,
            lengths,
            offset,
        )
    }
}

/// Reads the header that begins here; nothing when the list of contents begins here.
///
/// # Errors
/// Gives the reason when neither begins here, or it is cut short.
pub fn local_header(source: &mut impl Read) -> Result<Option<Local>, ZipFault> {
    let signature = bytes::exactly(source, SIGNATURE)?;
    match Field::new(&signature).four() {
        LOCAL_HEADER => {}
        CENTRAL_HEADER | END | END_64 => return Ok(None),
        _ => return Err(contradiction("an entry is not where the list says")),
    }
    let header = bytes::exactly(source, LOCAL_HEADER_LENGTH.saturating_sub(SIGNATURE))?;
    let mut fields = Field::new(&header);
    let _version = fields.two();
    let flags = fields.two();
    let method = Method::of(fields.two());
    let _time_and_date = fields.four();
    let crc = fields.four();
    let (kept, length) = (fields.four(), fields.four());
    let name_length = u64::from(fields.two());
    let extra_length = u64::from(fields.two());
    let name = bytes::exactly(source, name_length)?;
    let extra = bytes::exactly(source, extra_length)?;
    let mut wide = Wide::of(&extra);
    let length = wide.instead_of(length);
    let kept = wide.instead_of(kept);
    Ok(Some(Local {
        name: name_of(&name, flags).0,
        method,
        crc,
        kept,
        length,
        flags,
        header: LOCAL_HEADER_LENGTH
            .saturating_add(name_length)
            .saturating_add(extra_length),
    }))
}
