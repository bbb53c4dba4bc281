//! Viewing copies: decoded, upright, colour-managed to sRGB, scaled, and written as JPEG.
//!
//! A viewing copy is for looking at, never for keeping: baseline JPEG (ITU-T T.81), sRGB, upright in its pixels rather than by
//! a tag, never larger than its source, and without any metadata. The same input gives the same bytes on every machine: the
//! colour conversion runs without machine-dependent arithmetic, and nothing here reads a clock.
//!
//! Reading order: [`decode`] turns bytes into samples as stored, already reduced where the source is far larger than needed;
//! [`scale`] brings them to size; [`colour`] brings them to sRGB on white; then the picture is turned upright.

mod caption;
mod chunks;
mod colour;
mod decode;
mod fingerprint;
mod lettering;
mod raster;
mod scale;

pub use caption::Caption;
pub use caption::can_be_lettered;
pub use fingerprint::PERHAPS_THE_SAME;
pub use fingerprint::distance;

use image::DynamicImage;
use image::ExtendedColorType;
use image::RgbImage;
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use std::io::BufReader;
use std::io::Read;
use std::io::Seek;
use std::panic::AssertUnwindSafe;
use std::panic::catch_unwind;

/// The longest edge of a viewing copy in pixels.
pub const VIEWING_EDGE: u32 = 2000;

/// The longest edge of a thumbnail in pixels.
pub const THUMBNAIL_EDGE: u32 = 320;

/// The JPEG quality of a viewing copy: no artefacts at arm's length, and below 1 MB for 2,000 pixels of ordinary grain.
pub const VIEWING_QUALITY: u8 = 88;

/// The JPEG quality of a thumbnail.
const THUMBNAIL_QUALITY: u8 = 80;

/// The buffer in front of the source in bytes: reads are flat in speed from 64 KiB upwards.
const READ_BUFFER: usize = 256 * 1024;

/// A picture as a finished JPEG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Viewing {
    /// The file's bytes.
    pub jpeg: Vec<u8>,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// What became of the source's colour profile.
    pub profile: Profile,
}

/// What became of the colour profile of a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// The source holds none; its values were taken as sRGB.
    Absent,
    /// The colours were converted by it.
    Applied,
    /// It is broken or belongs to another kind of colour; the values were taken as sRGB.
    Unusable,
}

