//! What a camera or scanner wrote about a picture. [CIPA DC-008-2019 (Exif 2.32), TIFF 6.0]
//!
//! Read from memory, never from a whole container; damage in one field does not hide the others.

use super::container::PrivateFact;
use exif::Context;
use exif::Exif;
use exif::Field;
use exif::In;
use exif::Reader;
use exif::Tag;
use exif::Value;

/// What a picture's Exif block says, as far as it can be read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CaptureFacts {
    /// Maker and model of the camera or scanner.
    pub made_with: Option<String>,
    /// The program that wrote the file last.
    pub software: Option<String>,
    /// When the picture was taken, as `1998-10-07T08:03:20`; parts that the camera left blank are left off.
    pub taken_on: Option<String>,
    /// When the picture was made digital, in the same form.
    pub digitised_on: Option<String>,
    /// When the file was changed last, in the same form.
    pub changed_on: Option<String>,
    /// How the picture must be turned to stand upright: 1 to 8. [TIFF 6.0 Orientation]
    pub orientation: Option<u16>,
    /// The resolution tag, in pixels per inch, across and down. Not what was measured: many programs write a fixed number.
    pub ppi: Option<(f64, f64)>,
    /// Whether it says where the picture was taken.
    pub has_gps: bool,
    /// Whether it holds the serial number of a camera or lens.
    pub has_serial_number: bool,
    /// Whether it names the camera's owner.
    pub has_owner: bool,
    /// Length in bytes of the camera maker's own notes, 0 if there are none.
    pub maker_note_bytes: u64,
    /// Whether a small picture is stored beside the picture.
    pub has_thumbnail: bool,
    /// The caption.
    pub image_description: Option<String>,
    /// Who took the picture.
    pub artist: Option<String>,
    /// The copyright notice.
    pub copyright: Option<String>,
    /// The user's comment.
    pub user_comment: Option<String>,
    /// The title as one operating system stores it.
    pub xp_title: Option<String>,
    /// The comment as one operating system stores it.
    pub xp_comment: Option<String>,
    /// The author as one operating system stores it.
    pub xp_author: Option<String>,
    /// The keywords as one operating system stores them.
    pub xp_keywords: Vec<String>,
    /// The subject as one operating system stores it.
    pub xp_subject: Option<String>,
    /// What could not be read, in the reader's words.
    pub faults: Vec<String>,
}

impl CaptureFacts {
    /// Returns the private facts found, in plain words.
    #[must_use]
    pub fn private_found(&self) -> Vec<&'static str> {
        let found = [
            (self.has_gps, PrivateFact::Place),
            (self.has_serial_number, PrivateFact::SerialNumber),
            (self.has_owner, PrivateFact::OwnerName),
            (self.maker_note_bytes > 0, PrivateFact::MakerNotes),
        ];
        found
            .into_iter()
            .filter_map(|(is_found, fact)| is_found.then_some(fact.words()))
            .collect()
    }
}

/// Tags of one operating system: UTF-16, little-endian, in a list of bytes. [TIFF private tags 40091 to 40095]
const XP_TITLE: Tag = Tag(Context::Tiff, 0x9C9B);
const XP_COMMENT: Tag = Tag(Context::Tiff, 0x9C9C);
const XP_AUTHOR: Tag = Tag(Context::Tiff, 0x9C9D);
const XP_KEYWORDS: Tag = Tag(Context::Tiff, 0x9C9E);
const XP_SUBJECT: Tag = Tag(Context::Tiff, 0x9C9F);
/// Serial numbers outside the standard's own tags. [DNG 1.4 `CameraSerialNumber`]
const DNG_SERIAL_NUMBER: Tag = Tag(Context::Tiff, 0xC62F);

/// Reads an Exif block: a TIFF structure, without the "Exif" mark before it. Whatever can be read is returned, with the faults
/// beside it.
#[must_use]
pub fn capture_facts(tiff: &[u8]) -> CaptureFacts {
    let mut faults = Vec::new();
    let read = Reader::new()
        .continue_on_error(true)
        .read_raw(tiff.to_vec())
        .or_else(|error| {
            error.distill_partial_result(|errors| {
                faults.extend(errors.iter().map(ToString::to_string));
            })
        });
    match read {
        Ok(exif) => facts(&exif, faults),
        Err(error) => {
            faults.push(error.to_string());
            CaptureFacts {
                faults,
                ..CaptureFacts::default()
            }
        }
    }
}

