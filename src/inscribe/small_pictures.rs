//! Small pictures that cameras and programs store beside the picture. Some programs forget to draw them anew after a picture was
//! cropped or its private parts were painted over, so in a copy for others one stays only if it shows the same.

use super::describe::Job;
use crate::format::container::Anatomy;
use crate::format::container::Private;
use crate::format::container::PrivateFact;
use crate::format::container::Range;
use crate::format::viewing;
use crate::format::viewing::Picture;
use std::borrow::Cow;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

/// The longest edge at which pictures are compared, in pixels.
const EDGE: u32 = 128;
/// The longest small picture, in bytes. A whole Exif block has at most 64 KiB; image resources may hold a little more.
const LONGEST: u64 = 1024 * 1024;

impl Job<'_> {
    /// Returns the anatomy with those small pictures among its private facts that are not certain to show the same as the picture.
    pub(super) fn with_small_pictures<'a, R: Read + Seek>(
        &self,
        reader: &mut R,
        anatomy: &'a Anatomy,
    ) -> Cow<'a, Anatomy> {
        if !self.options.drop_private || anatomy.thumbnails.is_empty() {
            return Cow::Borrowed(anatomy);
        }
        let mut told = anatomy.clone();
        for range in strangers(reader, anatomy) {
            told.private.push(Private {
                fact: PrivateFact::SmallPicture,
                ranges: vec![range],
            });
        }
        Cow::Owned(told)
    }
}

/// Returns the small pictures that are not certain to show the same as the picture. What cannot be decoded is not certain.
pub(super) fn strangers<R: Read + Seek>(reader: &mut R, anatomy: &Anatomy) -> Vec<Range> {
    let whole = reader
        .rewind()
        .ok()
        .and_then(|()| Picture::read(&mut *reader, EDGE).ok())
        .and_then(|picture| picture.fingerprint().ok());
    let mut different = anatomy.thumbnails.clone();
    different.retain(|range| !whole.is_some_and(|whole| shows(reader, *range, whole)));
    different
}

/// Programs turn pictures upright and leave the small one lying, so it is compared in each of four ways.
fn shows<R: Read + Seek>(reader: &mut R, range: Range, whole: u64) -> bool {
    /// As stored, upside down, a quarter to the right, a quarter to the left. [TIFF6 8 Orientation]
    const TURNS: [u16; 4] = [1, 3, 6, 8];
    let small =
        bytes_of(reader, range).and_then(|bytes| Picture::read(Cursor::new(bytes), EDGE).ok());
    let Some(small) = small else {
        return false;
    };
    TURNS
        .iter()
        .filter_map(|turn| small.turned(*turn).fingerprint().ok())
        .any(|one| viewing::distance(one, whole) <= viewing::PERHAPS_THE_SAME)
}

fn bytes_of<R: Read + Seek>(reader: &mut R, range: Range) -> Option<Vec<u8>> {
    if range.length > LONGEST {
        return None;
    }
    reader.seek(SeekFrom::Start(range.offset)).ok()?;
    let mut bytes = Vec::new();
    reader
        .by_ref()
        .take(range.length)
        .read_to_end(&mut bytes)
        .ok()?;
    Some(bytes)
}
