//! Looks a stranger's packet over before anything else reads it: encoding, size, nesting, no entities, well-formed.
//!
//! Everything here runs once over the bytes and keeps no more than a counter, so that no packet can make it slow or deep.

use std::borrow::Cow;

/// Largest packet, in bytes. The largest of 103 packets of ordinary files had 35,667; a packet is held in memory some ten times while
/// ours is joined to it, and 64 MB must do for a file.
pub(super) const LONGEST: usize = 3 * 1024 * 1024;
/// Deepest nesting of elements. The deepest of 103 packets of ordinary files was 12.
pub(super) const DEEPEST: usize = 64;
/// Most elements, comments and instructions together. The most elements in 103 packets of ordinary files was 842.
pub(super) const MOST_PARTS: usize = 5_000;
/// Most attributes of one element. Editing settings are stored as some 300 attributes of one element.
pub(super) const MOST_ATTRIBUTES: usize = 1_000;
/// Most attributes of all elements together.
pub(super) const MOST_ATTRIBUTES_IN_ALL: usize = 20_000;

/// Why a packet is not read. Offsets count bytes from the start of the packet, after decoding to UTF-8.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PacketFault {
    /// It is larger than [`LONGEST`].
    #[error("the description inside the file is {length} bytes long, more than {LONGEST}")]
    TooLong {
        /// Its length in bytes.
        length: usize,
    },
    /// It is not text in UTF-8 or UTF-16.
    #[error("the description inside the file is not text in UTF-8 or UTF-16 (byte {offset})")]
    NotText {
        /// The first byte that is not text.
        offset: usize,
    },
    /// It declares a document type or entities, which ISO 16684-1 7.1 has no use for and which can be made to explode.
    #[error("the description inside the file declares entities of its own (byte {offset})")]
    Declaration {
        /// Where the declaration begins.
        offset: usize,
    },
    /// Elements are nested deeper than [`DEEPEST`].
    #[error("the description inside the file is nested more than {DEEPEST} deep (byte {offset})")]
    TooDeep {
        /// Where the element begins.
        offset: usize,
    },
    /// There are more elements, comments and instructions than [`MOST_PARTS`], or more attributes than [`MOST_ATTRIBUTES`].
    #[error("the description inside the file has too many parts (byte {offset})")]
    TooMany {
        /// Where the element begins.
        offset: usize,
    },
    /// It is not well-formed XML.
    #[error("the description inside the file is damaged: {why} (byte {offset})")]
    NotWellFormed {
        /// What is wrong.
        why: String,
        /// Where.
        offset: usize,
    },
    /// There is no `rdf:RDF` in it.
    #[error("the description inside the file holds no RDF")]
    NoRdf,
}

/// Looks a packet over and returns it as text, without byte order mark and trailing zero bytes. What this returns can be
/// given to any XML reader.
///
/// # Errors
/// Says why the packet is refused and at which byte.
pub fn screen(bytes: &[u8]) -> Result<Cow<'_, str>, PacketFault> {
    if bytes.len() > LONGEST {
        return Err(PacketFault::TooLong {
            length: bytes.len(),
        });
    }
    let text = decode(bytes)?;
    count_parts(text.as_bytes())?;
    parse(&text)?;
    Ok(text)
}

/// Reads text that has been looked over.
///
/// # Errors
/// Says where it is not well-formed.
pub(super) fn parse(text: &str) -> Result<roxmltree::Document<'_>, PacketFault> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: false,
        ..roxmltree::ParsingOptions::default()
    };
    roxmltree::Document::parse_with_options(text, options).map_err(|error| {
        PacketFault::NotWellFormed {
            offset: offset_of(text, error.pos()),
            why: error.to_string(),
        }
    })
}

fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, PacketFault> {
    match bytes {
        // UTF-32 is permitted by ISO 16684-1 7.1 but never seen; its little-endian mark begins like UTF-16's.
        [0xFF, 0xFE, 0, 0, ..] | [0, 0, 0xFE, 0xFF, ..] => Err(PacketFault::NotText { offset: 0 }),
        [0xFE, 0xFF, rest @ ..] => decode_wide(rest, u16::from_be_bytes),
        [0xFF, 0xFE, rest @ ..] => decode_wide(rest, u16::from_le_bytes),
        [0, b'<', ..] => decode_wide(bytes, u16::from_be_bytes),
        [b'<', 0, ..] => decode_wide(bytes, u16::from_le_bytes),
        _ => {
            let start = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
            let text = std::str::from_utf8(start).map_err(|error| PacketFault::NotText {
                offset: error.valid_up_to(),
            })?;
            Ok(Cow::Borrowed(text.trim_end_matches('\0')))
        }
    }
}

fn decode_wide(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<Cow<'static, str>, PacketFault> {
    let (pairs, _odd) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len());
    for one in char::decode_utf16(pairs.iter().map(|pair| unit(*pair))) {
        let one = one.map_err(|_| PacketFault::NotText { offset: text.len() })?;
        text.push(one);
    }
    let kept = text.trim_end_matches('\0').len();
    text.truncate(kept);
    Ok(Cow::Owned(text))
}