fn facts(exif: &Exif, faults: Vec<String>) -> CaptureFacts {
    let any = |tags: &[Tag]| tags.iter().any(|tag| text(exif, *tag).is_some());
    CaptureFacts {
        made_with: made_with(exif),
        software: text(exif, Tag::Software),
        taken_on: moment(exif, Tag::DateTimeOriginal),
        digitised_on: moment(exif, Tag::DateTimeDigitized),
        changed_on: moment(exif, Tag::DateTime),
        orientation: number(exif, Tag::Orientation)
            .and_then(|value| u16::try_from(value).ok())
            .filter(|value| (1..=8).contains(value)),
        ppi: ppi(exif),
        has_gps: exif.fields().any(tells_a_place),
        has_serial_number: any(&[
            Tag::BodySerialNumber,
            Tag::LensSerialNumber,
            DNG_SERIAL_NUMBER,
        ]),
        has_owner: any(&[Tag::CameraOwnerName]),
        maker_note_bytes: maker_note_bytes(exif),
        has_thumbnail: exif
            .get_field(Tag::JPEGInterchangeFormat, In::THUMBNAIL)
            .is_some(),
        image_description: text(exif, Tag::ImageDescription),
        artist: text(exif, Tag::Artist),
        copyright: text(exif, Tag::Copyright),
        user_comment: user_comment(exif),
        xp_title: wide_text(exif, XP_TITLE),
        xp_comment: wide_text(exif, XP_COMMENT),
        xp_author: wide_text(exif, XP_AUTHOR),
        xp_keywords: wide_text(exif, XP_KEYWORDS).map_or_else(Vec::new, |text| {
            text.split(';').filter_map(meaningful).collect()
        }),
        xp_subject: wide_text(exif, XP_SUBJECT),
        faults,
    }
}

fn value(exif: &Exif, tag: Tag) -> Option<&Value> {
    exif.get_field(tag, In::PRIMARY).map(|field| &field.value)
}

fn number(exif: &Exif, tag: Tag) -> Option<u32> {
    value(exif, tag).and_then(|value| value.get_uint(0))
}

fn text(exif: &Exif, tag: Tag) -> Option<String> {
    match value(exif, tag)? {
        Value::Ascii(parts) => {
            let parts: Vec<String> = parts
                .iter()
                .filter_map(|part| meaningful(&in_any_encoding(part)))
                .collect();
            meaningful(&parts.join("; "))
        }
        Value::Byte(bytes) | Value::Undefined(bytes, _) => meaningful(&in_any_encoding(bytes)),
        _ => None,
    }
}

/// Exif text is ASCII by the standard; in practice it is UTF-8 or the encoding of Western Windows.
fn in_any_encoding(bytes: &[u8]) -> String {
    std::str::from_utf8(bytes).map_or_else(
        |_| {
            encoding_rs::WINDOWS_1252
                .decode_without_bom_handling(bytes)
                .0
                .into_owned()
        },
        str::to_owned,
    )
}

/// Leaves out outer blanks and zeros; a field of blanks, as cameras write it to keep its place, says nothing.
fn meaningful(text: &str) -> Option<String> {
    let text = text.trim_matches(|one: char| one.is_whitespace() || one == '\0');
    (!text.is_empty()).then(|| text.to_owned())
}

fn wide_text(exif: &Exif, tag: Tag) -> Option<String> {
    let (Value::Byte(bytes) | Value::Undefined(bytes, _)) = value(exif, tag)? else {
        return None;
    };
    meaningful(&encoding_rs::UTF_16LE.decode_without_bom_handling(bytes).0)
}

/// The first eight bytes name the encoding. [CIPA DC-008 4.6.5 `UserComment`]
fn user_comment(exif: &Exif) -> Option<String> {
    let Value::Undefined(bytes, _) = value(exif, Tag::UserComment)? else {
        return text(exif, Tag::UserComment);
    };
    let (code, rest) = bytes.split_at_checked(8)?;
    let decoded = match code {
        b"UNICODE\0" => {
            let encoding = if exif.little_endian() {
                encoding_rs::UTF_16LE
            } else {
                encoding_rs::UTF_16BE
            };
            encoding.decode(rest).0.into_owned()
        }
        b"JIS\0\0\0\0\0" => encoding_rs::ISO_2022_JP.decode(rest).0.into_owned(),
        b"ASCII\0\0\0" | [0, 0, 0, 0, 0, 0, 0, 0] => in_any_encoding(rest),
        _ => in_any_encoding(bytes),
    };
    meaningful(&decoded)
}

