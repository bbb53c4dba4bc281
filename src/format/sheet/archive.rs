//! The zip inside a workbook, unpacked within bounds.
//!
//! A few kilobytes of deflate can unpack to gigabytes. So the parts that hold sheets are unpacked here, counted byte by byte, and
//! packed again without compression for the reader that follows, which then cannot be made to grow.

use super::SheetFault;
use super::drawings;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::io::Read;
use std::io::Write;
use zip::ZipArchive;
use zip::ZipWriter;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;

/// Most bytes of all parts of a workbook together, unpacked. A catalogue of a hundred thousand portraits has some 300 MB of XML.
pub(super) const MAX_UNPACKED: usize = 512 * 1024 * 1024;

/// Most parts of a workbook: a sheet of ten thousand portraits may carry as many thumbnails.
const MAX_PARTS: usize = 200_000;

/// A workbook's form, by what its zip holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// Office Open XML. [ECMA-376]
    Xlsx,
    /// Open Document. [ISO 26300]
    Ods,
}

/// The parts of a workbook that hold sheets, in a zip without compression.
#[derive(Debug)]
pub(super) struct Parts {
    pub(super) form: Form,
    pub(super) zip: Vec<u8>,
    /// The part `content.xml` of an Open Document workbook.
    pub(super) content: Vec<u8>,
    /// How many bytes the sheets of an Office Open XML workbook have, by the numbers in the names of their parts.
    pub(super) sheet_sizes: BTreeMap<u32, usize>,
}

/// Unpacks the parts of a workbook that hold sheets.
pub(super) fn unpack(bytes: &[u8]) -> Result<Parts, SheetFault> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(fault)?;
    if archive.len() > MAX_PARTS {
        return Err(SheetFault::TooBig {
            what: "parts",
            limit: MAX_PARTS,
        });
    }
    let form = form_of(&archive)?;
    let mut writer = ZipWriter::new(Cursor::new(Vec::with_capacity(roughly(&archive, bytes))));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    let mut left = MAX_UNPACKED;
    let mut part = Vec::new();
    let mut content = Vec::new();
    let mut sheet_sizes = BTreeMap::new();
    for index in 0..archive.len() {
        let entry = archive.by_index(index).map_err(fault)?;
        let name = entry.name().map_err(fault)?.into_owned();
        if !holds_sheets(&name) {
            continue;
        }
        take(entry, left, &mut part)?;
        left = left.saturating_sub(part.len());
        if let Some(number) = sheet_number(&name) {
            sheet_sizes.insert(number, part.len());
        }
        if name == "content.xml" {
            part = drawings::taken_out(part);
        }
        writer.start_file(name.as_str(), stored).map_err(fault)?;
        writer.write_all(&part).map_err(SheetFault::damaged)?;
        if name == "content.xml" {
            content = std::mem::take(&mut part);
        }
    }
    Ok(Parts {
        form,
        zip: writer.finish().map_err(fault)?.into_inner(),
        content,
        sheet_sizes,
    })
}

/// The bytes that the parts will have together, as far as the zip can be believed: deflate packs at most about a thousand into one.
fn roughly(archive: &ZipArchive<Cursor<&[u8]>>, bytes: &[u8]) -> usize {
    let claimed = archive.decompressed_size().unwrap_or_default();
    usize::try_from(claimed)
        .unwrap_or(usize::MAX)
        .min(bytes.len().saturating_mul(1_032))
        .min(MAX_UNPACKED)
}

/// Returns the number in the name of a part that holds a sheet, as most programs name them.
fn sheet_number(name: &str) -> Option<u32> {
    name.strip_prefix("xl/worksheets/sheet")?
        .strip_suffix(".xml")?
        .parse()
        .ok()
}

fn form_of(archive: &ZipArchive<Cursor<&[u8]>>) -> Result<Form, SheetFault> {
    let has = |name: &str| {
        archive
            .file_names()
            .any(|one| one.is_ok_and(|one| one.eq_ignore_ascii_case(name)))
    };
    if has("content.xml") {
        Ok(Form::Ods)
    } else if has("xl/workbook.bin") {
        Err(SheetFault::OldForm {
            form: "binary workbook (.xlsb)",
        })
    } else if has("[Content_Types].xml") {
        Ok(Form::Xlsx)
    } else {
        Err(SheetFault::NotASheet {
            found: "a zip without sheets",
        })
    }
}

/// Tells whether a part may hold sheets, their texts or their formats; pictures, drawings and print settings do not.
fn holds_sheets(name: &str) -> bool {
    let lower = name.to_ascii_lowercase();
    let is_text = lower == "mimetype" || lower.ends_with(".xml") || lower.ends_with(".rels");
    let is_drawing = lower.contains("drawings/") || lower.contains("charts/");
    is_text && !is_drawing
}

/// Unpacks a part in place of the one before.
fn take(entry: impl Read, left: usize, part: &mut Vec<u8>) -> Result<(), SheetFault> {
    part.clear();
    let limit = u64::try_from(left.saturating_add(1)).unwrap_or(u64::MAX);
    entry
        .take(limit)
        .read_to_end(part)
        .map_err(SheetFault::damaged)?;
    if part.len() > left {
        return Err(SheetFault::TooBig {
            what: "bytes, unpacked",
            limit: MAX_UNPACKED,
        });
    }
    Ok(())
}

fn fault(error: ZipError) -> SheetFault {
    match error {
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => SheetFault::Password,
        other => SheetFault::damaged(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zip_of(parts: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, part) in parts {
            writer
                .start_file(*name, SimpleFileOptions::default())
                .expect("a part");
            writer.write_all(part).expect("its bytes");
        }
        writer.finish().expect("a zip").into_inner()
    }

    #[test]
    fn takes_the_parts_that_hold_sheets_and_no_pictures() {
        let zip = zip_of(&[
            ("[Content_Types].xml", b"<Types/>"),
            ("xl/workbook.xml", b"<workbook/>"),
            ("xl/media/image1.png", b"PNG"),
            ("xl/drawings/drawing1.xml", b"<drawing/>"),
        ]);
        let parts = unpack(&zip).expect("a workbook");
        assert_eq!(parts.form, Form::Xlsx);
        let archive = ZipArchive::new(Cursor::new(parts.zip)).expect("a zip");
        assert_eq!(archive.len(), 2);
    }

    #[test]
    fn a_part_that_unpacks_beyond_the_limit_is_refused() {
        let part = vec![b' '; 1_000_000];
        let mut taken = Vec::new();
        assert_eq!(take(part.as_slice(), 1_000_000, &mut taken), Ok(()));
        assert_eq!(taken, part);
        assert!(matches!(
            take(part.as_slice(), 999_999, &mut taken),
            Err(SheetFault::TooBig { .. })
        ));
        assert!(take(std::io::repeat(b' '), 10_000_000, &mut taken).is_err());
    }

    #[test]
    fn other_zips_are_refused_by_name() {
        assert!(matches!(
            unpack(&zip_of(&[("letter.txt", b"x")])),
            Err(SheetFault::NotASheet { .. })
        ));
        assert!(matches!(
            unpack(&zip_of(&[
                ("xl/workbook.bin", b"x"),
                ("[Content_Types].xml", b"x")
            ])),
            Err(SheetFault::OldForm { .. })
        ));
    }
}
