#![expect(
    clippy::as_conversions,
    clippy::arithmetic_side_effects,
    reason = "small numbers of test pictures"
)]

use super::*;
use image::GrayImage;
use image::ImageEncoder;
use image::ImageFormat;
use image::Luma;
use image::Rgb;
use image::codecs::png::PngEncoder;
use image::codecs::tiff::TiffEncoder;
use std::io::Cursor;

/// A picture with a bright top, a dark bottom and a red left edge: every turn of it is another picture.
fn card(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let light = 230 - (y * 200 / height) as u8;
        if x * 5 < width {
            Rgb([220, light / 4, light / 4])
        } else {
            Rgb([light, light, light])
        }
    })
}

fn png(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

fn tiff(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    TiffEncoder::new(&mut bytes)
        .write_image(
            image.as_raw(),
            image.width(),
            image.height(),
            ExtendedColorType::Rgb8,
        )
        .unwrap();
    bytes.into_inner()
}

fn jpeg(image: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 92)
        .encode_image(image)
        .unwrap();
    bytes
}

/// The same JPEG with an Exif orientation [CIPA DC-008 4.6.5.1] in an APP1 segment after SOI.
fn turned(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1];
    bytes.extend(((exif.len() + 2) as u16).to_be_bytes());
    bytes.extend(exif);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn read(bytes: &[u8], edge: u32) -> Picture {
    Picture::read(Cursor::new(bytes), edge).unwrap()
}

fn mean_difference(one: &[u8], other: &[u8]) -> f64 {
    assert_eq!(one.len(), other.len());
    one.iter()
        .zip(other)
        .map(|(a, b)| f64::from(a.abs_diff(*b)))
        .sum::<f64>()
        / one.len() as f64
}

#[test]
fn the_same_picture_looks_the_same_from_every_format() {
    let card = card(400, 300);
    let from_png = read(&png(&card), 200);
    assert_eq!((from_png.width(), from_png.height()), (200, 150));
    for bytes in [tiff(&card), jpeg(&card)] {
        let other = read(&bytes, 200);
        let difference = mean_difference(from_png.samples(), other.samples());
        assert!(difference < 1.5, "{difference}");
    }
}

#[test]
fn a_small_picture_keeps_its_size() {
    let viewing = viewing_jpeg(Cursor::new(png(&card(64, 48))), VIEWING_EDGE).unwrap();
    assert_eq!((viewing.width, viewing.height), (64, 48));
    assert_eq!(viewing.profile, Profile::Absent);
}

#[test]
fn a_viewing_copy_is_a_plain_baseline_jpeg_and_always_the_same() {
    let source = tiff(&card(300, 500));
    let one = viewing_jpeg(Cursor::new(&source), 250).unwrap();
    let other = viewing_jpeg(Cursor::new(&source), 250).unwrap();
    assert_eq!(one, other);
    assert_eq!((one.width, one.height), (150, 250));
    assert!(one.jpeg.starts_with(&[0xff, 0xd8]) && one.jpeg.ends_with(&[0xff, 0xd9]));
    // [ITU-T T.81 B.1.1.3] SOF0 is baseline; neither APP1 (Exif, XMP) nor APP13 (IIM) may be there.
    let has = |marker: u8| one.jpeg.windows(2).any(|pair| pair == [0xff, marker]);
    assert!(has(0xc0) && !has(0xc2) && !has(0xe1) && !has(0xed));
}

#[test]
fn every_orientation_is_turned_upright_in_the_pixels() {
    let upright = card(80, 60);
    let plain = read(&jpeg(&upright), 80);
    // The pixels that a camera stores for each value of the tag, so that turning by the tag gives the upright picture.
    let stored = |orientation: u8| {
        let image = DynamicImage::ImageRgb8(upright.clone());
        match orientation {
            2 => image.fliph(),
            3 => image.rotate180(),
            4 => image.flipv(),
            5 => image.rotate90().fliph(),
            6 => image.rotate270(),
            7 => image.rotate270().fliph(),
            8 => image.rotate90(),
            _ => image,
        }
        .into_rgb8()
    };
    for orientation in 1..=8 {
        let bytes = turned(&jpeg(&stored(orientation)), orientation);
        let picture = read(&bytes, 80);
        assert_eq!(
            (picture.width(), picture.height()),
            (80, 60),
            "{orientation}"
        );
        let difference = mean_difference(plain.samples(), picture.samples());
        assert!(difference < 3.0, "orientation {orientation}: {difference}");
    }
}

#[test]
fn a_large_tiff_is_reduced_strip_by_strip_to_the_same_picture() {
    let card = card(1300, 900);
    let by_strips = read(&tiff(&card), 100);
    let whole = read(&png(&card), 100);
    assert_eq!(by_strips.samples(), whole.samples());
}

