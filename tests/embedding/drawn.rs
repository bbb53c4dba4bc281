//! Files drawn here: every container in its main variants, small enough to be damaged hundreds of times.
//! Variants that need other people's encoders are drawn by `tests/outside/draw_matrix.py`.

use image::ExtendedColorType;
use image::ImageEncoder;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::codecs::webp::WebPEncoder;
use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;

const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
pub(super) const XMP_SEGMENT: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const EXTENSION: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";

/// All of them, with names.
pub(super) fn files() -> Vec<(String, Vec<u8>)> {
    let mut files = Vec::new();
    let mut add = |name: &str, bytes| files.push((name.to_owned(), bytes));
    let exif = segment(0xe1, &[b"Exif\0\0", &exif()]);
    let packet = segment(0xe1, &[XMP_SEGMENT, packet("").as_bytes()]);
    add("baseline.jpg", jpeg(40, 30, 0));
    add("exif.jpg", with_segments(&exif));
    add(
        "exif-xmp.jpg",
        with_segments(&[exif.clone(), packet].concat()),
    );
    add(
        "xmp-extended.jpg",
        with_segments(&[exif, extended()].concat()),
    );
    add("after-eoi.jpg", [jpeg(40, 30, 0), jpeg(20, 20, 9)].concat());
    add("8-bit.png", png(ExtendedColorType::Rgb8));
    add("16-bit.png", png(ExtendedColorType::Rgb16));
    add(
        "xmp.png",
        with_chunk(
            &png(ExtendedColorType::L8),
            b"iTXt",
            &text_chunk(packet_bytes().as_slice()),
        ),
    );
    add(
        "exif.png",
        with_chunk(&png(ExtendedColorType::Rgba8), b"eXIf", &self::exif()),
    );
    add(
        "after-end.png",
        [png(ExtendedColorType::L8), b"and more".to_vec()].concat(),
    );
    add("lossless.webp", webp());
    add(
        "xmp.webp",
        with_riff_chunk(webp(), b"XMP ", &packet_bytes()),
    );
    for (name, big, little) in [
        ("ii", false, true),
        ("mm", false, false),
        ("big-ii", true, true),
        ("big-mm", true, false),
    ] {
        for bits in [1, 8, 12, 16] {
            let drawn = Tiff {
                big,
                little,
                bits,
                ..Tiff::default()
            };
            add(&format!("{name}-{bits}.tif"), drawn.bytes());
        }
        let pages = Tiff {
            big,
            little,
            pages: 3,
            packet: Some(packet_bytes()),
            ..Tiff::default()
        };
        add(&format!("{name}-pages.tif"), pages.bytes());
    }
    files
}

fn samples(count: usize, seed: u32) -> Vec<u8> {
    let mut state = seed.wrapping_add(7);
    (0..count)
        .map(|index| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            ((index * 200 / count) as u8).wrapping_add((state >> 29) as u8)
        })
        .collect()
}

pub(super) fn jpeg(width: u16, height: u16, seed: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    let samples = samples(usize::from(width) * usize::from(height) * 3, seed);
    JpegEncoder::new_with_quality(&mut bytes, 90)
        .write_image(
            &samples,
            width.into(),
            height.into(),
            ExtendedColorType::Rgb8,
        )
        .unwrap();
    bytes
}

pub(super) fn segment(marker: u8, parts: &[&[u8]]) -> Vec<u8> {
    let payload = parts.concat();
    let length = u16::try_from(payload.len() + 2).unwrap();
    [&[0xff, marker], &length.to_be_bytes()[..], &payload].concat()
}

/// A JPEG with segments after JFIF.
pub(super) fn with_segments(segments: &[u8]) -> Vec<u8> {
    let plain = jpeg(40, 30, 0);
    let at = 4 + usize::from(u16::from_be_bytes([plain[4], plain[5]])) - 2;
    assert_eq!(plain[3], 0xe0);
    let at = at + 2;
    [&plain[..at], segments, &plain[at..]].concat()
}

/// A packet of others, with more properties.
pub(super) fn packet(more: &str) -> String {
    format!(
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"{RDF}\"><rdf:Description rdf:about=\"\" \
         xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:odd=\"urn:example:odd\" odd:mark=\"&lt;&amp;\">\
         <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">Grandfather?</rdf:li></rdf:Alt></dc:title>{more}\
         </rdf:Description></rdf:RDF></x:xmpmeta>"
    )
}

