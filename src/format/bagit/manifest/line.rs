//! One line of a manifest. [RFC8493 2.1.3, 6.1.3]

use crate::fixity::Algorithm;
use crate::format::bagit::Version;
use std::borrow::Cow;

/// A line as it stands: the checksum's bytes and the path before decoding.
pub(super) struct Line<'a> {
    pub(super) digest: Vec<u8>,
    pub(super) path: Cow<'a, str>,
    /// Whether the line has the star or backslash of checksum commands. // [RFC8493 6.1.3]
    pub(super) has_marker: bool,
}

/// A path as the bag means it.
pub(super) struct Path<'a> {
    pub(super) text: Cow<'a, str>,
    pub(super) has_bare_percent: bool,
}

/// Reads a line; `None` when it is no checksum of the algorithm's length, blanks and a path.
pub(super) fn read(text: &str, algorithm: Option<Algorithm>) -> Option<Line<'_>> {
    let unescaped = text.strip_prefix('\\');
    let (hex, rest) = unescaped.unwrap_or(text).split_once([' ', '\t'])?;
    let digest = bytes(hex)?;
    if algorithm.is_some_and(|one| one.hex_length() != hex.len()) {
        return None;
    }
    let path = rest.trim_start_matches([' ', '\t']);
    let starred = path.strip_prefix('*');
    let path = starred.unwrap_or(path);
    Some(Line {
        // Checksums of an unknown algorithm have no use here.
        digest: algorithm.map_or_else(Vec::new, |_| digest),
        path: match unescaped {
            Some(_) => Cow::Owned(without_backslashes(path)),
            None => Cow::Borrowed(path),
        },
        has_marker: starred.is_some() || unescaped.is_some(),
    })
}

fn bytes(hex: &str) -> Option<Vec<u8>> {
    if hex.is_empty() || !hex.len().is_multiple_of(2) {
        return None;
    }
    hex.as_bytes()
        .chunks_exact(2)
        .map(|pair| match pair {
            [high, low] => Some(digit(*high)?.checked_mul(16)?.checked_add(digit(*low)?)?),
            _ => None,
        })
        .collect()
}

fn digit(letter: u8) -> Option<u8> {
    char::from(letter)
        .to_digit(16)
        .and_then(|value| u8::try_from(value).ok())
}

/// Undoes what checksum commands do to a name with a line end or backslash in it.
fn without_backslashes(path: &str) -> String {
    path.replace("\\\\", "\0")
        .replace("\\n", "\n")
        .replace("\\r", "\r")
        .replace('\0', "\\")
}

/// Returns the path that a line means: in version 1.0 `%0A`, `%0D` and `%25` are decoded and nothing else; before it nothing is,
/// and a leading `./` is dropped.
pub(super) fn path<'a>(line: &'a Line<'_>, version: Version) -> Path<'a> {
    let written: &str = &line.path;
    if !version.is_strict() {
        return Path {
            text: Cow::Borrowed(written.strip_prefix("./").unwrap_or(written)),
            has_bare_percent: false,
        };
    }
    if !written.contains('%') {
        return Path {
            text: Cow::Borrowed(written),
            has_bare_percent: false,
        };
    }
    decode(written)
}

fn decode(written: &str) -> Path<'_> {
    let mut text = String::with_capacity(written.len());
    let mut has_bare_percent = false;
    let mut rest = written;
    while let Some((before, after)) = rest.split_once('%') {
        text.push_str(before);
        let meant = match after.get(..2).map(str::to_ascii_uppercase).as_deref() {
            Some("0A") => Some('\n'),
            Some("0D") => Some('\r'),
            Some("25") => Some('%'),
            _ => None,
        };
        match meant {
            Some(character) => {
                text.push(character);
                rest = after.get(2..).unwrap_or_default();
            }
            None => {
                has_bare_percent = true;
                text.push('%');
                rest = after;
            }
        }
    }
    text.push_str(rest);
    Path {
        text: Cow::Owned(text),
        has_bare_percent,
    }
}

/// Decodes a path as version 1.0 writes it in manifests and in `fetch.txt`.
#[must_use]
pub fn decode_path(written: &str) -> String {
    decode(written).text.into_owned()
}
