//! The directory of a zip file (PKWARE APPNOTE 6.3.10): which entries there are and where their bytes lie.
//!
//! Read here and not by the zip library, because that joins entries of one name into one, and an audit must see both; because
//! entries are read by several threads at once; and because a directory of a hundred thousand entries must stay small in memory.
//! Whatever two readers of zips might understand differently is refused.

mod bytes;
mod local;

use bytes::Field;
pub use local::Local;
pub use local::local_header;
use std::io;
use std::io::BufReader;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

const LOCAL_HEADER: u32 = 0x0403_4b50; // [APPNOTE 4.3.7]
const CENTRAL_HEADER: u32 = 0x0201_4b50; // [APPNOTE 4.3.12]
const END: u32 = 0x0605_4b50; // [APPNOTE 4.3.16]
const END_64: u32 = 0x0606_4b50; // [APPNOTE 4.3.14]
const LOCATOR_64: u32 = 0x0706_4b50; // [APPNOTE 4.3.15]

const LOCAL_HEADER_LENGTH: u64 = 30;
const CENTRAL_HEADER_LENGTH: u64 = 46;
const END_LENGTH: u64 = 22;
const END_64_LENGTH: u64 = 56;
const LOCATOR_64_LENGTH: u64 = 20;
const LONGEST_COMMENT: u64 = 65_535;

/// Flag of encrypted entries. // [APPNOTE 4.4.4 bit 0, 6, 13]
const ENCRYPTED: u16 = 1 | (1 << 6) | (1 << 13);
/// Flag of names in UTF-8. // [APPNOTE 4.4.4 bit 11]
const UTF_8: u16 = 1 << 11;

/// The extra field with sizes of eight bytes. // [APPNOTE 4.5.3]
const EXTRA_64: u16 = 0x0001;

/// How an entry's bytes are kept. // [APPNOTE 4.4.5]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// As they are.
    Stored,
    /// Deflated.
    Deflated,
    /// In a way that is not read here.
    Other(u16),
}

/// One entry.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The name, `/` between folders; one that ends in `/` is a folder.
    pub name: Box<str>,
    /// How the bytes are kept.
    pub method: Method,
    /// Whether a password is needed.
    pub is_encrypted: bool,
    /// Whether it is a link to another place.
    pub is_link: bool,
    /// Whether the name could not be read for certain.
    pub name_is_doubtful: bool,
    /// The check value of the bytes (CRC-32).
    pub crc: u32,
    /// The length as kept, in bytes.
    pub kept: u64,
    /// The length when read, in bytes.
    pub length: u64,
    /// Where the local header begins.
    offset: u64,
    /// Where the entry has to end at the latest: at the next one's beginning.
    limit: u64,
    flags: u16,
}

