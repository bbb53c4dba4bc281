//! Colour: from the source's profile (ICC.1) to sRGB (IEC 61966-2-1), opacity laid on white.

use super::Profile;
use super::raster::Channels;
use super::raster::Depth;
use super::raster::Raster;
use moxcms::ColorProfile;
use moxcms::DataColorSpace;
use moxcms::Layout;
use moxcms::TransformOptions;

/// Returns 8-bit red, green and blue of a raster, and what became of its profile.
pub(super) fn to_srgb(raster: &Raster, icc: Option<&[u8]>) -> (Vec<u8>, Profile) {
    let Some(icc) = icc else {
        return (without_profile(raster), Profile::Absent);
    };
    match by_profile(raster, icc) {
        Some(pixels) => (pixels, Profile::Applied),
        None => (without_profile(raster), Profile::Unusable),
    }
}

fn by_profile(raster: &Raster, icc: &[u8]) -> Option<Vec<u8>> {
    let profile = ColorProfile::new_from_slice(icc).ok()?;
    let (expected, layout) = match raster.channels {
        Channels::Grey => (DataColorSpace::Gray, Layout::Gray),
        Channels::GreyAlpha => (DataColorSpace::Gray, Layout::GrayAlpha),
        Channels::Rgb => (DataColorSpace::Rgb, Layout::Rgb),
        Channels::RgbAlpha => (DataColorSpace::Rgb, Layout::Rgba),
        // Four inks share the layout of four samples.
        Channels::Cmyk => (DataColorSpace::Cmyk, Layout::Rgba),
    };
    if profile.color_space != expected {
        return None;
    }
    let alpha = raster.channels.has_alpha();
    let target = if alpha { Layout::Rgba } else { Layout::Rgb };
    let samples = if alpha { 4 } else { 3 };
    let converted = match raster.depth {
        Depth::Eight => convert_eight(&profile, layout, target, samples, raster)?,
        Depth::Sixteen => convert_sixteen(&profile, layout, target, samples, raster)?,
    };
    Some(if alpha {
        converted
            .as_chunks::<4>()
            .0
            .iter()
            .flat_map(on_white)
            .collect()
    } else {
        converted
    })
}

fn convert_eight(
    profile: &ColorProfile,
    layout: Layout,
    target: Layout,
    samples: usize,
    raster: &Raster,
) -> Option<Vec<u8>> {
    let transform = profile
        .create_transform_8bit(
            layout,
            &ColorProfile::new_srgb(),
            target,
            TransformOptions::default(),
        )
        .ok()?;
    let pixels = raster.bytes.len().checked_div(raster.channels.count())?;
    let mut converted = vec![0_u8; pixels.checked_mul(samples)?];
    transform.transform(&raster.bytes, &mut converted).ok()?;
    Some(converted)
}

fn convert_sixteen(
    profile: &ColorProfile,
    layout: Layout,
    target: Layout,
    samples: usize,
    raster: &Raster,
) -> Option<Vec<u8>> {
    let transform = profile
        .create_transform_16bit(
            layout,
            &ColorProfile::new_srgb(),
            target,
            TransformOptions::default(),
        )
        .ok()?;
    let source: Vec<u16> = sixteen(&raster.bytes).collect();
    let pixels = source.len().checked_div(raster.channels.count())?;
    let mut converted = vec![0_u16; pixels.checked_mul(samples)?];
    transform.transform(&source, &mut converted).ok()?;
    Some(converted.into_iter().map(eight).collect())
}

/// Takes the values as sRGB, grey as equal parts, inks by the plain subtractive rule.
fn without_profile(raster: &Raster) -> Vec<u8> {
    let bytes: Vec<u8> = match raster.depth {
        Depth::Eight => raster.bytes.clone(),
        Depth::Sixteen => sixteen(&raster.bytes).map(eight).collect(),
    };
    match raster.channels {
        Channels::Grey => bytes.iter().flat_map(|grey| [*grey; 3]).collect(),
        Channels::GreyAlpha => bytes
            .as_chunks::<2>()
            .0
            .iter()
            .flat_map(|[grey, alpha]| on_white(&[*grey, *grey, *grey, *alpha]))
            .collect(),
        Channels::Rgb => bytes,
        Channels::RgbAlpha => bytes.as_chunks::<4>().0.iter().flat_map(on_white).collect(),
        Channels::Cmyk => bytes
            .as_chunks::<4>()
            .0
            .iter()
            .flat_map(|[cyan, magenta, yellow, black]| {
                [cyan, magenta, yellow]
                    .map(|ink| part(u8::MAX.saturating_sub(*ink), u8::MAX.saturating_sub(*black)))
            })
            .collect(),
    }
}

fn sixteen(bytes: &[u8]) -> impl Iterator<Item = u16> {
    bytes
        .as_chunks::<2>()
        .0
        .iter()
        .map(|pair| u16::from_ne_bytes(*pair))
}