/// Models often begin with their maker's name already.
fn made_with(exif: &Exif) -> Option<String> {
    match (text(exif, Tag::Make), text(exif, Tag::Model)) {
        (Some(make), Some(model)) => {
            let first = make
                .split_whitespace()
                .next()
                .unwrap_or_default()
                .to_lowercase();
            let repeats = model.to_lowercase().starts_with(&first);
            Some(if repeats {
                model
            } else {
                format!("{make} {model}")
            })
        }
        (make, model) => make.or(model),
    }
}

/// Reads `1998:10:07 08:03:20`; cameras without a set clock write zeros or blanks. [CIPA DC-008 4.6.5 `DateTimeOriginal`]
fn moment(exif: &Exif, tag: Tag) -> Option<String> {
    let text = text(exif, tag)?;
    let mut halves = text.splitn(2, [' ', 'T']);
    let day: Vec<&str> = halves.next()?.split([':', '-', '/']).collect();
    let sound = |part: &&&str, length: usize| {
        part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit())
    };
    let year = day
        .first()
        .filter(|part| sound(part, 4) && ***part != *"0000")?;
    let mut out = (*year).to_owned();
    for (part, last) in day.iter().skip(1).take(2).zip(["12", "31"]) {
        if !sound(&part, 2) || *part == "00" || *part > last {
            return Some(out);
        }
        out.push('-');
        out.push_str(part);
    }
    let time = halves.next().unwrap_or_default();
    let parts: Vec<&str> = time.trim().split(':').collect();
    if parts.len() == 3 && parts.iter().all(|part| sound(&part, 2)) && out.len() == 10 {
        out.push('T');
        out.push_str(&parts.join(":"));
    }
    Some(out)
}

/// The unit is inches unless the file says centimetres; 1 means "no unit", and then the numbers are only a ratio. [TIFF 6.0
/// `ResolutionUnit`]
fn ppi(exif: &Exif) -> Option<(f64, f64)> {
    let factor = match number(exif, Tag::ResolutionUnit) {
        None | Some(2) => 1.0,
        Some(3) => 2.54,
        Some(_) => return None,
    };
    let along = |tag| match value(exif, tag)? {
        Value::Rational(numbers) => numbers.first().map(exif::Rational::to_f64),
        Value::Short(numbers) => numbers.first().map(|number| f64::from(*number)),
        _ => None,
    };
    let across = along(Tag::XResolution)? * factor;
    let down = along(Tag::YResolution)? * factor;
    let is_sound = |number: f64| number.is_finite() && number > 0.0;
    (is_sound(across) && is_sound(down)).then_some((across, down))
}

/// The version of the GPS block alone, which some cameras always write, tells no place. Zeros might: they are kept in.
fn tells_a_place(field: &Field) -> bool {
    field.tag.context() == Context::Gps
        && field.tag != Tag::GPSVersionID
        && match &field.value {
            Value::Ascii(parts) => parts
                .iter()
                .any(|part| meaningful(&in_any_encoding(part)).is_some()),
            Value::Rational(numbers) => !numbers.is_empty(),
            Value::SRational(numbers) => !numbers.is_empty(),
            Value::Byte(bytes) | Value::Undefined(bytes, _) => bytes.iter().any(|byte| *byte != 0),
            _ => false,
        }
}

