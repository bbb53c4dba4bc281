//! Decoding: from a file's bytes to samples as stored.

use super::ViewingFault;
use super::chunks;
use super::raster::Channels;
use super::raster::Depth;
use super::raster::Raster;
use super::scale;
use image::ColorType;
use image::ImageDecoder;
use image::ImageError;
use image::ImageFormat;
use image::ImageReader;
use image::Limits;
use image::metadata::Orientation;
use std::io::BufRead;
use std::io::ErrorKind;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

/// The memory in bytes that one decoded picture, or one strip of it, may take.
pub(super) const MEMORY: u64 = 1024 * 1024 * 1024;

/// A picture as decoded: perhaps already reduced, not yet upright, in its own colours.
#[derive(Debug)]
pub(super) struct Decoded {
    /// The samples.
    pub(super) raster: Raster,
    /// The width in the file, in pixels.
    pub(super) full_width: u32,
    /// The height in the file, in pixels.
    pub(super) full_height: u32,
    /// The colour profile, if any.
    pub(super) icc: Option<Vec<u8>>,
    /// How the samples must be turned to stand upright.
    pub(super) orientation: Orientation,
}

/// Decodes the first picture of a file, reduced so that its longest edge is still at least `longest_edge` pixels.
pub(super) fn decode<R: BufRead + Seek>(
    source: &mut R,
    longest_edge: u32,
) -> Result<Decoded, ViewingFault> {
    let format = sniffed(source)?;
    if format == ImageFormat::Tiff
        && let Some(decoded) = chunks::decode(source, longest_edge)?
    {
        return Ok(decoded);
    }
    source
        .seek(SeekFrom::Start(0))
        .map_err(ViewingFault::Read)?;
    whole(source, format, longest_edge)
}

fn sniffed<R: Read + Seek>(source: &mut R) -> Result<ImageFormat, ViewingFault> {
    let mut head = Vec::new();
    source
        .by_ref()
        .take(32)
        .read_to_end(&mut head)
        .map_err(ViewingFault::Read)?;
    source
        .seek(SeekFrom::Start(0))
        .map_err(ViewingFault::Read)?;
    // BigTIFF [TIFF 6.0 with 43 in place of 42] is decoded by the same code.
    if head.starts_with(b"II+\0") || head.starts_with(b"MM\0+") {
        return Ok(ImageFormat::Tiff);
    }
    image::guess_format(&head).map_err(|_| ViewingFault::NotRecognised)
}

fn whole<R: BufRead + Seek>(
    source: &mut R,
    format: ImageFormat,
    longest_edge: u32,
) -> Result<Decoded, ViewingFault> {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MEMORY);
    let mut reader = ImageReader::with_format(source, format);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|fault| sorted(fault, 0, 0))?;
    let (width, height) = decoder.dimensions();
    let (channels, depth) = meaning(decoder.color_type())?;
    let icc = decoder.icc_profile().unwrap_or(None);
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let length = decoder.total_bytes();
    if width == 0 || height == 0 || length > MEMORY {
        return Err(ViewingFault::TooLarge { width, height });
    }
    let length = usize::try_from(length).map_err(|_| ViewingFault::TooLarge { width, height })?;
    let mut bytes = vec![0; length];
    decoder
        .read_image(&mut bytes)
        .map_err(|fault| sorted(fault, width, height))?;
    let raster = Raster {
        width,
        height,
        channels,
        depth,
        bytes,
    };
    let factor = if channels.has_alpha() {
        1
    } else {
        scale::coarse_factor(width, height, longest_edge)
    };
    Ok(Decoded {
        raster: scale::reduce(raster, factor),
        full_width: width,
        full_height: height,
        icc,
        orientation,
    })
}

fn meaning(colour: ColorType) -> Result<(Channels, Depth), ViewingFault> {
    Ok(match colour {
        ColorType::L8 => (Channels::Grey, Depth::Eight),
        ColorType::La8 => (Channels::GreyAlpha, Depth::Eight),
        ColorType::Rgb8 => (Channels::Rgb, Depth::Eight),
        ColorType::Rgba8 => (Channels::RgbAlpha, Depth::Eight),
        ColorType::L16 => (Channels::Grey, Depth::Sixteen),
        ColorType::La16 => (Channels::GreyAlpha, Depth::Sixteen),
        ColorType::Rgb16 => (Channels::Rgb, Depth::Sixteen),
        ColorType::Rgba16 => (Channels::RgbAlpha, Depth::Sixteen),
        other => {
            return Err(ViewingFault::Unsupported(format!(
                "samples of the kind {other:?}"
            )));
        }
    })
}

/// Sorts a decoder's fault by whose it is.
fn sorted(fault: ImageError, width: u32, height: u32) -> ViewingFault {
    match fault {
        ImageError::IoError(fault) if fault.kind() == ErrorKind::UnexpectedEof => {
            ViewingFault::Damaged(String::from("it ends too early"))
        }
        ImageError::IoError(fault) => ViewingFault::Read(fault),
        ImageError::Limits(_) => ViewingFault::TooLarge { width, height },
        ImageError::Unsupported(fault) => ViewingFault::Unsupported(fault.to_string()),
        other => ViewingFault::Damaged(other.to_string()),
    }
}