/// Why a zip file, or an entry, is refused.
#[derive(Debug, thiserror::Error)]
pub enum ZipFault {
    /// It could not be read.
    #[error("it could not be read")]
    Io(#[from] io::Error),
    /// It is no zip file, or is cut short.
    #[error("it is no zip file, or its end is cut off")]
    NoDirectory,
    /// It is one part of several.
    #[error("it is one part of a zip that was split over several files")]
    Split,
    /// The directory contradicts itself or the file.
    #[error("its list of contents contradicts itself ({what})")]
    Contradiction {
        /// What contradicts what.
        what: &'static str,
    },
    /// Two entries share bytes, as in files made to fill disks.
    #[error("two of its entries share the same bytes, as in files made to do harm")]
    Overlap,
}

/// Reads the directory of a zip file; the entries come in the order in which they stand there.
///
/// # Errors
/// Gives the reason when the file is no zip, is split, contradicts itself, or has entries that overlap.
pub fn read<R: Read + Seek>(source: &mut R) -> Result<Vec<Entry>, ZipFault> {
    let mut entries = Vec::new();
    let directory_start = each(source, |entry| entries.push(entry))?;
    set_limits(&mut entries, directory_start)?;
    Ok(entries)
}

/// Reads the directory of a zip file without holding it: the entries come in the order in which they stand there. Whether they
/// overlap is not looked at. Returns where the directory begins.
///
/// # Errors
/// Gives the reason when the file is no zip, is split, or contradicts itself.
pub fn each<R: Read + Seek>(source: &mut R, mut take: impl FnMut(Entry)) -> Result<u64, ZipFault> {
    let end = find_end(source)?;
    source.seek(SeekFrom::Start(end.start))?;
    let mut reader = BufReader::with_capacity(64 * 1024, source);
    let (mut read, mut count) = (0_u64, 0_u64);
    while read < end.length {
        let (entry, length) = central_header(&mut reader)?;
        take(entry);
        read = read.saturating_add(length);
        count = count.saturating_add(1);
    }
    if read != end.length || count != end.count {
        return Err(contradiction("the number or length of its parts"));
    }
    Ok(end.start)
}

/// Returns where the bytes of an entry begin, after making sure that the header beside them says the same as the directory.
///
/// # Errors
/// Gives the reason when the header cannot be read, is another entry's, or the bytes reach into the next entry.
pub fn data_start<R: Read + Seek>(source: &mut R, entry: &Entry) -> Result<u64, ZipFault> {
    source.seek(SeekFrom::Start(entry.offset))?;
    // Check value and lengths may stand behind the bytes instead; the list's count.
    let local = local_header(source)?
        .ok_or_else(|| contradiction("an entry is not where the list says"))?;
    let same_name = local.name == *entry.name;
    if !same_name || local.method != entry.method || (local.flags ^ entry.flags) & ENCRYPTED != 0 {
        return Err(contradiction(
            "an entry calls itself something else than the list does",
        ));
    }
    let start = entry.offset.saturating_add(local.header);
    if start.saturating_add(entry.kept) > entry.limit {
        return Err(ZipFault::Overlap);
    }
    Ok(start)
}

impl Entry {
    /// Says in one line what the list says of the entry; the header beside its bytes has to say the same.
    #[must_use]
    pub fn line(&self) -> String {
        let lengths = (self.kept, self.length);
        line(
            &self.name,
            (self.method, self.flags),
            self.crc,
            lengths,
            self.offset,
        )
    }
}

/// What two places in a zip say of one entry.
fn line(
    name: &str,
    (method, flags): (Method, u16),
    crc: u32,
    (kept, length): (u64, u64),
    offset: u64,
) -> String {
    format!("{offset} {method:?} {flags:04x} {crc:08x} {kept} {length} {name}\n")
}

impl Method {
    const fn of(number: u16) -> Self {
        match number {
            0 => Self::Stored,
            8 => Self::Deflated,
            other => Self::Other(other),
        }
    }
}

/// Where the central directory is.
struct End {
    start: u64,
    length: u64,
    count: u64,
}

fn find_end<R: Read + Seek>(source: &mut R) -> Result<End, ZipFault> {
    let file_length = source.seek(SeekFrom::End(0))?;
    let tail_length = file_length.min(END_LENGTH.saturating_add(LONGEST_COMMENT));
    let tail_start = file_length.saturating_sub(tail_length);
    source.seek(SeekFrom::Start(tail_start))?;
    let tail = bytes::exactly(source, tail_length)?;
    let position = bytes::last_end(&tail, END).ok_or(ZipFault::NoDirectory)?;
    let end_at = tail_start.saturating_add(u64::try_from(position).unwrap_or(u64::MAX));
    let mut fields = Field::new(tail.get(position..).unwrap_or_default());
    fields.skip(4);
    let (disk, first_disk) = (fields.two(), fields.two());
    let (count_here, count) = (fields.two(), fields.two());
    let (length, start) = (fields.four(), fields.four());
    let is_64 = count == u16::MAX || length == u32::MAX || start == u32::MAX;
    let end = match is_64.then(|| end_64(source, end_at)).transpose()?.flatten() {
        Some((end, end_64_at)) => {
            refuse_gap(&end, end_64_at)?;
            end
        }
        None => {
            if disk != 0 || first_disk != 0 || count_here != count {
                return Err(ZipFault::Split);
            }
            let end = End {
                start: u64::from(start),
                length: u64::from(length),
                count: u64::from(count),
            };
            refuse_gap(&end, end_at)?;
            end
        }
    };
    Ok(end)
}

/// The directory has to end where the record that speaks of it begins: anything between is read differently by different readers.
fn refuse_gap(end: &End, record_at: u64) -> Result<(), ZipFault> {
    if end.start.checked_add(end.length) == Some(record_at) {
        Ok(())
    } else {
        Err(contradiction("the list is not where it should be"))
    }
}

fn end_64<R: Read + Seek>(source: &mut R, end_at: u64) -> Result<Option<(End, u64)>, ZipFault> {
    let Some(locator_at) = end_at.checked_sub(LOCATOR_64_LENGTH) else {
        return Ok(None);
    };
    source.seek(SeekFrom::Start(locator_at))?;
    let locator = bytes::exactly(source, LOCATOR_64_LENGTH)?;
    let mut fields = Field::new(&locator);
    if fields.four() != LOCATOR_64 {
        return Ok(None);
    }
    fields.skip(4);
    let record_at = fields.eight();
    if fields.four() > 1 {
        return Err(ZipFault::Split);
    }
    if record_at.saturating_add(END_64_LENGTH) > locator_at {
        return Err(contradiction("the list is not where it should be"));
    }
    source.seek(SeekFrom::Start(record_at))?;
    let record = bytes::exactly(source, END_64_LENGTH)?;
    let mut fields = Field::new(&record);
    if fields.four() != END_64 {
        return Err(ZipFault::NoDirectory);
    }
    // Its own length, two versions, two disk numbers.
    fields.skip(20);
    let (count_here, count) = (fields.eight(), fields.eight());
    let (length, start) = (fields.eight(), fields.eight());
    if count_here != count {
        return Err(ZipFault::Split);
    }
    let end = End {
        start,
        length,
        count,
    };
    Ok(Some((end, record_at)))
}

fn central_header(reader: &mut impl Read) -> Result<(Entry, u64), ZipFault> {
    let header = bytes::exactly(reader, CENTRAL_HEADER_LENGTH)?;
    let mut fields = Field::new(&header);
    if fields.four() != CENTRAL_HEADER {
        return Err(contradiction("a part of the list is not one"));
    }
    let made_by = fields.two();
    fields.skip(2);
    let flags = fields.two();
    let method = Method::of(fields.two());
    fields.skip(4);
    let crc = fields.four();
    let (kept, length) = (fields.four(), fields.four());
    let name_length = fields.two();
    let extra_length = fields.two();
    let comment_length = fields.two();
    fields.skip(4);
    let attributes = fields.four();
    let offset = fields.four();
    let name = bytes::exactly(reader, u64::from(name_length))?;
    let extra = bytes::exactly(reader, u64::from(extra_length))?;
    bytes::exactly(reader, u64::from(comment_length))?;
    let mut wide = Wide::of(&extra);
    let length = wide.instead_of(length);
    let kept = wide.instead_of(kept);
    let offset = wide.instead_of(offset);
    let (name, name_is_doubtful) = name_of(&name, flags);
    let entry = Entry {
        name: name.into_boxed_str(),
        method,
        is_encrypted: flags & ENCRYPTED != 0,
        is_link: is_link(made_by, attributes),
        name_is_doubtful,
        crc,
        kept,
        length,
        offset,
        limit: 0,
        flags,
    };
    let total = CENTRAL_HEADER_LENGTH
        .saturating_add(u64::from(name_length))
        .saturating_add(u64::from(extra_length))
        .saturating_add(u64::from(comment_length));
    Ok((entry, total))
}

/// Systems with Unix modes keep them in the upper half of the attributes. // [APPNOTE 4.4.2, 4.4.15]
const fn is_link(made_by: u16, attributes: u32) -> bool {
    const KIND: u32 = 0o170_000;
    const LINK: u32 = 0o120_000;
    let system = made_by >> 8;
    (system == 3 || system == 19) && (attributes >> 16) & KIND == LINK
}

/// Numbers that are too large for their four bytes. They stand in the extra field, the length first, then the length as kept, then the
/// place, each only if it is needed. [APPNOTE 4.5.3]
struct Wide<'a>(Option<Field<'a>>);

