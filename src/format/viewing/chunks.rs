//! TIFF (revision 6.0) and BigTIFF, strip by strip or by rows of tiles, reduced on the way: a scan of several hundred megabytes
//! needs only the memory of one strip.

use super::ViewingFault;
use super::decode::Decoded;
use super::decode::MEMORY;
use super::raster::Channels;
use super::raster::Depth;
use super::raster::row_bytes;
use super::scale;
use super::scale::BoxFilter;
use image::metadata::Orientation;
use std::io::BufRead;
use std::io::ErrorKind;
use std::io::Seek;
use tiff::ColorType;
use tiff::TiffError;
use tiff::decoder::Decoder;
use tiff::decoder::DecodingResult;
use tiff::decoder::Limits;
use tiff::tags::Tag;

/// One kind of coding that samples can have in the strips.
#[derive(Debug, Clone, Copy)]
struct Coding {
    channels: Channels,
    depth: Depth,
}

/// Decodes the first picture of a TIFF. Returns `None` when its coding is one that must be decoded as a whole.
pub(super) fn decode<R: BufRead + Seek>(
    source: &mut R,
    longest_edge: u32,
) -> Result<Option<Decoded>, ViewingFault> {
    let mut decoder = Decoder::new(source).map_err(|fault| sorted(fault, 0, 0))?;
    let (width, height) = decoder.dimensions().map_err(|fault| sorted(fault, 0, 0))?;
    if width == 0 || height == 0 {
        return Err(ViewingFault::Damaged(String::from("it has no pixels")));
    }
    let mut limits = Limits::default();
    limits.decoding_buffer_size = usize::try_from(MEMORY).unwrap_or(usize::MAX);
    limits.intermediate_buffer_size = limits.decoding_buffer_size;
    let mut decoder = decoder.with_limits(limits);
    let Some(coding) = coding(&mut decoder) else {
        return Ok(None);
    };
    let factor = scale::coarse_factor(width, height, longest_edge);
    let mut filter = BoxFilter::new(width, coding.channels, coding.depth, factor);
    read_rows(&mut decoder, coding, width, height, &mut filter)
        .map_err(|fault| sorted(fault, width, height))?;
    Ok(Some(Decoded {
        raster: filter.finish(),
        full_width: width,
        full_height: height,
        icc: decoder.get_tag_u8_vec(Tag::IccProfile).ok(),
        orientation: orientation(&mut decoder),
    }))
}

fn coding<R: BufRead + Seek>(decoder: &mut Decoder<R>) -> Option<Coding> {
    let (channels, bits) = match decoder.colortype().ok()? {
        ColorType::Gray(bits) => (Channels::Grey, bits),
        ColorType::GrayA(bits) => (Channels::GreyAlpha, bits),
        ColorType::RGB(bits) => (Channels::Rgb, bits),
        ColorType::RGBA(bits) => (Channels::RgbAlpha, bits),
        ColorType::CMYK(bits) => (Channels::Cmyk, bits),
        _ => return None,
    };
    let depth = match bits {
        8 => Depth::Eight,
        16 => Depth::Sixteen,
        _ => return None,
    };
    // [TIFF 6.0, section 19] 1 is unsigned; anything else is decoded as a whole or refused there.
    let unsigned = decoder
        .find_tag_unsigned_vec::<u16>(Tag::SampleFormat)
        .ok()?
        .is_none_or(|formats| formats.iter().all(|format| *format == 1));
    // [TIFF 6.0, section 8, PlanarConfiguration] 1 is chunky.
    let chunky = decoder
        .find_tag_unsigned::<u16>(Tag::PlanarConfiguration)
        .ok()?
        .is_none_or(|planar| planar == 1);
    (unsigned && chunky).then_some(Coding { channels, depth })
}

fn orientation<R: BufRead + Seek>(decoder: &mut Decoder<R>) -> Orientation {
    decoder
        .find_tag_unsigned::<u8>(Tag::Orientation)
        .ok()
        .flatten()
        .and_then(Orientation::from_exif)
        .unwrap_or(Orientation::NoTransforms)
}

/// Feeds the filter with all rows, from the top.
fn read_rows<R: BufRead + Seek>(
    decoder: &mut Decoder<R>,
    coding: Coding,
    width: u32,
    height: u32,
    filter: &mut BoxFilter,
) -> Result<(), TiffError> {
    let (chunk_width, chunk_height) = decoder.chunk_dimensions();
    let across = width.div_ceil(chunk_width.max(1));
    let down = height.div_ceil(chunk_height.max(1));
    for band in 0..down {
        let mut chunks = Vec::new();
        let mut rows = height;
        for column in 0..across {
            let index = band.saturating_mul(across).saturating_add(column);
            let (data_width, data_height) = decoder.chunk_data_dimensions(index);
            rows = rows.min(data_height);
            let stride = row_bytes(data_width, coding.channels, coding.depth);
            chunks.push((decoder.read_chunk(index)?, stride));
        }
        push_band(&mut chunks, rows, filter);
    }
    Ok(())
}

fn push_band(chunks: &mut [(DecodingResult, usize)], rows: u32, filter: &mut BoxFilter) {
    let mut row = Vec::new();
    for line in 0..usize::try_from(rows).unwrap_or(0) {
        row.clear();
        for (chunk, stride) in chunks.iter_mut() {
            let start = line.saturating_mul(*stride);
            let end = start.saturating_add(*stride);
            let buffer = chunk.as_buffer(0);
            row.extend_from_slice(buffer.as_bytes().get(start..end).unwrap_or(&[]));
        }
        filter.push(&row);
    }
}

/// Sorts a decoder's fault by whose it is.
fn sorted(fault: TiffError, width: u32, height: u32) -> ViewingFault {
    match fault {
        TiffError::IoError(fault) if fault.kind() == ErrorKind::UnexpectedEof => {
            ViewingFault::Damaged(String::from("it ends too early"))
        }
        TiffError::IoError(fault) => ViewingFault::Read(fault),
        TiffError::LimitsExceeded => ViewingFault::TooLarge { width, height },
        TiffError::UnsupportedError(fault) => ViewingFault::Unsupported(fault.to_string()),
        other => ViewingFault::Damaged(other.to_string()),
    }
}