/// Why no viewing copy can be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ViewingFault {
    /// The bytes do not begin like any picture that can be shown.
    #[error("this is not a picture that can be shown (JPEG, PNG, TIFF or WebP)")]
    NotRecognised,
    /// The picture is of a kind that cannot be decoded.
    #[error("the picture is of a kind that cannot be shown: {0}")]
    Unsupported(String),
    /// The picture would need too much memory.
    #[error(
        "the picture is too large to be shown: {width} by {height} pixels take more than {most} bytes",
        most = decode::MEMORY
    )]
    TooLarge {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// The picture's data are damaged.
    #[error("the picture is damaged: {0}")]
    Damaged(String),
    /// The source could not be read.
    #[error("the picture could not be read")]
    Read(#[source] std::io::Error),
    /// The finished picture could not be written as JPEG.
    #[error("the viewing copy could not be written: {0}")]
    Write(String),
}

/// A decoded picture: upright, sRGB, opaque, 8 bits a sample, no larger than was asked for.
#[derive(Debug, Clone)]
pub struct Picture {
    pixels: RgbImage,
    profile: Profile,
}

impl Picture {
    /// Reads a JPEG, PNG, TIFF or WebP (first picture of the file), so that its longest edge is at most `longest_edge` pixels.
    /// Smaller pictures keep their size.
    ///
    /// # Errors
    /// [`ViewingFault`]: not a picture, of a kind that cannot be decoded, too large, damaged, or the source cannot be read.
    pub fn read<R: Read + Seek>(source: R, longest_edge: u32) -> Result<Self, ViewingFault> {
        let mut source = BufReader::with_capacity(READ_BUFFER, source);
        // The decoders are other people's; should one of them panic on a hostile file, that is a damaged file, not our end.
        catch_unwind(AssertUnwindSafe(|| {
            Self::read_within(&mut source, longest_edge.max(1))
        }))
        .unwrap_or_else(|_| {
            Err(ViewingFault::Damaged(String::from(
                "its data make no sense to the decoder",
            )))
        })
    }

    fn read_within<R: Read + Seek>(
        source: &mut BufReader<R>,
        longest_edge: u32,
    ) -> Result<Self, ViewingFault> {
        let decoded = decode::decode(source, longest_edge)?;
        let (width, height) = scale::fitted(decoded.full_width, decoded.full_height, longest_edge);
        let sized = scale::resize(&decoded.raster, width, height)?;
        let (pixels, profile) = colour::to_srgb(&sized, decoded.icc.as_deref());
        Self::upright(pixels, width, height, decoded.orientation, profile)
    }

    fn upright(
        pixels: Vec<u8>,
        width: u32,
        height: u32,
        orientation: Orientation,
        profile: Profile,
    ) -> Result<Self, ViewingFault> {
        let image = RgbImage::from_raw(width, height, pixels)
            .ok_or(ViewingFault::TooLarge { width, height })?;
        let mut image = DynamicImage::ImageRgb8(image);
        image.apply_orientation(orientation);
        Ok(Self {
            pixels: image.into_rgb8(),
            profile,
        })
    }

    /// Returns the picture turned as a number from 1 to 8 says; other numbers turn nothing. [TIFF6 8 Orientation]
    #[must_use]
    pub fn turned(&self, orientation: u16) -> Self {
        let how = u8::try_from(orientation)
            .ok()
            .and_then(Orientation::from_exif)
            .unwrap_or(Orientation::NoTransforms);
        let mut image = DynamicImage::ImageRgb8(self.pixels.clone());
        image.apply_orientation(how);
        Self {
            pixels: image.into_rgb8(),
            profile: self.profile,
        }
    }

    /// Returns the width in pixels.
    #[must_use]
    pub fn width(&self) -> u32 {
        self.pixels.width()
    }

    /// Returns the height in pixels.
    #[must_use]
    pub fn height(&self) -> u32 {
        self.pixels.height()
    }

    /// Returns the samples: red, green, blue, row by row from the top left.
    #[must_use]
    pub fn samples(&self) -> &[u8] {
        self.pixels.as_raw()
    }

    /// Returns a JPEG of the picture, scaled down where its longest edge is above `longest_edge` pixels.
    ///
    /// # Errors
    /// [`ViewingFault::Write`] when the picture cannot be coded.
    pub fn jpeg(&self, longest_edge: u32, quality: u8) -> Result<Viewing, ViewingFault> {
        let (width, height) = scale::fitted(self.width(), self.height(), longest_edge.max(1));
        let raster = raster::Raster::rgb(self.width(), self.height(), self.samples().to_vec());
        let sized = scale::resize(&raster, width, height)?;
        encode(&sized.bytes, (width, height), quality, self.profile)
    }

    /// Returns the perceptual hash of the picture: see [`fingerprint()`].
    ///
    /// # Errors
    /// [`ViewingFault`] when the picture cannot be scaled.
    pub fn fingerprint(&self) -> Result<u64, ViewingFault> {
        fingerprint::fingerprint(self)
    }
}

/// Returns samples of red, green and blue as a JPEG.
fn encode(
    samples: &[u8],
    (width, height): (u32, u32),
    quality: u8,
    profile: Profile,
) -> Result<Viewing, ViewingFault> {
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, quality)
        .encode(samples, width, height, ExtendedColorType::Rgb8)
        .map_err(|fault| ViewingFault::Write(fault.to_string()))?;
    Ok(Viewing {
        jpeg,
        width,
        height,
        profile,
    })
}

/// Returns a viewing copy: longest edge at most `longest_edge` pixels (usually [`VIEWING_EDGE`]).
///
/// # Errors
/// As [`Picture::read`].
pub fn viewing_jpeg<R: Read + Seek>(source: R, longest_edge: u32) -> Result<Viewing, ViewingFault> {
    Picture::read(source, longest_edge)?.jpeg(longest_edge, VIEWING_QUALITY)
}

/// Returns a small JPEG for a page or a sheet: longest edge at most `longest_edge` pixels (usually [`THUMBNAIL_EDGE`]).
///
/// # Errors
/// As [`Picture::read`].
pub fn thumbnail<R: Read + Seek>(source: R, longest_edge: u32) -> Result<Viewing, ViewingFault> {
    Picture::read(source, longest_edge)?.jpeg(longest_edge, THUMBNAIL_QUALITY)
}

/// Returns a perceptual hash of 64 bits, for the question "perhaps the same negative?" and never for an answer.
///
/// The picture is reduced to 32 by 32 grey values; of its discrete cosine transform the 8 by 8 lowest frequencies (without
/// the constant ones) each give one bit: above the median of them or not. Scale, exposure, tone and JPEG coding hardly change
/// it; cropping and turning do. Compare two by [`distance`].
///
/// # Errors
/// As [`Picture::read`].
pub fn fingerprint<R: Read + Seek>(source: R) -> Result<u64, ViewingFault> {
    Picture::read(source, fingerprint::EDGE)?.fingerprint()
}

#[cfg(test)]
mod tests;
