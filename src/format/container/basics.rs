//! The few facts of an Exif block that concern the picture as such: which way is up, and how many pixels to the inch.

use super::anatomy::Resolution;
use super::ifd;
use super::ifd::Directory;
use super::ifd::Shape;
use super::source::Source;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;

/// Orientation. [TIFF6 8]
const ORIENTATION: u16 = 274;
/// `XResolution`, `YResolution`, `ResolutionUnit`. [TIFF6 8]
const X_RESOLUTION: u16 = 282;
const Y_RESOLUTION: u16 = 283;
const RESOLUTION_UNIT: u16 = 296;

/// Reads orientation and resolution from an Exif block; what cannot be read is left out.
pub(super) fn of_exif(exif: &[u8]) -> (Option<u16>, Option<Resolution>) {
    let mut cursor = Cursor::new(exif);
    let Ok(mut source) = Source::new(&mut cursor) else {
        return (None, None);
    };
    let Ok((shape, at)) = ifd::header(&mut source) else {
        return (None, None);
    };
    match ifd::directory(&mut source, shape, at) {
        Ok(directory) => of_directory(&mut source, shape, &directory),
        Err(_) => (None, None),
    }
}

/// Reads orientation and resolution from a directory.
pub(super) fn of_directory<R: Read + Seek>(
    source: &mut Source<'_, R>,
    shape: Shape,
    directory: &Directory,
) -> (Option<u16>, Option<Resolution>) {
    let one =
        |source: &mut Source<'_, R>, tag| ifd::number(source, shape, directory, tag).ok().flatten();
    let orientation = one(source, ORIENTATION)
        .and_then(|number| u16::try_from(number).ok())
        .filter(|number| (1..=8).contains(number));
    let unit = one(source, RESOLUTION_UNIT).unwrap_or(2);
    let across = ifd::fraction(source, shape, directory, X_RESOLUTION);
    let down = ifd::fraction(source, shape, directory, Y_RESOLUTION);
    // 2 is the inch, 3 the centimetre; 1 is no unit at all. [TIFF6 8 ResolutionUnit]
    let factor = match unit {
        2 => Some(1.0),
        3 => Some(2.54),
        _ => None,
    };
    let resolution = across
        .zip(down)
        .zip(factor)
        .and_then(|((x, y), factor)| Resolution::new(x * factor, y * factor));
    (orientation, resolution)
}