/// Rounds a 16-bit value to 8 bits.
fn eight(value: u16) -> u8 {
    let rounded = u32::from(value)
        .saturating_mul(255)
        .saturating_add(32_767)
        .div_euclid(65_535);
    u8::try_from(rounded).unwrap_or(u8::MAX)
}

/// Returns `value × share ÷ 255`, rounded.
fn part(value: u8, share: u8) -> u8 {
    let rounded = u32::from(value)
        .saturating_mul(u32::from(share))
        .saturating_add(127)
        .div_euclid(255);
    u8::try_from(rounded).unwrap_or(u8::MAX)
}

fn on_white([red, green, blue, alpha]: &[u8; 4]) -> [u8; 3] {
    let white = u8::MAX.saturating_sub(*alpha);
    [red, green, blue].map(|sample| part(*sample, *alpha).saturating_add(white))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raster(channels: Channels, depth: Depth, bytes: Vec<u8>) -> Raster {
        Raster {
            width: 1,
            height: 1,
            channels,
            depth,
            bytes,
        }
    }

    #[test]
    fn what_cannot_be_seen_through_is_laid_on_white() {
        let clear = raster(Channels::RgbAlpha, Depth::Eight, vec![10, 20, 30, 0]);
        assert_eq!(to_srgb(&clear, None).0, [255, 255, 255]);
        let half = raster(Channels::GreyAlpha, Depth::Eight, vec![0, 128]);
        assert_eq!(to_srgb(&half, None).0, [127, 127, 127]);
    }

    #[test]
    fn sixteen_bits_become_eight() {
        let grey = raster(
            Channels::Grey,
            Depth::Sixteen,
            65_535_u16.to_ne_bytes().to_vec(),
        );
        assert_eq!(to_srgb(&grey, None).0, [255, 255, 255]);
        let dark = raster(
            Channels::Grey,
            Depth::Sixteen,
            257_u16.to_ne_bytes().to_vec(),
        );
        assert_eq!(to_srgb(&dark, None).0, [1, 1, 1]);
    }

    #[test]
    fn inks_without_a_profile_are_subtracted() {
        let ink = raster(Channels::Cmyk, Depth::Eight, vec![255, 0, 0, 0]);
        assert_eq!(to_srgb(&ink, None).0, [0, 255, 255]);
    }

    #[test]
    fn a_broken_profile_is_said_to_be_unusable() {
        let grey = raster(Channels::Grey, Depth::Eight, vec![77]);
        assert_eq!(
            to_srgb(&grey, Some(b"not a profile")),
            (vec![77, 77, 77], Profile::Unusable)
        );
    }

    #[test]
    fn a_profile_of_another_kind_of_colour_is_not_used() {
        let Ok(icc) = ColorProfile::new_srgb().encode() else {
            panic!("the sRGB profile cannot be written");
        };
        let grey = raster(Channels::Grey, Depth::Eight, vec![77]);
        assert_eq!(to_srgb(&grey, Some(&icc)).1, Profile::Unusable);
    }

    #[test]
    fn srgb_stays_and_wide_colours_are_converted() {
        let red = raster(Channels::Rgb, Depth::Eight, vec![200, 30, 30]);
        let Ok(same) = ColorProfile::new_srgb().encode() else {
            panic!("the sRGB profile cannot be written");
        };
        let (kept, used) = to_srgb(&red, Some(&same));
        assert_eq!(used, Profile::Applied);
        assert!(
            kept.iter()
                .zip([200_u8, 30, 30])
                .all(|(a, b)| a.abs_diff(b) <= 1),
            "{kept:?}"
        );
        let Ok(wide) = ColorProfile::new_display_p3().encode() else {
            panic!("the Display P3 profile cannot be written");
        };
        // A Display P3 red lies outside sRGB: its red sample must rise, its green sample must fall.
        let (converted, used) = to_srgb(&red, Some(&wide));
        assert_eq!(used, Profile::Applied);
        assert!(converted[0] > 205 && converted[1] < 30, "{converted:?}");
    }

    #[test]
    fn a_grey_profile_is_applied_at_both_depths() {
        // Linear grey of one half is 188 in sRGB (IEC 61966-2-1: 1.055 × 0.5^(1/2.4) − 0.055 = 0.7354).
        let Ok(linear) = ColorProfile::new_gray_with_gamma(1.0).encode() else {
            panic!("the grey profile cannot be written");
        };
        let eight = raster(Channels::Grey, Depth::Eight, vec![128]);
        let (converted, used) = to_srgb(&eight, Some(&linear));
        assert_eq!(used, Profile::Applied);
        assert!(
            converted.iter().all(|value| value.abs_diff(188) <= 1),
            "{converted:?}"
        );
        let sixteen = raster(
            Channels::Grey,
            Depth::Sixteen,
            32_768_u16.to_ne_bytes().to_vec(),
        );
        let (converted, used) = to_srgb(&sixteen, Some(&linear));
        assert_eq!(used, Profile::Applied);
        assert!(
            converted.iter().all(|value| value.abs_diff(188) <= 1),
            "{converted:?}"
        );
    }
}
