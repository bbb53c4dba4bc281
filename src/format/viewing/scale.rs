//! Scaling: a box filter for the coarse step, a Lanczos filter for the fine one.

use super::ViewingFault;
use super::raster::Channels;
use super::raster::Depth;
use super::raster::Raster;
use super::raster::row_bytes;
use fast_image_resize::FilterType;
use fast_image_resize::PixelType;
use fast_image_resize::ResizeAlg;
use fast_image_resize::ResizeOptions;
use fast_image_resize::Resizer;
use fast_image_resize::images::Image;

/// Returns the size that fits a picture into `longest_edge` pixels without ever making it larger.
pub(super) fn fitted(width: u32, height: u32, longest_edge: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= longest_edge {
        return (width, height);
    }
    let shrink = |side: u32| {
        let scaled = u64::from(side)
            .saturating_mul(u64::from(longest_edge))
            .saturating_add(u64::from(longest).div_euclid(2))
            .checked_div(u64::from(longest))
            .unwrap_or(1);
        u32::try_from(scaled).unwrap_or(longest_edge).max(1)
    };
    (shrink(width), shrink(height))
}

/// Returns the whole number by which the box filter may reduce a picture so that at least twice the asked size is left for the
/// fine filter. 1 means: not at all.
pub(super) fn coarse_factor(width: u32, height: u32, longest_edge: u32) -> u32 {
    width
        .max(height)
        .checked_div(longest_edge.saturating_mul(2))
        .unwrap_or(1)
        .max(1)
}

/// Returns the raster at exactly this size.
pub(super) fn resize(raster: &Raster, width: u32, height: u32) -> Result<Raster, ViewingFault> {
    if (raster.width, raster.height) == (width, height) {
        return Ok(raster.clone());
    }
    let kind = pixel_type(raster.channels, raster.depth);
    let mut source = Image::new(raster.width, raster.height, kind);
    let room = source.buffer_mut();
    if room.len() != raster.bytes.len() {
        return Err(ViewingFault::Damaged(String::from(
            "it holds fewer samples than its size demands",
        )));
    }
    room.copy_from_slice(&raster.bytes);
    let mut target = Image::new(width, height, kind);
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3))
        .use_alpha(raster.channels.has_alpha());
    Resizer::new()
        .resize(&source, &mut target, &options)
        .map_err(|fault| ViewingFault::Unsupported(fault.to_string()))?;
    Ok(Raster {
        width,
        height,
        channels: raster.channels,
        depth: raster.depth,
        bytes: target.into_vec(),
    })
}

fn pixel_type(channels: Channels, depth: Depth) -> PixelType {
    match (channels, depth) {
        (Channels::Grey, Depth::Eight) => PixelType::U8,
        (Channels::GreyAlpha, Depth::Eight) => PixelType::U8x2,
        (Channels::Rgb, Depth::Eight) => PixelType::U8x3,
        (Channels::RgbAlpha | Channels::Cmyk, Depth::Eight) => PixelType::U8x4,
        (Channels::Grey, Depth::Sixteen) => PixelType::U16,
        (Channels::GreyAlpha, Depth::Sixteen) => PixelType::U16x2,
        (Channels::Rgb, Depth::Sixteen) => PixelType::U16x3,
        (Channels::RgbAlpha | Channels::Cmyk, Depth::Sixteen) => PixelType::U16x4,
    }
}

/// Averages squares of `factor` by `factor` pixels while rows arrive, so that a picture of any size needs little memory.
///
/// Opacity is averaged like any other sample; a source with opacity is therefore only reduced by 1.
#[derive(Debug)]
pub(super) struct BoxFilter {
    width: u32,
    channels: Channels,
    depth: Depth,
    factor: u32,
    sums: Vec<u64>,
    pending: u32,
    rows: u32,
    bytes: Vec<u8>,
}

impl BoxFilter {
    /// Returns a filter for rows of `width` pixels.
    pub(super) fn new(width: u32, channels: Channels, depth: Depth, factor: u32) -> Self {
        let factor = if channels.has_alpha() {
            1
        } else {
            factor.max(1)
        };
        let across = usize::try_from(width.div_ceil(factor)).unwrap_or(usize::MAX);
        Self {
            width,
            channels,
            depth,
            factor,
            sums: vec![0; across.saturating_mul(channels.count())],
            pending: 0,
            rows: 0,
            bytes: Vec::new(),
        }
    }

