//! A small TIFF structure with the same facts as a large file: what an Exif block would hold.

use crate::format::container::error::ContainerError;
use crate::format::container::error::broken;
use crate::format::container::ifd;
use crate::format::container::ifd::Directory;
use crate::format::container::ifd::Entry;
use crate::format::container::ifd::Shape;
use crate::format::container::source::Order;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use std::io::Read;
use std::io::Seek;

/// The longest value that is taken along, in bytes; facts for people are far shorter.
const VALUE_LIMIT: u64 = 64 * 1024;
/// Exif, GPS and interoperability directories. [CIPA DC-008 4.6.3]
const POINTERS: [u16; 3] = [0x8769, 0x8825, 0xa005];
/// Where the picture is, and what is handed over otherwise: packet, IIM, image resources, profile.
const LEFT_OUT: [u16; 13] = [
    273, 279, 324, 325, 330, 347, 513, 514, 700, 33_723, 34_377, 34_675, 320,
];

/// One entry to be written.
struct Fact {
    tag: u16,
    form: u16,
    count: u64,
    content: Content,
}

enum Content {
    Bytes(Vec<u8>),
    Below(Vec<Fact>),
}

/// Returns the facts of the first directory, and of those below it that Exif knows, as a classic TIFF structure in the same
/// order of bytes. Values that cannot be read are left out.
pub(super) fn exif<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
) -> Vec<u8> {
    let facts = facts(source, shape, directory, 0);
    let order = shape.order;
    let mut written = match order {
        Order::Big => b"MM".to_vec(),
        Order::Little => b"II".to_vec(),
    };
    written.extend(order.bytes(42, 2));
    written.extend(order.bytes(8, 4));
    write(&facts, order, &mut written);
    written
}

fn facts<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    depth: u8,
) -> Vec<Fact> {
    let mut facts = Vec::new();
    for entry in &directory.entries {
        if POINTERS.contains(&entry.tag) {
            if depth < 2 {
                facts.extend(below(source, shape, entry, depth));
            }
        } else if !LEFT_OUT.contains(&entry.tag) {
            facts.extend(plain(source, shape, entry));
        }
    }
    facts
}

fn below<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    entry: &Entry,
    depth: u8,
) -> Option<Fact> {
    let at = ifd::numbers(source, shape, entry).ok()?.first().copied()?;
    let directory = ifd::directory(source, shape, at).ok()?;
    let content = facts(source, shape, &directory, depth.saturating_add(1));
    Some(Fact {
        tag: entry.tag,
        form: 4,
        count: 1,
        content: Content::Below(content),
    })
}

fn plain<R: Read + Seek>(source: &mut Source<'_, R>, shape: Shape, entry: &Entry) -> Option<Fact> {
    let known = ifd::width_of(entry.form).is_some();
    if !known || entry.value.length > VALUE_LIMIT {
        return None;
    }
    let bytes = source
        .read(entry.value, "a value lies outside the file")
        .ok()?;
    let (form, bytes) = match entry.form {
        // Classic files have no numbers of 64 bits.
        16..=18 => (4, narrowed(&bytes, shape.order).ok()?),
        form => (form, bytes),
    };
    Some(Fact {
        tag: entry.tag,
        form,
        count: entry.count,
        content: Content::Bytes(bytes),
    })
}

fn narrowed(bytes: &[u8], order: Order) -> Result<Vec<u8>, ContainerError> {
    let mut narrow = Vec::new();
    for one in bytes.chunks_exact(8) {
        let number = order.number(one);
        if u32::try_from(number).is_err() {
            return Err(broken(0, "a value is too large"));
        }
        narrow.extend(order.bytes(number, 4));
    }
    Ok(narrow)
}

/// Writes a directory at the end, its values after it, then the directories below.
fn write(facts: &[Fact], order: Order, written: &mut Vec<u8>) {
    let table_at = written.len();
    let table_length = facts.len().saturating_mul(12).saturating_add(6);
    written.resize(table_at.saturating_add(table_length), 0);
    let mut table = order.bytes(count_of(facts.len()), 2);
    for fact in facts {
        table.extend(order.bytes(u64::from(fact.tag), 2));
        table.extend(order.bytes(u64::from(fact.form), 2));
        table.extend(order.bytes(fact.count, 4));
        let position = order.bytes(count_of(written.len()), 4);
        match &fact.content {
            Content::Bytes(bytes) if bytes.len() <= 4 => {
                table.extend(bytes.iter().copied().chain([0; 4]).take(4));
            }
            Content::Bytes(bytes) => {
                table.extend(position);
                written.extend(bytes);
                // Values begin at even positions. [TIFF6 2]
                if written.len() & 1 == 1 {
                    written.push(0);
                }
            }
            Content::Below(facts) => {
                table.extend(position);
                write(facts, order, written);
            }
        }
    }
    for (place, byte) in written.iter_mut().skip(table_at).zip(table) {
        *place = byte;
    }
}