fn packet_bytes() -> Vec<u8> {
    packet("").into_bytes()
}

/// A packet in several segments. [XMP part 3, 1.1.3.1]
fn extended() -> Vec<u8> {
    let long = format!(
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"{RDF}\"><rdf:Description rdf:about=\"\" \
         xmlns:odd=\"urn:example:odd\"><odd:long>{}</odd:long></rdf:Description></rdf:RDF></x:xmpmeta>",
        "words ".repeat(3000)
    );
    parts(long.as_bytes(), 7000)
}

/// The segments of an extended packet and of the standard one that names it.
pub(super) fn parts(long: &[u8], piece: usize) -> Vec<u8> {
    let name = Digest::of(Algorithm::Md5, long).hex().to_uppercase();
    let note = format!(
        "<xmpNote:HasExtendedXMP xmlns:xmpNote=\"http://ns.adobe.com/xmp/note/\">{name}</xmpNote:HasExtendedXMP>"
    );
    let mut bytes = segment(0xe1, &[XMP_SEGMENT, packet(&note).as_bytes()]);
    for (index, part) in long.chunks(piece).enumerate() {
        let whole = u32::try_from(long.len()).unwrap().to_be_bytes();
        let place = u32::try_from(index * piece).unwrap().to_be_bytes();
        bytes.extend(segment(
            0xe1,
            &[EXTENSION, name.as_bytes(), &whole, &place, part],
        ));
    }
    bytes
}

/// A camera's block with a caption, and a small picture in a second directory.
pub(super) fn exif_with(small: &[u8]) -> Vec<u8> {
    let caption = b"SCAN 0007\0";
    let (first, second) = (8_u32, 8_u32 + 2 + 12 + 4 + 10);
    let small_at = second + 2 + 24 + 4;
    let entry = |tag: u16, form: u16, count: u32, value: u32| {
        [
            &tag.to_le_bytes()[..],
            &form.to_le_bytes(),
            &count.to_le_bytes(),
            &value.to_le_bytes(),
        ]
        .concat()
    };
    [
        b"II*\0".to_vec(),
        first.to_le_bytes().to_vec(),
        vec![1, 0],
        entry(0x010e, 2, 10, 26),
        second.to_le_bytes().to_vec(),
        caption.to_vec(),
        vec![2, 0],
        entry(513, 4, 1, small_at),
        entry(514, 4, 1, u32::try_from(small.len()).unwrap()),
        vec![0; 4],
        small.to_vec(),
    ]
    .concat()
}

fn exif() -> Vec<u8> {
    exif_with(&jpeg(16, 12, 0))
}

fn png(kind: ExtendedColorType) -> Vec<u8> {
    let mut bytes = Vec::new();
    let samples = samples(40 * 30 * usize::from(kind.bits_per_pixel()) / 8, 0);
    PngEncoder::new(&mut bytes)
        .write_image(&samples, 40, 30, kind)
        .unwrap();
    bytes
}

/// Puts a chunk behind the header. [PNG3 5.3]
pub(super) fn with_chunk(png: &[u8], name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let checked = [&name[..], content].concat();
    let length = u32::try_from(content.len()).unwrap();
    [
        &png[..33],
        &length.to_be_bytes(),
        &checked,
        &crc32fast::hash(&checked).to_be_bytes(),
        &png[33..],
    ]
    .concat()
}

/// A packet in a PNG.
pub(super) fn packet_png(packet: &[u8]) -> Vec<u8> {
    with_chunk(&png(ExtendedColorType::L8), b"iTXt", &text_chunk(packet))
}

pub(super) fn text_chunk(packet: &[u8]) -> Vec<u8> {
    [b"XML:com.adobe.xmp\0\0\0\0\0", packet].concat()
}

fn webp() -> Vec<u8> {
    let mut bytes = Vec::new();
    WebPEncoder::new_lossless(&mut bytes)
        .write_image(&samples(40 * 30 * 3, 0), 40, 30, ExtendedColorType::Rgb8)
        .unwrap();
    bytes
}

/// A packet in a WebP.
pub(super) fn packet_webp(packet: &[u8]) -> Vec<u8> {
    with_riff_chunk(webp(), b"XMP ", packet)
}

