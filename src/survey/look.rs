//! Looks at one file: what it is, its checksums, what its camera and its packets say.

use super::seen::FileSeen;
use super::select;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity;
use crate::fixity::Algorithm;
use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::container::ContainerError;
use crate::format::container::Kind;
use crate::format::exif;
use crate::format::xmp;
use crate::record::Collection;
use crate::store;
use crate::store::DiskErrors;
use crate::store::StoreError;
use crate::store::source::Stamp;
use crate::store::tree::TreeFile;
use std::io;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;

/// Files up to this length are read once into memory and worked on there; longer ones are read twice. Small, so that many
/// threads together stay small.
const IN_MEMORY: u64 = 16 * 1024 * 1024;

/// Endings by which people know pictures, so that a file of such a name that is none is worth a word.
const PICTURE_ENDINGS: [&str; 16] = [
    "jpg", "jpeg", "jpe", "tif", "tiff", "png", "webp", "heic", "heif", "avif", "jp2", "dng",
    "gif", "bmp", "psd", "raw",
];

/// What looking at one file gave.
#[derive(Debug, Default)]
pub(super) struct Look {
    /// What was seen, when it is a picture.
    pub(super) seen: Option<FileSeen>,
    /// What was noticed.
    pub(super) concerns: ConcernList,
    /// The record of kithbag's in it.
    pub(super) record: Option<Box<Collection>>,
    /// What tells whether the file is still the same.
    pub(super) stamp: Option<Stamp>,
}

/// Looks at one file. Nothing that is wrong with it stops anything.
pub(super) fn look(file: &TreeFile) -> Look {
    let mut look = Look::default();
    if let Err(error) = look_inside(file, &mut look) {
        look.concerns.warning(
            "unreadable-file",
            Place::file(&file.path),
            format!("This file could not be read: {}.", reason(&error)),
            "Check that you may open it and that the disk is sound, then run this again.",
        );
    }
    look
}

fn reason(error: &StoreError) -> String {
    match error {
        StoreError::Disk { source, .. } => source.to_string(),
        other => other.to_string(),
    }
}

fn look_inside(file: &TreeFile, look: &mut Look) -> Result<(), StoreError> {
    let mut source = store::open(&file.full_path)?;
    let length = source.length();
    if length > IN_MEMORY {
        look_at(file, length, &mut source, look).while_doing("read", &file.full_path)?;
    } else {
        let mut bytes = Vec::new();
        source
            .by_ref()
            .take(IN_MEMORY)
            .read_to_end(&mut bytes)
            .while_doing("read", &file.full_path)?;
        look_at(file, length, &mut Cursor::new(bytes), look)
            .while_doing("read", &file.full_path)?;
    }
    look.stamp = Some(source.stamp());
    source.confirm_unchanged()
}

fn look_at<R: Read + Seek>(
    file: &TreeFile,
    length: u64,
    source: &mut R,
    look: &mut Look,
) -> io::Result<()> {
    let mut head = Vec::new();
    let head_length = u64::try_from(container::HEAD_LENGTH).unwrap_or(u64::MAX);
    source.by_ref().take(head_length).read_to_end(&mut head)?;
    let Some(kind) = container::sniff(&head).filter(|kind| *kind != Kind::Pdf) else {
        report_no_picture(file, &head, look);
        return Ok(());
    };
    source.seek(SeekFrom::Start(0))?;
    let (digests, _) = fixity::digest_all(&mut *source, &[Algorithm::Sha256])?;
    let mut seen = FileSeen {
        file: file.path.clone(),
        bytes: length,
        format: kind.name().to_owned(),
        can_be_described: kind.can_be_described(),
        sha256: digests.first().map(|digest| digest.hex().to_owned()),
        ..FileSeen::default()
    };
    report_ending(file, kind, look);
    if let Some(why) = kind.why_not() {
        report_undescribed(file, kind.name(), why, look);
    } else {
        match container::examine(source) {
            Ok(anatomy) => take_anatomy(file, source, &anatomy, &mut seen, look)?,
            Err(error) => {
                seen.can_be_described = false;
                report_fault(file, error, look)?;
            }
        }
    }
    look.seen = Some(seen);
    Ok(())
}

