//! From a canvas to the bytes of a file, with just the metadata that a story asks for.

use super::canvas::Canvas;
use image::ExtendedColorType;
use image::ImageEncoder;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use std::io::Cursor;
use tiff::encoder::Compression;
use tiff::encoder::Predictor;
use tiff::encoder::Rational;
use tiff::encoder::TiffEncoder;
use tiff::encoder::colortype::Gray8;
use tiff::encoder::colortype::Gray16;
use tiff::encoder::colortype::RGB8;
use tiff::tags::ResolutionUnit;
use tiff::tags::Tag;

/// What went wrong, in the encoder's words.
pub type Fault = Box<dyn std::error::Error>;

/// What a camera or scanner writes beside the picture (CIPA DC-008, "Exif").
#[derive(Debug, Clone, Default)]
pub struct Exif {
    /// Who made the camera.
    pub make: &'static str,
    /// Which camera.
    pub model: &'static str,
    /// `YYYY:MM:DD HH:MM:SS`.
    pub taken: &'static str,
    /// Orientation, 1 to 8.
    pub orientation: u16,
    /// Serial number of the body.
    pub serial: Option<&'static str>,
    /// North latitude and west longitude as degrees, minutes and hundredths of seconds.
    pub place: Option<([u32; 3], [u32; 3])>,
}

fn bytes(canvas: &Canvas) -> Vec<u8> {
    canvas
        .pixels
        .iter()
        .flat_map(|pixel| pixel.map(byte))
        .collect()
}

fn byte(value: f32) -> u8 {
    (value.clamp(0.0, 1.0) * 255.0 + 0.5) as u8
}

fn grey(pixel: &[f32; 3]) -> f32 {
    0.299 * pixel[0] + 0.587 * pixel[1] + 0.114 * pixel[2]
}

/// Returns a baseline JPEG; with metadata in an APP1 segment when given.
pub fn jpeg(canvas: &Canvas, quality: u8, exif: Option<&Exif>) -> Result<Vec<u8>, Fault> {
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, quality).encode(
        &bytes(canvas),
        canvas.width as u32,
        canvas.height as u32,
        ExtendedColorType::Rgb8,
    )?;
    let Some(exif) = exif else { return Ok(file) };
    let block = exif_block(exif);
    let mut with = vec![0xff, 0xd8, 0xff, 0xe1];
    with.extend(((block.len() + 2) as u16).to_be_bytes());
    with.extend(block);
    with.extend(&file[2..]);
    Ok(with)
}

/// Returns a grey baseline JPEG with a resolution tag [JFIF 1.02], in pixels per inch.
pub fn jpeg_grey(canvas: &Canvas, quality: u8) -> Result<Vec<u8>, Fault> {
    let samples: Vec<u8> = canvas
        .pixels
        .iter()
        .map(|pixel| byte(grey(pixel)))
        .collect();
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, quality).encode(
        &samples,
        canvas.width as u32,
        canvas.height as u32,
        ExtendedColorType::L8,
    )?;
    Ok(file)
}

/// Returns a colour JPEG whose JFIF header claims this many pixels per inch.
pub fn jpeg_at(canvas: &Canvas, quality: u8, ppi: u16) -> Result<Vec<u8>, Fault> {
    let mut file = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut file, quality);
    encoder.set_pixel_density(image::codecs::jpeg::PixelDensity::dpi(ppi));
    encoder.encode(
        &bytes(canvas),
        canvas.width as u32,
        canvas.height as u32,
        ExtendedColorType::Rgb8,
    )?;
    Ok(file)
}

/// Returns a colour PNG.
pub fn png(canvas: &Canvas) -> Result<Vec<u8>, Fault> {
    let mut file = Vec::new();
    PngEncoder::new_with_quality(
        &mut file,
        image::codecs::png::CompressionType::Best,
        image::codecs::png::FilterType::Adaptive,
    )
    .write_image(
        &bytes(canvas),
        canvas.width as u32,
        canvas.height as u32,
        ExtendedColorType::Rgb8,
    )?;
    Ok(file)
}

/// Returns a colour TIFF (LZW with differences), as scanners write it.
pub fn tiff(canvas: &Canvas, ppi: u32) -> Result<Vec<u8>, Fault> {
    let mut file = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut file)?
        .with_compression(Compression::Lzw)
        .with_predictor(Predictor::Horizontal);
    let mut image = encoder.new_image::<RGB8>(canvas.width as u32, canvas.height as u32)?;
    image.rows_per_strip(64)?;
    image.resolution(ResolutionUnit::Inch, Rational { n: ppi, d: 1 });
    image
        .encoder()
        .write_tag(Tag::Make, "Invented Scanner Works")?;
    image.encoder().write_tag(Tag::Model, "Flatbed Two")?;
    image.write_data(&bytes(canvas))?;
    Ok(file.into_inner())
}

