//! A perceptual hash: the signs of the lowest frequencies of a picture, in whole-number arithmetic.

use super::Picture;
use super::ViewingFault;
use super::raster::Channels;
use super::raster::Depth;
use super::raster::Raster;
use super::scale;

/// Two pictures whose fingerprints differ in at most this many of 64 bits are perhaps of one negative: always a question, never an
/// answer. Common practice for fingerprints of this kind; tried here on one drawn portrait, scaled and toned, and one other picture.
pub const PERHAPS_THE_SAME: u32 = 10;

/// The longest edge in pixels at which a picture is read for its fingerprint.
pub(super) const EDGE: u32 = 128;

/// The side of the grey square that is transformed.
const SIDE: u32 = 32;

/// `round(4096 × cos((2x + 1) u π ÷ 64))` for u = 1 to 8 (rows) and x = 0 to 31: the cosine transform (DCT-II) of 32 values.
const COSINES: [[i64; 32]; 8] = [
    [
        4091, 4052, 3973, 3857, 3703, 3513, 3290, 3035, 2751, 2440, 2106, 1751, 1380, 995, 601,
        201, -201, -601, -995, -1380, -1751, -2106, -2440, -2751, -3035, -3290, -3513, -3703,
        -3857, -3973, -4052, -4091,
    ],
    [
        4076, 3920, 3612, 3166, 2598, 1931, 1189, 401, -401, -1189, -1931, -2598, -3166, -3612,
        -3920, -4076, -4076, -3920, -3612, -3166, -2598, -1931, -1189, -401, 401, 1189, 1931, 2598,
        3166, 3612, 3920, 4076,
    ],
    [
        4052, 3703, 3035, 2106, 995, -201, -1380, -2440, -3290, -3857, -4091, -3973, -3513, -2751,
        -1751, -601, 601, 1751, 2751, 3513, 3973, 4091, 3857, 3290, 2440, 1380, 201, -995, -2106,
        -3035, -3703, -4052,
    ],
    [
        4017, 3406, 2276, 799, -799, -2276, -3406, -4017, -4017, -3406, -2276, -799, 799, 2276,
        3406, 4017, 4017, 3406, 2276, 799, -799, -2276, -3406, -4017, -4017, -3406, -2276, -799,
        799, 2276, 3406, 4017,
    ],
    [
        3973, 3035, 1380, -601, -2440, -3703, -4091, -3513, -2106, -201, 1751, 3290, 4052, 3857,
        2751, 995, -995, -2751, -3857, -4052, -3290, -1751, 201, 2106, 3513, 4091, 3703, 2440, 601,
        -1380, -3035, -3973,
    ],
    [
        3920, 2598, 401, -1931, -3612, -4076, -3166, -1189, 1189, 3166, 4076, 3612, 1931, -401,
        -2598, -3920, -3920, -2598, -401, 1931, 3612, 4076, 3166, 1189, -1189, -3166, -4076, -3612,
        -1931, 401, 2598, 3920,
    ],
    [
        3857, 2106, -601, -3035, -4091, -3290, -995, 1751, 3703, 3973, 2440, -201, -2751, -4052,
        -3513, -1380, 1380, 3513, 4052, 2751, 201, -2440, -3973, -3703, -1751, 995, 3290, 4091,
        3035, 601, -2106, -3857,
    ],
    [
        3784, 1567, -1567, -3784, -3784, -1567, 1567, 3784, 3784, 1567, -1567, -3784, -3784, -1567,
        1567, 3784, 3784, 1567, -1567, -3784, -3784, -1567, 1567, 3784, 3784, 1567, -1567, -3784,
        -3784, -1567, 1567, 3784,
    ],
];

/// Returns in how many bits two fingerprints differ: 0 to 64.
#[must_use]
pub const fn distance(one: u64, other: u64) -> u32 {
    (one ^ other).count_ones()
}

/// Returns the fingerprint of a picture.
pub(super) fn fingerprint(picture: &Picture) -> Result<u64, ViewingFault> {
    let grey = picture
        .samples()
        .as_chunks::<3>()
        .0
        .iter()
        .map(luma)
        .collect();
    let raster = Raster {
        width: picture.width(),
        height: picture.height(),
        channels: Channels::Grey,
        depth: Depth::Eight,
        bytes: grey,
    };
    let square = scale::resize(&raster, SIDE, SIDE)?;
    Ok(bits(&coefficients(&square.bytes)))
}

/// Returns the luma of a pixel [ITU-R BT.601-7 2.5.1], in whole numbers.
fn luma([red, green, blue]: &[u8; 3]) -> u8 {
    let sum = u32::from(*red)
        .saturating_mul(299)
        .saturating_add(u32::from(*green).saturating_mul(587))
        .saturating_add(u32::from(*blue).saturating_mul(114))
        .saturating_add(500)
        .div_euclid(1000);
    u8::try_from(sum).unwrap_or(u8::MAX)
}

/// Returns the 64 coefficients of frequencies 1 to 8 in both directions.
fn coefficients(square: &[u8]) -> Vec<i64> {
    let rows: Vec<[i64; 8]> = square
        .as_chunks::<32>()
        .0
        .iter()
        .map(|row| COSINES.map(|cosines| dot(&cosines, row.iter().map(|grey| i64::from(*grey)))))
        .collect();
    COSINES
        .iter()
        .flat_map(|cosines| {
            rows.iter()
                .zip(cosines)
                .fold([0_i64; 8], |sums, (row, cosine)| {
                    let mut sums = sums;
                    for (sum, value) in sums.iter_mut().zip(row) {
                        *sum = sum.saturating_add(value.saturating_mul(*cosine));
                    }
                    sums
                })
        })
        .collect()
}

fn dot(cosines: &[i64; 32], values: impl Iterator<Item = i64>) -> i64 {
    cosines.iter().zip(values).fold(0, |sum, (cosine, value)| {
        sum.saturating_add(cosine.saturating_mul(value))
    })
}

/// Returns one bit for each coefficient, first one highest: set when it is above the median.
fn bits(coefficients: &[i64]) -> u64 {
    let mut sorted = coefficients.to_vec();
    sorted.sort_unstable();
    let median = sorted
        .get(sorted.len().div_euclid(2))
        .copied()
        .unwrap_or_default();
    coefficients.iter().fold(0, |bits, value| {
        (bits << 1_u32) | u64::from(*value > median)
    })
}
