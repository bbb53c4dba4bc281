//! Samples in memory, as a source stores them.

/// What the samples of one pixel mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Channels {
    /// Grey.
    Grey,
    /// Grey and opacity.
    GreyAlpha,
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue, opacity.
    RgbAlpha,
    /// Cyan, magenta, yellow, black; 0 is no ink.
    Cmyk,
}

impl Channels {
    /// Returns how many samples a pixel has.
    pub(super) const fn count(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::GreyAlpha => 2,
            Self::Rgb => 3,
            Self::RgbAlpha | Self::Cmyk => 4,
        }
    }

    /// Tells whether the last sample is opacity.
    pub(super) const fn has_alpha(self) -> bool {
        matches!(self, Self::GreyAlpha | Self::RgbAlpha)
    }
}

/// How many bits a sample has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Depth {
    /// 8 bits.
    Eight,
    /// 16 bits, in the machine's byte order.
    Sixteen,
}

impl Depth {
    /// Returns how many bytes a sample has.
    pub(super) const fn bytes(self) -> usize {
        match self {
            Self::Eight => 1,
            Self::Sixteen => 2,
        }
    }
}

/// Samples row by row from the top left, without padding.
#[derive(Debug, Clone)]
pub(super) struct Raster {
    /// Width in pixels.
    pub(super) width: u32,
    /// Height in pixels.
    pub(super) height: u32,
    /// What the samples mean.
    pub(super) channels: Channels,
    /// Bits of a sample.
    pub(super) depth: Depth,
    /// The samples.
    pub(super) bytes: Vec<u8>,
}

impl Raster {
    /// Returns a raster of 8-bit red, green and blue.
    pub(super) fn rgb(width: u32, height: u32, bytes: Vec<u8>) -> Self {
        Self {
            width,
            height,
            channels: Channels::Rgb,
            depth: Depth::Eight,
            bytes,
        }
    }
}

/// Returns the length of a row in bytes.
pub(super) fn row_bytes(width: u32, channels: Channels, depth: Depth) -> usize {
    usize::try_from(width)
        .unwrap_or(usize::MAX)
        .saturating_mul(channels.count())
        .saturating_mul(depth.bytes())
}