fn take_anatomy<R: Read + Seek>(
    file: &TreeFile,
    source: &mut R,
    anatomy: &Anatomy,
    seen: &mut FileSeen,
    look: &mut Look,
) -> io::Result<()> {
    seen.width = (anatomy.width > 0).then_some(anatomy.width);
    seen.height = (anatomy.height > 0).then_some(anatomy.height);
    seen.colour = Some(anatomy.colour_words());
    seen.is_grey = anatomy.colour == container::Colour::Grey;
    seen.claimed_ppi = anatomy
        .resolution
        .and_then(|resolution| whole(resolution.x.min(resolution.y)));
    seen.orientation = anatomy.orientation;
    let words = anatomy.private_facts().into_iter().map(|fact| fact.words());
    seen.private_found = words.map(str::to_owned).collect();
    match container::picture_digest(source, anatomy) {
        Ok(digest) => seen.picture_digest = Some(digest.hex().to_owned()),
        Err(error) => report_fault(file, error, look)?,
    }
    report_flaws(file, anatomy, look);
    if let Some(refusal) = anatomy.refusal {
        seen.can_be_described = false;
        report_undescribed(file, &seen.format, refusal.why, look);
    }
    if let Some(exif) = &anatomy.exif {
        let facts = exif::capture_facts(exif);
        // The day is enough; the clock of a camera is seldom right to the minute.
        seen.made_on = facts
            .taken_on
            .or(facts.digitised_on)
            .and_then(|time| time.split('T').next().map(str::to_owned));
        seen.made_with = facts.made_with;
    }
    if let Some(packet) = &anatomy.packet {
        take_packet(file, packet, seen, look);
    }
    report_private(file, seen, look);
    report_turned(file, seen, look);
    Ok(())
}

/// Reads what a packet says; a damaged one is worth a word and nothing more.
fn take_packet(file: &TreeFile, packet: &[u8], seen: &mut FileSeen, look: &mut Look) {
    let embedded = match xmp::screen(packet).and_then(|text| xmp::read(&text)) {
        Ok(embedded) => embedded,
        Err(fault) => {
            look.concerns.note(
                "damaged-packet",
                Place::file(&file.path),
                format!("The words inside this file (XMP) cannot be read: {fault}."),
                "The picture is not concerned. What the words said may stand in your own notes.",
            );
            return;
        }
    };
    for fact in embedded.private_found {
        if !seen.private_found.contains(&fact) {
            seen.private_found.push(fact);
        }
    }
    seen.is_described = embedded.record_version.is_some();
    if let Some(fault) = embedded.record_fault {
        look.concerns.warning(
            "damaged-record",
            Place::file(&file.path),
            format!("This described copy holds a record that cannot be read: {fault}."),
            "Fill its row in the catalogue by hand, or take another copy of it.",
        );
    }
    look.record = embedded.record.map(Box::new);
}

/// Returns a number as a whole one, rounded.
pub(super) fn whole(number: f64) -> Option<u32> {
    // A float is written without exponent, so this is exact and needs no cast.
    (number.is_finite() && number >= 0.0)
        .then(|| format!("{number:.0}").parse().ok())
        .flatten()
}

fn report_no_picture(file: &TreeFile, head: &[u8], look: &mut Look) {
    let named_so =
        select::ending(&file.path).is_some_and(|ending| PICTURE_ENDINGS.contains(&ending.as_str()));
    if !named_so {
        return;
    }
    let what = if head.is_empty() {
        "This file has the name of a picture and is empty."
    } else {
        "This file has the name of a picture, but its content is something else or is damaged."
    };
    look.concerns.warning(
        "not-a-picture",
        Place::file(&file.path),
        what,
        "Take it from the camera, scanner or another copy again, or move it out of the collection.",
    );
}

fn report_ending(file: &TreeFile, kind: Kind, look: &mut Look) {
    let Some(ending) = select::ending(&file.path) else {
        return;
    };
    let usual = match kind {
        Kind::Jpeg => ["jpg", "jpeg", "jpe"].contains(&ending.as_str()),
        Kind::Tiff | Kind::BigTiff => ending.starts_with("tif"),
        Kind::Heif => ["heic", "heif", "hif"].contains(&ending.as_str()),
        Kind::Jpeg2000 => ending.starts_with('j'),
        Kind::Raw | Kind::Dng => return,
        other => ending == other.extension(),
    };
    if !usual && PICTURE_ENDINGS.contains(&ending.as_str()) {
        look.concerns.note(
            "name-and-content-differ",
            Place::file(&file.path),
            format!(
                "This file is named “.{ending}”, but it is a {} file.",
                kind.name()
            ),
            "Nothing need be done; described copies get the right ending.",
        );
    }
}

