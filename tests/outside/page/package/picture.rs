//! Plain drawn pictures: an oval bust for a front, board with a number for a back.

use image::DynamicImage;
use image::Rgb;
use image::RgbImage;
use kithbag::record::View;
use std::io::Cursor;

/// A picture as JPEG.
pub(crate) struct Drawn {
    /// The file.
    pub(crate) jpeg: Vec<u8>,
    /// Width in pixels.
    pub(crate) width: u32,
    /// Height in pixels.
    pub(crate) height: u32,
}

/// Draws the picture of a scan.
pub(crate) fn draw(seed: usize, view: Option<View>) -> Drawn {
    match view {
        Some(View::Front | View::AlteredCopy) => encode(&front(seed)),
        Some(View::Label | View::Detail) => encode(&back(seed, 520, 360)),
        _ => encode(&back(seed, 600, 840)),
    }
}

/// Draws a very small picture, another one for each seed.
pub(crate) fn small(seed: usize) -> Drawn {
    let mut picture = RgbImage::from_pixel(60, 84, Rgb([200, 180, 150]));
    for bit in 0..16_u32 {
        if (seed >> bit) & 1 == 1 {
            for y in 0..84 {
                picture.put_pixel(bit * 3, y, Rgb([60, 50, 40]));
            }
        }
    }
    encode(&picture)
}

fn noise(x: u32, y: u32, seed: usize) -> f32 {
    let seed = u32::try_from(seed).unwrap_or(0);
    let mut value =
        x.wrapping_mul(374_761_393) ^ y.wrapping_mul(668_265_263) ^ seed.wrapping_mul(97);
    value = (value ^ (value >> 13)).wrapping_mul(1_274_126_177);
    f32::from(u8::try_from((value >> 16) & 255).unwrap_or(0)) / 255.0
}

fn tone(base: [f32; 3], light: f32) -> Rgb<u8> {
    Rgb(base.map(|one| (one * light).clamp(0.0, 255.0) as u8))
}

fn inside(x: f32, y: f32, centre: (f32, f32), radii: (f32, f32)) -> f32 {
    let (dx, dy) = ((x - centre.0) / radii.0, (y - centre.1) / radii.1);
    (1.0 - (dx * dx + dy * dy).sqrt()).clamp(-1.0, 1.0)
}

fn smooth(value: f32, width: f32) -> f32 {
    (value / width + 0.5).clamp(0.0, 1.0)
}

fn front(seed: usize) -> RgbImage {
    let (width, height) = (600_u32, 840_u32);
    RgbImage::from_fn(width, height, |x, y| {
        let (u, v) = (x as f32 / width as f32, y as f32 / height as f32);
        let grain = 0.94 + 0.1 * noise(x, y, seed);
        let oval = smooth(inside(u, v, (0.5, 0.48), (0.43, 0.42)), 0.12);
        let mut light = 0.86 - 0.16 * oval;
        let coat = smooth(inside(u, v, (0.5, 0.98), (0.42, 0.36)), 0.06) * oval;
        light -= 0.42 * coat;
        let face = smooth(inside(u, v, (0.5, 0.42), (0.14, 0.16)), 0.1);
        light = light * (1.0 - face) + (0.84 - 0.25 * (u - 0.45).abs()) * face;
        let hair = smooth(inside(u, v, (0.5, 0.33), (0.16, 0.12)), 0.12) * smooth(0.36 - v, 0.05);
        light -= 0.4 * hair;
        for eye in [0.45, 0.55] {
            light -= 0.38 * smooth(inside(u, v, (eye, 0.41), (0.022, 0.012)), 0.6);
        }
        light -= 0.2 * smooth(inside(u, v, (0.5, 0.51), (0.05, 0.01)), 0.8);
        tone([226.0, 208.0, 178.0], light * grain)
    })
}

fn back(seed: usize, width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let spot = noise(x / 37, y / 41, seed);
        let foxed = if spot > 0.9 { 0.9 } else { 1.0 };
        let grain = 0.93 + 0.1 * noise(x, y, seed + 5);
        let stroke = (x > 180 && x < 420 && y > 200 && y < 300) && (x * 3 + y * 2) % 97 < 9;
        let light = if stroke { 0.35 } else { 0.8 * foxed };
        tone([214.0, 190.0, 150.0], light * grain)
    })
}

fn encode(picture: &RgbImage) -> Drawn {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(picture.clone())
        .write_to(&mut bytes, image::ImageFormat::Jpeg)
        .expect("a picture in memory can be written");
    Drawn {
        jpeg: bytes.into_inner(),
        width: picture.width(),
        height: picture.height(),
    }
}