/// Walks over the tags without building anything.
fn count_parts(text: &[u8]) -> Result<(), PacketFault> {
    let mut depth = 0_usize;
    let mut parts = 0_usize;
    let mut attributes = 0_usize;
    let mut at = 0_usize;
    while let Some(found) = find(text, at, b"<") {
        let rest = text.get(found..).unwrap_or_default();
        if !rest.starts_with(b"</") {
            parts = parts.saturating_add(1);
        }
        if parts > MOST_PARTS {
            return Err(PacketFault::TooMany { offset: found });
        }
        at = if rest.starts_with(b"<!--") {
            after(text, found, 4, b"-->")?
        } else if rest.starts_with(b"<![CDATA[") {
            after(text, found, 9, b"]]>")?
        } else if rest.starts_with(b"<!") {
            return Err(PacketFault::Declaration { offset: found });
        } else if rest.starts_with(b"<?") {
            after(text, found, 2, b"?>")?
        } else if rest.starts_with(b"</") {
            depth = depth.saturating_sub(1);
            after(text, found, 2, b">")?
        } else {
            let tag = opening_tag(text, found)?;
            attributes = attributes.saturating_add(tag.attributes);
            if tag.attributes > MOST_ATTRIBUTES || attributes > MOST_ATTRIBUTES_IN_ALL {
                return Err(PacketFault::TooMany { offset: found });
            }
            if !tag.is_empty {
                depth = depth.saturating_add(1);
            }
            if depth > DEEPEST {
                return Err(PacketFault::TooDeep { offset: found });
            }
            tag.end
        };
    }
    Ok(())
}

struct Tag {
    end: usize,
    attributes: usize,
    is_empty: bool,
}

/// Reads from `<` to the `>` that closes the tag; a `>` in quotes does not.
fn opening_tag(text: &[u8], start: usize) -> Result<Tag, PacketFault> {
    let mut quote = None;
    let mut attributes = 0_usize;
    let mut before = b'<';
    for (offset, byte) in (start..).zip(text.get(start..).unwrap_or_default().iter().copied()) {
        match (quote, byte) {
            (Some(open), _) if open == byte => quote = None,
            (Some(_), _) => {}
            (None, b'"' | b'\'') => quote = Some(byte),
            (None, b'=') => attributes = attributes.saturating_add(1),
            (None, b'>') => {
                return Ok(Tag {
                    end: offset.saturating_add(1),
                    attributes,
                    is_empty: before == b'/',
                });
            }
            (None, _) => {}
        }
        before = byte;
    }
    Err(unclosed(start))
}

/// Returns the position after the next `end` that follows `start` by at least `skip` bytes.
fn after(text: &[u8], start: usize, skip: usize, end: &[u8]) -> Result<usize, PacketFault> {
    find(text, start.saturating_add(skip), end)
        .map(|found| found.saturating_add(end.len()))
        .ok_or_else(|| unclosed(start))
}

fn unclosed(offset: usize) -> PacketFault {
    PacketFault::NotWellFormed {
        why: "a tag is not closed".to_owned(),
        offset,
    }
}

fn find(text: &[u8], from: usize, what: &[u8]) -> Option<usize> {
    let rest = text.get(from..)?;
    rest.windows(what.len())
        .position(|window| window == what)
        .map(|position| from.saturating_add(position))
}