#[test]
fn grey_of_sixteen_bits_is_read_from_tiff_and_png() {
    let grey =
        image::ImageBuffer::<Luma<u16>, Vec<u16>>::from_fn(90, 70, |x, _| Luma([x as u16 * 700]));
    for format in [ImageFormat::Tiff, ImageFormat::Png] {
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::ImageLuma16(grey.clone())
            .write_to(&mut bytes, format)
            .unwrap();
        let picture = read(&bytes.into_inner(), 90);
        let expected = (45_u32 * 700 * 255 / 65_535) as u8;
        let middle = picture.samples()[45 * 3];
        assert!(middle.abs_diff(expected) <= 1, "{format:?}: {middle}");
    }
}

#[test]
fn a_profile_inside_the_file_is_applied() {
    let profile = moxcms::ColorProfile::new_display_p3().encode().unwrap();
    let red = RgbImage::from_pixel(20, 20, Rgb([200, 30, 30]));
    let mut bytes = Vec::new();
    let mut encoder = PngEncoder::new(&mut bytes);
    encoder.set_icc_profile(profile).unwrap();
    encoder
        .write_image(red.as_raw(), 20, 20, ExtendedColorType::Rgb8)
        .unwrap();
    let viewing = viewing_jpeg(Cursor::new(&bytes), 20).unwrap();
    assert_eq!(viewing.profile, Profile::Applied);
    assert!(read(&bytes, 20).samples()[0] > 205);
}

#[test]
fn what_is_not_a_picture_is_refused() {
    for bytes in [&b""[..], b"%PDF-1.7", b"plain words", &[0; 64]] {
        assert!(matches!(
            Picture::read(Cursor::new(bytes), 100),
            Err(ViewingFault::NotRecognised)
        ));
    }
}

#[test]
fn a_picture_cut_at_any_byte_is_never_a_panic() {
    let card = card(24, 16);
    for bytes in [png(&card), tiff(&card), jpeg(&card)] {
        for length in 0..bytes.len() {
            let _ = Picture::read(Cursor::new(&bytes[..length]), 24);
        }
    }
}

#[test]
fn a_cut_tiff_or_png_is_damaged() {
    let card = card(24, 16);
    for bytes in [png(&card), tiff(&card)] {
        let cut = &bytes[..bytes.len() / 2];
        assert!(Picture::read(Cursor::new(cut), 24).is_err());
    }
}

#[test]
fn a_claim_to_be_enormous_is_refused_before_any_memory_is_taken() {
    let mut bytes = png(&card(8, 8));
    // [PNG 11.2.2] Width and height stand at bytes 16 to 23; the check of the chunk is made good again.
    bytes[16..24].copy_from_slice(&[0, 1, 0, 0, 0, 1, 0, 0]);
    let check = crc32(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&check.to_be_bytes());
    assert!(matches!(
        Picture::read(Cursor::new(bytes), 100),
        Err(ViewingFault::TooLarge { .. })
    ));
}

/// The check of a PNG chunk [PNG D].
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 {
                0xedb8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            }
        })
    })
}

#[test]
fn a_fingerprint_outlives_scale_tone_and_coding_but_not_another_picture() {
    let portrait = RgbImage::from_fn(300, 400, |x, y| {
        let (dx, dy) = (f64::from(x) - 150.0, (f64::from(y) - 150.0) * 0.8);
        let head = if dx.hypot(dy) < 80.0 { 180.0 } else { 60.0 };
        let coat = if y > 280 { 30.0 } else { head };
        let tone = (coat + f64::from(x) * 0.1) as u8;
        Rgb([tone, tone, tone])
    });
    let first = fingerprint(Cursor::new(png(&portrait))).unwrap();
    let smaller = thumbnail(Cursor::new(png(&portrait)), 150).unwrap();
    assert!(distance(first, fingerprint(Cursor::new(smaller.jpeg)).unwrap()) <= 4);
    let toned = RgbImage::from_fn(300, 400, |x, y| {
        let Rgb([tone, ..]) = *portrait.get_pixel(x, y);
        Rgb([40 + tone / 2, 30 + tone / 2, 20 + tone / 2])
    });
    assert!(distance(first, fingerprint(Cursor::new(png(&toned))).unwrap()) <= 4);
    let other = card(300, 400);
    assert!(distance(first, fingerprint(Cursor::new(png(&other))).unwrap()) > PERHAPS_THE_SAME);
}

#[test]
fn grey_pictures_are_shown_in_grey() {
    let grey = GrayImage::from_fn(30, 30, |x, _| Luma([x as u8 * 8]));
    let mut bytes = Cursor::new(Vec::new());
    grey.write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
    let picture = read(&bytes.into_inner(), 30);
    assert!(
        picture
            .samples()
            .chunks_exact(3)
            .all(|p| p[0] == p[1] && p[1] == p[2])
    );
}