/// Puts an extended header before everything and a chunk behind it. [RFC9649 2.7]
fn with_riff_chunk(webp: Vec<u8>, name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let mut body = b"VP8X\x0a\0\0\0\x04\0\0\0\x27\0\0\x1d\0\0".to_vec();
    body.extend(&webp[12..]);
    body.extend(name);
    body.extend(u32::try_from(content.len()).unwrap().to_le_bytes());
    body.extend(content);
    body.resize(body.len() + content.len() % 2, 0);
    let length = u32::try_from(body.len() + 4).unwrap();
    [b"RIFF", &length.to_le_bytes()[..], b"WEBP", &body].concat()
}

/// A TIFF, byte by byte. [TIFF6 2; BigTIFF]
pub(super) struct Tiff {
    pub(super) big: bool,
    pub(super) little: bool,
    pub(super) bits: u16,
    pub(super) pages: u64,
    pub(super) packet: Option<Vec<u8>>,
    /// Added to the position of the last strip.
    pub(super) shift: i64,
    /// The position of a directory below each page.
    pub(super) below: Option<u32>,
}

impl Default for Tiff {
    fn default() -> Self {
        Self {
            big: false,
            little: true,
            bits: 8,
            pages: 1,
            packet: None,
            shift: 0,
            below: None,
        }
    }
}

impl Tiff {
    fn number(&self, value: u64, width: usize) -> Vec<u8> {
        if self.little {
            value.to_le_bytes()[..width].to_vec()
        } else {
            value.to_be_bytes()[8 - width..].to_vec()
        }
    }

    /// Pages one after the other: two strips, their table, the packet, then the directory.
    pub(super) fn bytes(&self) -> Vec<u8> {
        let wide = if self.big { 8 } else { 4 };
        let mut bytes = if self.little {
            b"II".to_vec()
        } else {
            b"MM".to_vec()
        };
        bytes.extend(self.number(if self.big { 43 } else { 42 }, 2));
        if self.big {
            bytes.extend(self.number(8, 2));
            bytes.extend([0, 0]);
        }
        let mut next_at = bytes.len();
        bytes.extend(self.number(0, wide));
        for page in 0..self.pages {
            next_at = self.page(&mut bytes, next_at, page, wide);
        }
        bytes
    }

    fn page(&self, bytes: &mut Vec<u8>, next_at: usize, page: u64, wide: usize) -> usize {
        let row = (40 * usize::from(self.bits)).div_ceil(8);
        let strip = row * 15;
        let first = bytes.len() as u64;
        bytes.extend(samples(strip * 2, page as u32));
        let second = (first + strip as u64).wrapping_add_signed(self.shift);
        let table = bytes.len() as u64;
        let offsets = [self.number(first, wide), self.number(second, wide)].concat();
        let lengths = [
            self.number(strip as u64, wide),
            self.number(strip as u64, wide),
        ]
        .concat();
        bytes.extend([offsets, lengths].concat());
        let packet_at = bytes.len() as u64;
        let packet = self.packet.clone().filter(|_| page == 0);
        bytes.extend(packet.iter().flatten());
        bytes.resize(bytes.len().next_multiple_of(8), 0);
        let form = if self.big { 16 } else { 4 };
        let mut entries: Vec<(u16, u16, u64, u64)> = vec![
            (256, 3, 1, 40),
            (257, 3, 1, 30),
            (258, 3, 1, self.bits.into()),
            (259, 3, 1, 1),
            (262, 3, 1, 1),
            (273, form, 2, table),
            (277, 3, 1, 1),
            (278, 3, 1, 15),
            (279, form, 2, table + 2 * wide as u64),
        ];
        entries.extend(self.below.map(|at| (330, 4, 1, at.into())));
        entries.extend(packet.map(|packet| (700, 1, packet.len() as u64, packet_at)));
        let directory = self.number(bytes.len() as u64, wide);
        bytes[next_at..next_at + wide].copy_from_slice(&directory);
        bytes.extend(self.number(entries.len() as u64, if self.big { 8 } else { 2 }));
        for (tag, form, count, value) in entries {
            bytes.extend(self.number(tag.into(), 2));
            bytes.extend(self.number(form.into(), 2));
            bytes.extend(self.number(count, wide));
            let width = match form {
                3 => 2,
                4 => 4,
                _ => wide,
            };
            let mut field = self.number(value, width);
            field.resize(wide, 0);
            bytes.extend(field);
        }
        let next_at = bytes.len();
        bytes.extend(self.number(0, wide));
        next_at
    }
}
