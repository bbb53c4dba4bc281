//! Searching every byte of a package, in every form in which a text can hide: UTF-8, Latin-1, UTF-16 in both orders, in any case;
//! inside zips, spreadsheets and family files; in deflated chunks of PNG files; in base64.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly, and not every test uses every part"
)]

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD;
use std::fmt;
use std::fs;
use std::io::Cursor;
use std::io::Read;
use std::path::Path;

/// Fewest signs of a run of base64 that is looked into.
const SHORTEST_RUN: usize = 24;

/// Something that is searched for.
pub(crate) struct Needle {
    told: String,
    forms: Vec<Vec<u8>>,
}

impl Needle {
    /// A text in every encoding. Case does not count.
    pub(crate) fn text(text: &str) -> Self {
        let lower = text.to_lowercase();
        let units: Vec<u16> = lower.encode_utf16().collect();
        let mut forms = vec![
            lower.clone().into_bytes(),
            units.iter().flat_map(|unit| unit.to_le_bytes()).collect(),
            units.iter().flat_map(|unit| unit.to_be_bytes()).collect(),
        ];
        if !lower.is_ascii() {
            let latin: Option<Vec<u8>> = lower
                .chars()
                .map(|one| u8::try_from(u32::from(one)).ok())
                .collect();
            forms.extend(latin);
        }
        Self {
            told: text.to_owned(),
            forms,
        }
    }

    /// Bytes as they are.
    pub(crate) fn bytes(told: &str, bytes: &[u8]) -> Self {
        Self {
            told: told.to_owned(),
            forms: vec![bytes.to_ascii_lowercase()],
        }
    }

    pub(crate) fn told(&self) -> &str {
        &self.told
    }

    /// Tells whether it stands in bytes that [`members`] returned.
    pub(crate) fn is_in(&self, lowered: &[u8]) -> bool {
        self.forms.iter().any(|form| find(lowered, form))
    }
}

impl fmt::Display for Needle {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "“{}”", self.told)
    }
}

fn find(haystack: &[u8], needle: &[u8]) -> bool {
    let (first, rest) = needle.split_first().unwrap();
    let mut from = 0;
    while let Some(at) = haystack[from..].iter().position(|byte| byte == first) {
        let start = from + at + 1;
        if haystack[start..].starts_with(rest) {
            return true;
        }
        from = start;
    }
    false
}

/// Every file of a package and everything packed inside one, by name, in lower case. The names are among them.
pub(crate) fn members(package: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in walkdir::WalkDir::new(package).sort_by_file_name() {
        let entry = entry.unwrap();
        let name = entry
            .path()
            .strip_prefix(package)
            .unwrap()
            .to_string_lossy()
            .into_owned();
        found.push((format!("the name {name}"), name.to_lowercase().into_bytes()));
        if entry.file_type().is_file() {
            unpack(&name, fs::read(entry.path()).unwrap(), 0, &mut found);
        }
    }
    found
}

fn unpack(name: &str, bytes: Vec<u8>, depth: u8, found: &mut Vec<(String, Vec<u8>)>) {
    if depth < 4 {
        in_zip(name, &bytes, depth, found);
        in_png(name, &bytes, depth, found);
        in_base64(name, &bytes, depth, found);
    }
    found.push((name.to_owned(), bytes.to_ascii_lowercase()));
}

fn in_zip(name: &str, bytes: &[u8], depth: u8, found: &mut Vec<(String, Vec<u8>)>) {
    if !bytes.starts_with(b"PK\x03\x04") {
        return;
    }
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    for index in 0..zip.len() {
        let mut entry = zip.by_index(index).unwrap();
        let inner = format!("{name}!{}", entry.name().unwrap());
        let mut unpacked = Vec::new();
        entry.read_to_end(&mut unpacked).unwrap();
        unpack(&inner, unpacked, depth + 1, found);
    }
}

/// Deflated text and profiles. [PNG3 11.3.2.3, 11.3.3.3, 11.3.3.4]
fn in_png(name: &str, bytes: &[u8], depth: u8, found: &mut Vec<(String, Vec<u8>)>) {
    let Some(mut rest) = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n") else {
        return;
    };
    while rest.len() >= 12 {
        let length = usize::try_from(u32::from_be_bytes(rest[..4].try_into().unwrap())).unwrap();
        let (kind, content) = (&rest[4..8], &rest[8..8 + length]);
        if matches!(kind, b"zTXt" | b"iTXt" | b"iCCP") {
            for at in content
                .iter()
                .enumerate()
                .filter(|(_, byte)| **byte == 0x78)
                .map(|(at, _)| at)
            {
                let mut inflated = Vec::new();
                let mut inflating = flate2::read::ZlibDecoder::new(&content[at..]);
                if inflating.read_to_end(&mut inflated).is_ok() {
                    unpack(
                        &format!("{name}!{}", String::from_utf8_lossy(kind)),
                        inflated,
                        depth + 1,
                        found,
                    );
                }
            }
        }
        rest = &rest[12 + length..];
    }
}

fn in_base64(name: &str, bytes: &[u8], depth: u8, found: &mut Vec<(String, Vec<u8>)>) {
    let belongs = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'+' | b'/');
    for run in bytes
        .split(|byte| !belongs(byte))
        .filter(|run| run.len() >= SHORTEST_RUN)
    {
        for shift in 0..4 {
            let shifted = &run[shift..];
            let whole = &shifted[..shifted.len() - shifted.len() % 4];
            if let Ok(decoded) = STANDARD_NO_PAD.decode(whole) {
                unpack(&format!("{name}!base64"), decoded, depth + 2, found);
            }
        }
    }
}

/// A JPEG with a caption of the older kind. [IIM 2:120; Photoshop image resource 0x0404]
pub(crate) fn with_iptc_caption(jpeg: &[u8], caption: &str) -> Vec<u8> {
    let length = u16::try_from(caption.len()).unwrap().to_be_bytes();
    let mut iim = [b"\x1c\x02\x78".as_slice(), &length, caption.as_bytes()].concat();
    let size = u32::try_from(iim.len()).unwrap().to_be_bytes();
    if iim.len() % 2 == 1 {
        iim.push(0);
    }
    let body = [
        b"Photoshop 3.0\0".as_slice(),
        b"8BIM\x04\x04\0\0",
        &size,
        &iim,
    ]
    .concat();
    let segment = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], b"\xff\xed", &segment, &body, &jpeg[2..]].concat()
}

/// A JPEG whose packet says where it was taken. [XMP specification part 3, 1.1.3; CIPA DC-010]
pub(crate) fn with_place_in_xmp(jpeg: &[u8]) -> Vec<u8> {
    let packet = r#"<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="47,52.5178N" exif:GPSLongitude="14,8.927W"/></rdf:RDF></x:xmpmeta>"#;
    let body = [
        b"http://ns.adobe.com/xap/1.0/\0".as_slice(),
        packet.as_bytes(),
    ]
    .concat();
    let segment = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], b"\xff\xe1", &segment, &body, &jpeg[2..]].concat()
}
