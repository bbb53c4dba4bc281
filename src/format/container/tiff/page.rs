//! What of one directory counts as picture.

use crate::format::container::anatomy::Anatomy;
use crate::format::container::error::ContainerError;
use crate::format::container::error::within;
use crate::format::container::ifd;
use crate::format::container::ifd::Directory;
use crate::format::container::ifd::Entry;
use crate::format::container::ifd::Shape;
use crate::format::container::source::Range;
use crate::format::container::source::Source;
use crate::format::container::source::count_of;
use std::fmt::Write as _;
use std::io::Read;
use std::io::Seek;

/// The tags whose values decide how the picture is decoded. [TIFF6 8, 10, 11, 14, 15, 16, 18, 19, 20, 21, 22; Technical Note 2]
const DECIDING: [u16; 29] = [
    256, // ImageWidth
    257, // ImageLength
    258, // BitsPerSample
    259, // Compression
    262, // PhotometricInterpretation
    266, // FillOrder
    277, // SamplesPerPixel
    278, // RowsPerStrip
    279, // StripByteCounts
    284, // PlanarConfiguration
    292, // T4Options
    293, // T6Options
    317, // Predictor
    320, // ColorMap
    322, // TileWidth
    323, // TileLength
    325, // TileByteCounts
    332, // InkSet
    334, // NumberOfInks
    338, // ExtraSamples
    339, // SampleFormat
    347, // JPEGTables
    512, // JPEGProc
    514, // JPEGInterchangeFormatLength
    515, // JPEGRestartInterval
    529, // YCbCrCoefficients
    530, // YCbCrSubSampling
    531, // YCbCrPositioning
    532, // ReferenceBlackWhite
];
const STRIP_OFFSETS: u16 = 273;
const STRIP_COUNTS: u16 = 279;
const TILE_OFFSETS: u16 = 324;
const TILE_COUNTS: u16 = 325;
const STREAM: u16 = 513;
const STREAM_LENGTH: u16 = 514;
/// `JPEGQTables`, `JPEGDCTables`, `JPEGACTables`: tables that lie elsewhere. [TIFF6 22]
const OLD_TABLES: [u16; 3] = [519, 520, 521];
/// The most strips and tiles of one directory: 600 MB in rows of 600 bytes.
const STRIP_LIMIT: u64 = 1_000_000;
/// The most of them in all directories.
const STRIP_TOTAL_LIMIT: usize = 1_000_000;

/// Counts one directory: a line of words for itself and for each deciding tag, then the stored bytes.
pub(super) fn count<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    if let Some(entry) = OLD_TABLES.iter().find_map(|tag| directory.entry(*tag)) {
        anatomy.refuse_picture(
            entry.at,
            "the picture is coded in an old manner of JPEG that few programs can show",
        );
        return Ok(());
    }
    let words = words(source, shape, directory)?;
    anatomy.picture.push_words(words.into_bytes());
    stored(
        source,
        shape,
        directory,
        (STRIP_OFFSETS, STRIP_COUNTS),
        anatomy,
    )?;
    stored(
        source,
        shape,
        directory,
        (TILE_OFFSETS, TILE_COUNTS),
        anatomy,
    )?;
    stored(source, shape, directory, (STREAM, STREAM_LENGTH), anatomy)
}

/// `directory`, and for each deciding tag `number=value,value`; values as plain unsigned numbers, a fraction as two.
fn words<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
) -> Result<String, ContainerError> {
    let mut words = "directory\n".to_owned();
    for tag in DECIDING {
        let Some(entry) = directory.entry(tag) else {
            continue;
        };
        within(
            entry.at,
            "too many values of one entry",
            entry.count,
            STRIP_LIMIT,
        )?;
        let _ = write!(words, "{tag}=");
        for (index, number) in ifd::numbers(source, shape, entry)?.iter().enumerate() {
            let _ = write!(words, "{}{number}", if index == 0 { "" } else { "," });
        }
        words.push('\n');
    }
    Ok(words)
}

/// Counts the bytes that a pair of tags points to, each checked to lie between the header and the end of the file.
fn stored<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
    (offsets, counts): (u16, u16),
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let Some(entry) = directory.entry(offsets) else {
        return Ok(());
    };
    let Some(lengths) = directory.entry(counts) else {
        anatomy.refuse_picture(
            entry.at,
            "the file does not say how long the parts of its picture are",
        );
        return Ok(());
    };
    let pairs = pairs(source, shape, entry, lengths)?;
    let Some(pairs) = pairs else {
        anatomy.refuse_picture(
            entry.at,
            "the file does not say where each part of its picture is",
        );
        return Ok(());
    };
    let room = STRIP_TOTAL_LIMIT.saturating_sub(anatomy.picture.pieces().len());
    within(
        entry.at,
        "too many strips or tiles",
        count_of(pairs.len()),
        count_of(room),
    )?;
    for range in pairs {
        if range.length > 0 && (range.offset < shape.header_length() || !source.holds(range)) {
            anatomy.refuse_picture(entry.at, "a part of the picture lies outside the file");
            return Ok(());
        }
        anatomy.picture.push(range);
    }
    Ok(())
}

/// Reads positions and lengths; nothing if there are not equally many.
fn pairs<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    offsets: &Entry,
    lengths: &Entry,
) -> Result<Option<Vec<Range>>, ContainerError> {
    within(
        offsets.at,
        "too many strips or tiles",
        offsets.count,
        STRIP_LIMIT,
    )?;
    if offsets.count != lengths.count {
        return Ok(None);
    }
    let offsets = ifd::numbers(source, shape, offsets)?;
    let lengths = ifd::numbers(source, shape, lengths)?;
    Ok(Some(
        offsets
            .into_iter()
            .zip(lengths)
            .map(|(offset, length)| Range::new(offset, length))
            .collect(),
    ))
}