/// Returns a grey TIFF of 16 bits a sample (LZW with differences). The lower bits hold fine steps, not noise.
pub fn tiff_grey_16(canvas: &Canvas, ppi: u32) -> Result<Vec<u8>, Fault> {
    let samples: Vec<u16> = canvas
        .pixels
        .iter()
        .map(|pixel| (((grey(pixel).clamp(0.0, 1.0) * 511.0 + 0.5) as u16) << 7) | 0x40)
        .collect();
    let mut file = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut file)?
        .with_compression(Compression::Lzw)
        .with_predictor(Predictor::Horizontal);
    let mut image = encoder.new_image::<Gray16>(canvas.width as u32, canvas.height as u32)?;
    image.rows_per_strip(64)?;
    image.resolution(ResolutionUnit::Inch, Rational { n: ppi, d: 1 });
    image.write_data(&samples)?;
    Ok(file.into_inner())
}

/// Returns a grey TIFF of 8 bits a sample (LZW with differences).
pub fn tiff_grey(canvas: &Canvas, ppi: u32) -> Result<Vec<u8>, Fault> {
    let samples: Vec<u8> = canvas
        .pixels
        .iter()
        .map(|pixel| byte(grey(pixel)))
        .collect();
    let mut file = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut file)?
        .with_compression(Compression::Lzw)
        .with_predictor(Predictor::Horizontal);
    let mut image = encoder.new_image::<Gray8>(canvas.width as u32, canvas.height as u32)?;
    image.rows_per_strip(64)?;
    image.resolution(ResolutionUnit::Inch, Rational { n: ppi, d: 1 });
    image.write_data(&samples)?;
    Ok(file.into_inner())
}

/// One field of a directory: tag, type, count, and value bytes (four or fewer stand in the field itself).
struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    value: Vec<u8>,
}

fn text(tag: u16, words: &str) -> Entry {
    let mut value = words.as_bytes().to_vec();
    value.push(0);
    Entry {
        tag,
        kind: 2,
        count: value.len() as u32,
        value,
    }
}

fn short(tag: u16, number: u16) -> Entry {
    Entry {
        tag,
        kind: 3,
        count: 1,
        value: number.to_be_bytes().to_vec(),
    }
}

fn long(tag: u16, number: u32) -> Entry {
    Entry {
        tag,
        kind: 4,
        count: 1,
        value: number.to_be_bytes().to_vec(),
    }
}

fn degrees(tag: u16, [degrees, minutes, hundredths]: [u32; 3]) -> Entry {
    let value = [(degrees, 1), (minutes, 1), (hundredths, 100)]
        .into_iter()
        .flat_map(|(over, under): (u32, u32)| [over.to_be_bytes(), under.to_be_bytes()].concat())
        .collect();
    Entry {
        tag,
        kind: 5,
        count: 3,
        value,
    }
}

/// Returns a directory that starts at `offset` within the TIFF structure, its long values after it.
fn directory(entries: &[Entry], offset: usize) -> Vec<u8> {
    let mut fields = (entries.len() as u16).to_be_bytes().to_vec();
    let mut values: Vec<u8> = Vec::new();
    let after = offset + 2 + entries.len() * 12 + 4;
    for entry in entries {
        fields.extend(entry.tag.to_be_bytes());
        fields.extend(entry.kind.to_be_bytes());
        fields.extend(entry.count.to_be_bytes());
        if entry.value.len() <= 4 {
            let mut value = entry.value.clone();
            value.resize(4, 0);
            fields.extend(value);
        } else {
            fields.extend(((after + values.len()) as u32).to_be_bytes());
            values.extend(&entry.value);
            if values.len() % 2 == 1 {
                values.push(0);
            }
        }
    }
    fields.extend([0; 4]);
    fields.extend(values);
    fields
}

/// Returns `Exif\0\0` and a big-endian TIFF structure [CIPA DC-008 4.5].
fn exif_block(exif: &Exif) -> Vec<u8> {
    let main = |camera_at: u32, place_at: u32| {
        let mut entries = vec![
            text(0x010f, exif.make),
            text(0x0110, exif.model),
            short(0x0112, exif.orientation),
            text(0x0132, exif.taken),
            long(0x8769, camera_at),
        ];
        if exif.place.is_some() {
            entries.push(long(0x8825, place_at));
        }
        entries
    };
    let mut camera = vec![
        Entry {
            tag: 0x9000,
            kind: 7,
            count: 4,
            value: b"0232".to_vec(),
        },
        text(0x9003, exif.taken),
    ];
    if let Some(serial) = exif.serial {
        camera.push(text(0xa431, serial));
    }
    let camera_at = 8 + directory(&main(0, 0), 8).len();
    let camera_bytes = directory(&camera, camera_at);
    let place_at = camera_at + camera_bytes.len();
    let mut block = b"Exif\0\0MM\0\x2a\0\0\0\x08".to_vec();
    block.extend(directory(&main(camera_at as u32, place_at as u32), 8));
    block.extend(camera_bytes);
    if let Some((north, west)) = exif.place {
        let place = [
            Entry {
                tag: 0x0000,
                kind: 1,
                count: 4,
                value: vec![2, 3, 0, 0],
            },
            text(0x0001, "N"),
            degrees(0x0002, north),
            text(0x0003, "W"),
            degrees(0x0004, west),
        ];
        block.extend(directory(&place, place_at));
    }
    block
}