impl<'a> Wide<'a> {
    fn of(extra: &'a [u8]) -> Self {
        Self(bytes::extra(extra, EXTRA_64).map(Field::new))
    }

    fn instead_of(&mut self, short: u32) -> u64 {
        match (short, self.0.as_mut()) {
            (u32::MAX, Some(fields)) => fields.eight(),
            _ => u64::from(short),
        }
    }
}

/// Names are UTF-8 when flagged so; many writers forget the flag. Others are in the writer's own alphabet, which nobody can
/// know, so that each such byte is shown by the letter of ISO 8859-1 and the name called doubtful.
fn name_of(bytes: &[u8], flags: u16) -> (String, bool) {
    match std::str::from_utf8(bytes) {
        Ok(name) => (name.to_owned(), false),
        Err(_) => {
            let shown = bytes.iter().map(|byte| char::from(*byte)).collect();
            (shown, flags & UTF_8 == 0 || !bytes.is_ascii())
        }
    }
}

/// Gives each entry the place where it has to end, and refuses those that cannot fit in.
fn set_limits(entries: &mut [Entry], directory_start: u64) -> Result<(), ZipFault> {
    let mut order: Vec<usize> = (0..entries.len()).collect();
    order.sort_by_key(|index| entries.get(*index).map(|entry| entry.offset));
    let mut next_start = directory_start;
    for index in order.into_iter().rev() {
        let Some(entry) = entries.get_mut(index) else {
            continue;
        };
        let name_length = u64::try_from(entry.name.len()).unwrap_or(u64::MAX);
        let shortest = if entry.name_is_doubtful {
            0
        } else {
            name_length
        }
        .saturating_add(LOCAL_HEADER_LENGTH)
        .saturating_add(entry.kept);
        if entry.offset.saturating_add(shortest) > next_start {
            return Err(ZipFault::Overlap);
        }
        entry.limit = next_start;
        next_start = entry.offset;
    }
    Ok(())
}

const fn contradiction(what: &'static str) -> ZipFault {
    ZipFault::Contradiction { what }
}

#[cfg(test)]
mod tests;