    /// Takes the next row.
    pub(super) fn push(&mut self, row: &[u8]) {
        if self.factor == 1 {
            self.bytes.extend_from_slice(row);
            self.rows = self.rows.saturating_add(1);
            return;
        }
        let channels = self.channels.count();
        let block = usize::try_from(self.factor)
            .unwrap_or(usize::MAX)
            .saturating_mul(channels)
            .saturating_mul(self.depth.bytes());
        for (cell, pixels) in self.sums.chunks_exact_mut(channels).zip(row.chunks(block)) {
            match self.depth {
                Depth::Eight => add_eight(cell, pixels),
                Depth::Sixteen => add_sixteen(cell, pixels),
            }
        }
        self.pending = self.pending.saturating_add(1);
        if self.pending == self.factor {
            self.flush();
        }
    }

    fn flush(&mut self) {
        let last_block = match self.width.checked_rem(self.factor) {
            Some(rest) if rest > 0 => rest,
            _ => self.factor,
        };
        let full = u64::from(self.factor).saturating_mul(u64::from(self.pending));
        let ragged = u64::from(last_block).saturating_mul(u64::from(self.pending));
        let ragged_from = self.sums.len().saturating_sub(self.channels.count());
        for (position, sum) in self.sums.iter_mut().enumerate() {
            let count = if position < ragged_from { full } else { ragged };
            let mean = sum
                .saturating_add(count.div_euclid(2))
                .checked_div(count)
                .unwrap_or(0);
            match self.depth {
                Depth::Eight => self.bytes.push(u8::try_from(mean).unwrap_or(u8::MAX)),
                Depth::Sixteen => self
                    .bytes
                    .extend(u16::try_from(mean).unwrap_or(u16::MAX).to_ne_bytes()),
            }
            *sum = 0;
        }
        self.pending = 0;
        self.rows = self.rows.saturating_add(1);
    }

    /// Returns the reduced picture.
    pub(super) fn finish(mut self) -> Raster {
        if self.pending > 0 {
            self.flush();
        }
        Raster {
            width: self.width.div_ceil(self.factor),
            height: self.rows,
            channels: self.channels,
            depth: self.depth,
            bytes: self.bytes,
        }
    }
}

fn add_eight(cell: &mut [u64], pixels: &[u8]) {
    for pixel in pixels.chunks_exact(cell.len()) {
        for (sum, sample) in cell.iter_mut().zip(pixel) {
            *sum = sum.saturating_add(u64::from(*sample));
        }
    }
}

fn add_sixteen(cell: &mut [u64], pixels: &[u8]) {
    for pixel in pixels.chunks_exact(cell.len().saturating_mul(2)) {
        for (sum, sample) in cell.iter_mut().zip(pixel.as_chunks::<2>().0) {
            *sum = sum.saturating_add(u64::from(u16::from_ne_bytes(*sample)));
        }
    }
}

/// Returns the raster reduced by a box filter.
pub(super) fn reduce(raster: Raster, factor: u32) -> Raster {
    if factor <= 1 {
        return raster;
    }
    let mut filter = BoxFilter::new(raster.width, raster.channels, raster.depth, factor);
    let stride = row_bytes(raster.width, raster.channels, raster.depth).max(1);
    raster
        .bytes
        .chunks_exact(stride)
        .for_each(|row| filter.push(row));
    filter.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_fitted_and_never_enlarged() {
        assert_eq!(fitted(4000, 3000, 2000), (2000, 1500));
        assert_eq!(fitted(3000, 4000, 2000), (1500, 2000));
        assert_eq!(fitted(640, 480, 2000), (640, 480));
        assert_eq!(fitted(60_000, 1, 2000), (2000, 1));
    }

    #[test]
    fn the_coarse_step_leaves_twice_the_size() {
        assert_eq!(coarse_factor(3999, 10, 1000), 1);
        assert_eq!(coarse_factor(4000, 10, 1000), 2);
        assert_eq!(coarse_factor(8001, 10, 1000), 4);
    }

    #[test]
    fn squares_are_averaged_ragged_edges_included() {
        let raster = Raster {
            width: 3,
            height: 3,
            channels: Channels::Grey,
            depth: Depth::Eight,
            bytes: vec![0, 4, 9, 8, 12, 11, 100, 102, 7],
        };
        let reduced = reduce(raster, 2);
        assert_eq!((reduced.width, reduced.height), (2, 2));
        assert_eq!(reduced.bytes, [6, 10, 101, 7]);
    }

    #[test]
    fn sixteen_bits_are_averaged_too() {
        let bytes = [1000_u16, 3000, 2000, 2001]
            .iter()
            .flat_map(|sample| sample.to_ne_bytes())
            .collect();
        let raster = Raster {
            width: 2,
            height: 2,
            channels: Channels::Grey,
            depth: Depth::Sixteen,
            bytes,
        };
        assert_eq!(reduce(raster, 2).bytes, 2000_u16.to_ne_bytes());
    }
}
