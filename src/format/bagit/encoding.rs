//! The encoding of tag files, as `bagit.txt` declares it. [RFC8493 2.1.1, 2.3]

use encoding_rs::Encoding;
use encoding_rs::UTF_8;
use encoding_rs::UTF_16BE;
use encoding_rs::UTF_16LE;
use std::borrow::Cow;

/// An encoding that tag files can be read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TagEncoding(Decoder);

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Decoder {
    Ascii,
    /// ISO 8859-1 proper; browsers read windows-1252 under this name, bags mean the standard.
    Latin1,
    /// UTF-16 whose order of bytes the file's own mark tells. [RFC2781 4.3]
    Utf16,
    Other(&'static Encoding),
}

/// The text of a tag file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decoded<'a> {
    /// The text without a byte order mark.
    pub text: Cow<'a, str>,
    /// Whether there was a byte order mark that the encoding does not need.
    pub needless_mark: bool,
}

/// Bytes that mean nothing in the declared encoding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("bytes that mean nothing in the declared encoding")]
pub struct Undecodable;

impl TagEncoding {
    /// The encoding that RFC 8493 recommends and kithbag writes.
    pub const UTF_8: Self = Self(Decoder::Other(UTF_8));

    /// Finds an encoding by its registered name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let decoder = match name.trim().to_ascii_lowercase().as_str() {
            "us-ascii" | "ascii" => Decoder::Ascii,
            "iso-8859-1" | "iso_8859-1" | "latin1" | "latin-1" => Decoder::Latin1,
            "utf-16" | "utf16" => Decoder::Utf16,
            "utf-16be" => Decoder::Other(UTF_16BE),
            other => Decoder::Other(Encoding::for_label_no_replacement(other.as_bytes())?),
        };
        Some(Self(decoder))
    }

    /// Tells whether this is UTF-8.
    #[must_use]
    pub fn is_utf_8(self) -> bool {
        self == Self::UTF_8
    }

    /// Reads the bytes of a tag file.
    ///
    /// # Errors
    /// Gives [`Undecodable`] when a byte means nothing in this encoding; nothing is replaced or guessed.
    pub fn decode(self, bytes: &[u8]) -> Result<Decoded<'_>, Undecodable> {
        let (text, needless_mark) = match self.0 {
            Decoder::Ascii if bytes.is_ascii() => (strict(UTF_8, bytes)?, false),
            Decoder::Ascii => return Err(Undecodable),
            Decoder::Latin1 => (encoding_rs::mem::decode_latin1(bytes), false),
            Decoder::Utf16 => (utf_16(bytes)?, false),
            Decoder::Other(encoding) if encoding == UTF_8 => {
                match bytes.strip_prefix(b"\xEF\xBB\xBF") {
                    Some(rest) => (strict(encoding, rest)?, true),
                    None => (strict(encoding, bytes)?, false),
                }
            }
            Decoder::Other(encoding) => (strict(encoding, bytes)?, false),
        };
        Ok(Decoded {
            text,
            needless_mark,
        })
    }
}

fn strict<'a>(encoding: &'static Encoding, bytes: &'a [u8]) -> Result<Cow<'a, str>, Undecodable> {
    encoding
        .decode_without_bom_handling_and_without_replacement(bytes)
        .ok_or(Undecodable)
}

fn utf_16(bytes: &[u8]) -> Result<Cow<'_, str>, Undecodable> {
    if let Some(rest) = bytes.strip_prefix(b"\xFF\xFE") {
        return strict(UTF_16LE, rest);
    }
    strict(UTF_16BE, bytes.strip_prefix(b"\xFE\xFF").unwrap_or(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(name: &str, bytes: &[u8]) -> Result<String, Undecodable> {
        let decoded = TagEncoding::named(name).unwrap().decode(bytes)?;
        Ok(decoded.text.into_owned())
    }

    #[test]
    fn a_high_byte_is_read_as_declared() {
        assert_eq!(text("ISO-8859-1", b"Zo\xEB").unwrap(), "Zo\u{eb}");
        // Between 0x80 and 0x9F the standard has control characters where browsers read letters.
        assert_eq!(text("ISO-8859-1", b"\x80").unwrap(), "\u{80}");
        assert_eq!(text("windows-1252", b"\x80").unwrap(), "\u{20ac}");
        assert_eq!(text("UTF-8", b"Zo\xEB"), Err(Undecodable));
        assert_eq!(text("US-ASCII", b"Zo\xEB"), Err(Undecodable));
    }

    /// Letters outside ASCII are refused even where they would mean something in UTF-8, and a mark is one in UTF-8 alone.
    #[test]
    fn nothing_is_read_by_another_encoding_than_the_declared_one() {
        assert_eq!(text("US-ASCII", b"Zoe").unwrap(), "Zoe");
        assert_eq!(text("US-ASCII", "Zo\u{eb}".as_bytes()), Err(Undecodable));
        let marked = b"\xEF\xBB\xBFa";
        assert_eq!(text("windows-1252", marked).unwrap(), "\u{ef}\u{bb}\u{bf}a");
        assert!(TagEncoding::named("UTF-8").is_some_and(TagEncoding::is_utf_8));
        assert!(TagEncoding::named("UTF-16").is_some_and(|one| !one.is_utf_8()));
    }

    #[test]
    fn utf_16_in_both_orders() {
        assert_eq!(text("UTF-16", b"\xFF\xFEa\0").unwrap(), "a");
        assert_eq!(text("UTF-16", b"\xFE\xFF\0a").unwrap(), "a");
        assert_eq!(text("UTF-16", b"\0a").unwrap(), "a");
        assert_eq!(text("UTF-16", b"\xFF\xFEa"), Err(Undecodable));
    }

    #[test]
    fn a_mark_in_utf_8_is_told() {
        let decoded = TagEncoding::UTF_8.decode(b"\xEF\xBB\xBFa").unwrap();
        assert_eq!((&*decoded.text, decoded.needless_mark), ("a", true));
    }

    #[test]
    fn an_unknown_name_is_not_guessed() {
        assert_eq!(TagEncoding::named("klingon-8"), None);
        assert_eq!(TagEncoding::named("replacement"), None);
    }
}
