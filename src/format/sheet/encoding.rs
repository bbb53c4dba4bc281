//! Which letters the bytes of a text file are.

use encoding_rs::UTF_16BE;
use encoding_rs::UTF_16LE;
use encoding_rs::WINDOWS_1252;
use std::borrow::Cow;

/// How the letters of a text file are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Encoding {
    /// UTF-8 without a mark.
    Utf8,
    /// UTF-8 with a byte-order mark.
    Utf8Marked,
    /// UTF-16, low byte first.
    Utf16Little,
    /// UTF-16, high byte first.
    Utf16Big,
    /// The Western European code page of Windows: what is assumed when the bytes are no Unicode.
    Windows1252,
}

impl Encoding {
    /// Returns the name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf8Marked => "UTF-8 with mark",
            Self::Utf16Little => "UTF-16 LE",
            Self::Utf16Big => "UTF-16 BE",
            Self::Windows1252 => "Windows-1252",
        }
    }
}

/// A text, how it was stored, and whether some bytes were no letters and stand as `\u{FFFD}`.
#[derive(Debug)]
pub(super) struct Decoded<'a> {
    pub(super) text: Cow<'a, str>,
    pub(super) encoding: Encoding,
    pub(super) has_broken_letters: bool,
}

// [Unicode 16.0, 23.8] Byte-order marks.
const MARK_UTF_8: &[u8] = b"\xEF\xBB\xBF";
const MARK_UTF_16_LITTLE: &[u8] = b"\xFF\xFE";
const MARK_UTF_16_BIG: &[u8] = b"\xFE\xFF";

/// How many bytes are looked at to tell UTF-16 without a mark.
const LOOKED_AT: usize = 4096;

/// Finds out how a text is stored and reads it.
pub(super) fn decode(bytes: &[u8]) -> Decoded<'_> {
    if let Some(rest) = bytes.strip_prefix(MARK_UTF_8) {
        let text = String::from_utf8_lossy(rest);
        let has_broken_letters = matches!(text, Cow::Owned(_));
        return Decoded {
            text,
            encoding: Encoding::Utf8Marked,
            has_broken_letters,
        };
    }
    if let Some(rest) = bytes.strip_prefix(MARK_UTF_16_LITTLE) {
        return sixteen(rest, Encoding::Utf16Little);
    }
    if let Some(rest) = bytes.strip_prefix(MARK_UTF_16_BIG) {
        return sixteen(rest, Encoding::Utf16Big);
    }
    if let Some(encoding) = unmarked_sixteen(bytes) {
        return sixteen(bytes, encoding);
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Decoded {
            text: Cow::Borrowed(text),
            encoding: Encoding::Utf8,
            has_broken_letters: false,
        };
    }
    let (text, has_broken_letters) = WINDOWS_1252.decode_without_bom_handling(bytes);
    Decoded {
        text,
        encoding: Encoding::Windows1252,
        has_broken_letters,
    }
}

fn sixteen(bytes: &[u8], encoding: Encoding) -> Decoded<'_> {
    let form = if encoding == Encoding::Utf16Big {
        UTF_16BE
    } else {
        UTF_16LE
    };
    let (text, has_broken_letters) = form.decode_without_bom_handling(bytes);
    Decoded {
        text,
        encoding,
        has_broken_letters,
    }
}

/// Tells UTF-16 without a mark by its many zero bytes, all on one side of each pair: headings are mostly Latin letters.
fn unmarked_sixteen(bytes: &[u8]) -> Option<Encoding> {
    let head = bytes.get(..LOOKED_AT).unwrap_or(bytes);
    let pairs = head.chunks_exact(2);
    let count = pairs.len();
    let (mut first, mut second) = (0_usize, 0_usize);
    for pair in pairs {
        match pair {
            [0, 0] => return None,
            [0, _] => first = first.saturating_add(1),
            [_, 0] => second = second.saturating_add(1),
            _ => {}
        }
    }
    let most = count.saturating_sub(count.checked_div(4)?);
    if count == 0 {
        None
    } else if second >= most && first == 0 {
        Some(Encoding::Utf16Little)
    } else if first >= most && second == 0 {
        Some(Encoding::Utf16Big)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8]) -> (String, Encoding, bool) {
        let decoded = decode(bytes);
        (
            decoded.text.into_owned(),
            decoded.encoding,
            decoded.has_broken_letters,
        )
    }

    fn sixteen_bytes(text: &str, little: bool) -> Vec<u8> {
        text.encode_utf16()
            .flat_map(|unit| {
                if little {
                    unit.to_le_bytes()
                } else {
                    unit.to_be_bytes()
                }
            })
            .collect()
    }

    #[test]
    fn tells_every_encoding() {
        let text = "Name,Born at\r\nZoë,Ångström’s";
        assert_eq!(read(text.as_bytes()), (text.into(), Encoding::Utf8, false));
        let marked = [MARK_UTF_8, text.as_bytes()].concat();
        assert_eq!(read(&marked), (text.into(), Encoding::Utf8Marked, false));
        for (little, mark, encoding) in [
            (true, MARK_UTF_16_LITTLE, Encoding::Utf16Little),
            (false, MARK_UTF_16_BIG, Encoding::Utf16Big),
        ] {
            let bare = sixteen_bytes(text, little);
            assert_eq!(read(&bare), (text.into(), encoding, false));
            assert_eq!(
                read(&[mark, bare.as_slice()].concat()),
                (text.into(), encoding, false)
            );
        }
        // [WHATWG Encoding, index windows-1252] 0x92 is ’, 0xEB is ë, 0xC5 is Å, 0xF6 is ö.
        let western = b"Name,Born at\r\nZo\xEB,\xC5ngstr\xF6m\x92s";
        assert_eq!(read(western), (text.into(), Encoding::Windows1252, false));
    }

    #[test]
    fn says_when_letters_are_broken() {
        assert!(read(b"\xEF\xBB\xBFa\xFFb").2);
        assert!(read(b"\xFF\xFEa\x00\x00\xD8b\x00").2);
        assert!(read(b"\xFF\xFEa").2);
    }

    #[test]
    fn short_texts_are_not_taken_for_utf_16() {
        for text in ["", "a", "ab", "a,b", "\0", "\0\0"] {
            assert_eq!(read(text.as_bytes()), (text.into(), Encoding::Utf8, false));
        }
    }
}