fn maker_note_bytes(exif: &Exif) -> u64 {
    match value(exif, Tag::MakerNote) {
        Some(Value::Undefined(bytes, _) | Value::Byte(bytes)) => {
            u64::try_from(bytes.len()).unwrap_or(u64::MAX)
        }
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use exif::experimental::Writer;
    use std::io::Cursor;

    fn block(fields: Vec<(Tag, Value)>) -> Vec<u8> {
        let fields: Vec<Field> = fields
            .into_iter()
            .map(|(tag, value)| Field {
                tag,
                ifd_num: In::PRIMARY,
                value,
            })
            .collect();
        let mut writer = Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut out = Cursor::new(Vec::new());
        writer.write(&mut out, true).unwrap();
        out.into_inner()
    }

    fn ascii(text: &[u8]) -> Value {
        Value::Ascii(vec![text.to_vec()])
    }

    fn rational(num: u32, denom: u32) -> Value {
        Value::Rational(vec![exif::Rational { num, denom }])
    }

    fn full() -> Vec<u8> {
        let wide =
            |text: &str| Value::Byte(text.encode_utf16().flat_map(u16::to_le_bytes).collect());
        block(vec![
            (Tag::Make, ascii(b"Trevanick Optical  ")),
            (Tag::Model, ascii(b"TO-1")),
            (Tag::ImageDescription, ascii("Бабушка".as_bytes())),
            (Tag::Copyright, ascii(b"(C) W\xF6rdehoff")),
            (Tag::Artist, ascii(b"   ")),
            (Tag::Orientation, Value::Short(vec![6])),
            (Tag::XResolution, rational(118, 1)),
            (Tag::YResolution, rational(236, 2)),
            (Tag::ResolutionUnit, Value::Short(vec![3])),
            (Tag::DateTimeOriginal, ascii(b"1998:10:07 08:03:20")),
            (Tag::DateTimeDigitized, ascii(b"1998:10:00 00:00:00")),
            (Tag::DateTime, ascii(b"0000:00:00 00:00:00")),
            (
                Tag::UserComment,
                Value::Undefined(b"UNICODE\0a\0\x16\x04".to_vec(), 0),
            ),
            (Tag::BodySerialNumber, ascii(b"12345")),
            (Tag::MakerNote, Value::Undefined(vec![7; 40], 0)),
            (Tag::GPSLatitude, rational(50, 1)),
            (XP_TITLE, wide("Oma\0")),
            (XP_KEYWORDS, wide("a; b;;")),
        ])
    }

    #[test]
    fn everything_that_is_said_is_read() {
        let facts = capture_facts(&full());
        assert_eq!(facts.faults, Vec::<String>::new());
        assert_eq!(facts.made_with.as_deref(), Some("Trevanick Optical TO-1"));
        assert_eq!(facts.image_description.as_deref(), Some("Бабушка"));
        assert_eq!(facts.copyright.as_deref(), Some("(C) Wördehoff"));
        assert_eq!(facts.artist, None);
        assert_eq!(facts.orientation, Some(6));
        let (across, down) = facts.ppi.unwrap();
        assert!((across - 299.72).abs() < 0.001 && (down - 299.72).abs() < 0.001);
        assert_eq!(facts.taken_on.as_deref(), Some("1998-10-07T08:03:20"));
        assert_eq!(facts.digitised_on.as_deref(), Some("1998-10"));
        assert_eq!(facts.changed_on, None);
        assert_eq!(facts.user_comment.as_deref(), Some("aЖ"));
        assert_eq!(facts.maker_note_bytes, 40);
        assert_eq!(facts.xp_title.as_deref(), Some("Oma"));
        assert_eq!(facts.xp_keywords, ["a", "b"]);
        assert!(facts.has_gps && facts.has_serial_number && !facts.has_owner);
        assert_eq!(facts.private_found().len(), 3);
    }

    #[test]
    fn the_version_of_the_gps_block_is_no_place() {
        let facts = capture_facts(&block(vec![(
            Tag::GPSVersionID,
            Value::Byte(vec![2, 3, 0, 0]),
        )]));
        assert!(!facts.has_gps);
    }

    #[test]
    fn nothing_is_a_fault_and_not_a_panic() {
        assert_eq!(capture_facts(b"").faults.len(), 1);
        assert_eq!(capture_facts(b"not a TIFF structure").faults.len(), 1);
    }

    #[test]
    fn cut_at_every_byte() {
        let whole = full();
        let mut partial = 0;
        for length in 0..whole.len() {
            let facts = capture_facts(whole.get(..length).unwrap());
            partial += usize::from(!facts.faults.is_empty() && facts.orientation == Some(6));
        }
        assert!(partial > 0, "no damaged block gave what was left of it");
    }

    #[test]
    fn every_byte_changed() {
        let whole = full();
        for place in 0..whole.len() {
            for value in [0x00, 0x7F, 0xFF] {
                let mut changed = whole.clone();
                changed[place] = value;
                let _ = capture_facts(&changed);
            }
        }
    }
}