fn report_undescribed(file: &TreeFile, format: &str, why: &str, look: &mut Look) {
    look.concerns.warning(
        "cannot-be-described",
        Place::file(&file.path),
        format!("Nothing can be written into a copy of this {format} file: {why}."),
        "Its record will be put into a file beside it. If you can, also save the picture as JPEG or TIFF.",
    );
}

fn report_fault(file: &TreeFile, error: ContainerError, look: &mut Look) -> io::Result<()> {
    if let ContainerError::Read(error) = error {
        return Err(error);
    }
    let mut place = Place::file(&file.path);
    place.offset = error.offset();
    let damaged = matches!(error, ContainerError::Format { .. });
    if damaged {
        look.concerns.warning(
            "damaged-picture",
            place,
            format!("This picture is damaged or cut short: {error}."),
            "Take it from the camera, scanner or another copy again; this file cannot be made whole.",
        );
    } else {
        look.concerns.warning(
            "picture-not-understood",
            place,
            format!("This picture holds something that kithbag does not handle: {error}."),
            "Its record will be put into a file beside it. If you can, also save the picture as an ordinary JPEG or TIFF.",
        );
    }
    Ok(())
}

/// Tells the gravest of what is not as it should be in a picture that can be looked at all the same.
fn report_flaws(file: &TreeFile, anatomy: &Anatomy, look: &mut Look) {
    let is_cut = |why: &str| why.contains("cut short") || why.contains("no end marker");
    let cut = anatomy.flaws.iter().find(|flaw| is_cut(flaw.why));
    let Some(flaw) = cut.or(anatomy.flaws.first()) else {
        return;
    };
    let mut place = Place::file(&file.path);
    place.offset = Some(flaw.offset);
    if cut.is_some() {
        look.concerns.warning(
            "damaged-picture",
            place,
            format!("This picture is damaged or cut short: {}.", flaw.why),
            "Take it from the camera, scanner or another copy again; this file cannot be made whole.",
        );
    } else {
        look.concerns.note(
            "odd-picture",
            place,
            format!("This file is not quite as it should be: {}.", flaw.why),
            "Nothing need be done; if some program cannot show it, this may be why.",
        );
    }
}

fn report_private(file: &TreeFile, seen: &FileSeen, look: &mut Look) {
    let (places, others): (Vec<&String>, Vec<&String>) = seen
        .private_found
        .iter()
        .partition(|fact| fact.starts_with("place"));
    if !places.is_empty() {
        look.concerns.warning(
            "place-in-file",
            Place::file(&file.path),
            "This file tells where it was photographed, perhaps the inside of a home.",
            "The original stays as it is. The place is taken out of every copy for an archive, the family or the public.",
        );
    }
    if !others.is_empty() {
        let list: Vec<&str> = others.iter().map(|fact| fact.as_str()).collect();
        look.concerns.note(
            "private-facts-in-file",
            Place::file(&file.path),
            format!("This file holds: {}.", list.join(", ")),
            "The original stays as it is. These are taken out of every copy that leaves your own storage.",
        );
    }
}

/// Tag 274: 1 is upright; 2 to 8 are turned or mirrored. [TIFF6 8 Orientation]
fn report_turned(file: &TreeFile, seen: &FileSeen, look: &mut Look) {
    let how = match seen.orientation {
        Some(3) => "upside down",
        Some(6 | 8) => "on its side",
        Some(2 | 4 | 5 | 7) => "mirrored",
        Some(0 | 9..) => "in a way that no standard knows",
        _ => return,
    };
    look.concerns.note(
        "turned-by-tag",
        Place::file(&file.path),
        format!("The picture is stored {how}, and only a mark in the file sets it right."),
        "Nothing need be done: viewing copies are turned upright, the original stays.",
    );
}