fn offset_of(text: &str, position: roxmltree::TextPos) -> usize {
    let row = usize::try_from(position.row).unwrap_or_default();
    let column = usize::try_from(position.col).unwrap_or_default();
    let mut start = 0_usize;
    for (index, line) in text.split_inclusive('\n').enumerate() {
        if index.saturating_add(1) == row {
            let within: usize = line
                .chars()
                .take(column.saturating_sub(1))
                .map(char::len_utf8)
                .sum();
            return start.saturating_add(within);
        }
        start = start.saturating_add(line.len());
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;
    use std::time::Instant;

    fn packet(inside: &str) -> String {
        format!(
            "<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#' \
             xmlns:n='n'><rdf:Description rdf:about=''>{inside}</rdf:Description></rdf:RDF></x:xmpmeta>"
        )
    }

    fn entities(levels: usize, width: usize) -> String {
        let mut text = String::from("<!DOCTYPE x [<!ENTITY e0 'lol'>");
        for level in 1..=levels {
            let inside = format!("&e{};", level.saturating_sub(1)).repeat(width);
            text.push_str(&format!("<!ENTITY e{level} '{inside}'>"));
        }
        format!("{text}]>{}", packet(&format!("<n:a>&e{levels};</n:a>")))
    }

    fn nested(open: &str, close: &str, times: usize) -> Vec<u8> {
        packet(&(open.repeat(times) + &close.repeat(times))).into_bytes()
    }

    fn attributes(elements: usize, each: usize, length: usize) -> Vec<u8> {
        let value = "v".repeat(length);
        let one: String = (0..each).map(|n| format!(" n:a{n}='{value}'")).collect();
        packet(&format!("<n:b{one}/>").repeat(elements)).into_bytes()
    }

    /// Packets that make some readers hang, die or eat all memory; each must be refused at once.
    #[test]
    fn packet_bombs_are_refused_quickly() {
        let namespaces: String = (0..50_000).map(|n| format!(" xmlns:p{n}='u{n}'")).collect();
        let bombs: Vec<(&str, Vec<u8>)> = vec![
            ("nested entities", entities(10, 10).into_bytes()),
            ("billion laughs", entities(30, 10).into_bytes()),
            (
                "50,000 nested structures",
                nested("<n:s rdf:parseType='Resource'>", "</n:s>", 50_000),
            ),
            (
                "20,000 nested bags",
                nested(
                    "<n:b><rdf:Bag><rdf:li>",
                    "</rdf:li></rdf:Bag></n:b>",
                    20_000,
                ),
            ),
            ("100,000 properties", nested("<n:p>x</n:p>", "", 100_000)),
            ("100,000 attributes", attributes(1, 100_000, 1)),
            ("attributes spread out", attributes(200, 900, 1)),
            (
                "50,000 namespaces",
                packet(&format!("<n:b{namespaces}/>")).into_bytes(),
            ),
            ("unclosed tags", nested("<n:u>", "", 4_000)),
            ("unclosed comments", nested("<!-- ", "", 500_000)),
            ("unclosed quotes", nested("<n:u a='", "", 500_000)),
            ("17 MiB", vec![b'x'; 17 * 1024 * 1024]),
            (
                "bad UTF-8",
                [packet("<n:a>").as_bytes(), b"\xC0\xAF"].concat(),
            ),
            ("odd UTF-16", b"\xFE\xFF\xDC\x00\x00<".to_vec()),
            ("UTF-32", b"\xFF\xFE\0\0<\0\0\0".to_vec()),
            (
                "external entity",
                b"<!DOCTYPE a SYSTEM 'file:///etc/passwd'><a/>".to_vec(),
            ),
        ];
        for (name, bomb) in bombs {
            let begun = Instant::now();
            assert!(screen(&bomb).is_err(), "{name} was accepted");
            let taken = begun.elapsed();
            assert!(taken < Duration::from_millis(900), "{name} took {taken:?}");
        }
    }

    #[test]
    fn refusals_name_the_fault_and_the_byte() {
        let fault = screen(&nested("<n:s>", "</n:s>", 80)).unwrap_err();
        assert!(matches!(fault, PacketFault::TooDeep { offset } if offset > 100));
        let fault = screen(b"<a>\n  <b></c></a>").unwrap_err();
        assert!(
            matches!(fault, PacketFault::NotWellFormed { offset: 9, .. }),
            "{fault:?}"
        );
        assert_eq!(
            screen(b"<a>\xFF</a>").unwrap_err(),
            PacketFault::NotText { offset: 3 }
        );
        assert_eq!(
            screen(b"<!ENTITY a 'b'><a/>").unwrap_err(),
            PacketFault::Declaration { offset: 0 }
        );
    }

    #[test]
    fn what_is_just_within_the_limits_is_read() {
        assert!(screen(&nested("<n:s>", "</n:s>", DEEPEST - 3)).is_ok());
        assert!(screen(&nested("<n:s>", "</n:s>", DEEPEST - 2)).is_err());
        assert!(screen(&nested("<n:p/>", "", MOST_PARTS - 3)).is_ok());
        assert!(screen(&nested("<n:p/>", "", MOST_PARTS - 2)).is_err());
        assert!(screen(&attributes(1, MOST_ATTRIBUTES, 3_000)).is_ok());
        assert!(
            screen(packet("<!-- <<<! --><n:a b='>'><![CDATA[<!DOCTYPE <<]]></n:a>").as_bytes())
                .is_ok()
        );
    }

    #[test]
    fn other_encodings_give_the_same_text() {
        let plain = packet("<n:a>Кора 𠮷 שרה</n:a>");
        let wide = |order: fn(u16) -> [u8; 2], mark: &[u8]| -> Vec<u8> {
            let units = plain.encode_utf16().flat_map(order);
            mark.iter().copied().chain(units).collect()
        };
        for bytes in [
            plain.clone().into_bytes(),
            [b"\xEF\xBB\xBF", plain.as_bytes()].concat(),
            [plain.as_bytes(), b"\0\0"].concat(),
            wide(u16::to_be_bytes, b"\xFE\xFF"),
            wide(u16::to_le_bytes, b"\xFF\xFE"),
            wide(u16::to_be_bytes, b""),
            wide(u16::to_le_bytes, b""),
        ] {
            assert_eq!(screen(&bytes).unwrap(), plain);
        }
    }

    #[test]
    fn cut_at_every_byte() {
        let plain = packet("<n:a b='c'>d</n:a>");
        for length in 0..plain.len() {
            assert!(screen(&plain.as_bytes()[..length]).is_err(), "{length}");
        }
    }
}
