//! Embedding that never harms: described copies of every kind of file that kithbag writes into, checked byte by byte.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::too_many_lines,
    reason = "a test may fail loudly, and a list of drawn files is as long as the list"
)]

mod disk;
mod drawn;
mod hostile;
mod matrix;
mod outgoing;
mod reading_back;
mod real;
mod shown;

use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::format::container::Anatomy;
use kithbag::format::container::ContainerError;
use kithbag::format::container::Inscription;
use kithbag::format::container::SpliceError;
use kithbag::format::container::SpliceOptions;
use kithbag::format::container::SplicedCopy;
use kithbag::format::container::Target;
use kithbag::format::container::UndoNote;
use kithbag::format::container::Undone;
use kithbag::format::container::examine;
use kithbag::format::container::picture_digest;
use kithbag::format::container::splice;
use kithbag::format::xmp;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::Portrait;
use kithbag::record::PortraitNumber;
use kithbag::record::RECORD_VERSION;
use kithbag::record::Scan;
use std::io::Cursor;

/// Returns a record of one portrait with its scan; `words` stand in its notes.
fn record(words: &str) -> Collection {
    Collection {
        record_version: RECORD_VERSION,
        portraits: vec![Portrait {
            number: PortraitNumber::new("A-001"),
            shows: Answer::Given("woman with a brooch <&\"> Женщина אישה 𠮷".to_owned()),
            notes: Answer::Given(words.to_owned()),
            ..Portrait::default()
        }],
        scans: vec![Scan {
            file: "scan 1.jpg".to_owned(),
            portrait: Answer::Given(PortraitNumber::new("A-001")),
            ..Scan::default()
        }],
        ..Collection::default()
    }
}

fn packet_of(
    existing: Option<&str>,
    record: &Collection,
    drop_private: bool,
    inscription: &Inscription<'_>,
) -> Result<String, xmp::PacketError> {
    let context = xmp::PacketContext {
        picture_digest: Some(inscription.picture_digest.clone()),
        source_sha256: inscription.source_sha256.clone(),
        undo: Some(inscription.undo.to_owned()),
        tool: "kithbag test".to_owned(),
        drop_private,
        ..xmp::PacketContext::default()
    };
    xmp::write(existing, record, &context).map(|written| written.packet)
}

type Spliced = Result<(Vec<u8>, SplicedCopy), SpliceError<xmp::PacketError>>;

/// Describes a file as it lies, whatever is in it already.
fn describe(original: &[u8], record: &Collection, drop_private: bool) -> Spliced {
    let anatomy = examine(&mut Cursor::new(original))?;
    describe_with(
        &mut Cursor::new(original),
        &anatomy,
        anatomy.packet.as_deref(),
        record,
        drop_private,
    )
}

fn describe_with<R: std::io::Read + std::io::Seek>(
    source: &mut R,
    anatomy: &Anatomy,
    packet: Option<&[u8]>,
    record: &Collection,
    drop_private: bool,
) -> Spliced {
    let existing = match packet.map(xmp::screen) {
        None => None,
        Some(Ok(text)) => Some(text.into_owned()),
        Some(Err(fault)) => return Err(SpliceError::Compose(fault.into())),
    };
    let private = match existing.as_deref().map(xmp::read) {
        None => Vec::new(),
        Some(Ok(embedded)) => embedded.private_found,
        Some(Err(fault)) => return Err(SpliceError::Compose(fault.into())),
    };
    let options = SpliceOptions {
        drop_private,
        also_dropped: if drop_private { private } else { Vec::new() },
        algorithms: vec![Algorithm::Sha256, Algorithm::Sha512],
        threads: 1,
        held: true,
    };
    let mut copy = Vec::new();
    let done = splice(
        source,
        anatomy,
        &options,
        &mut |inscription| packet_of(existing.as_deref(), record, drop_private, inscription),
        Target::unread(&mut copy),
    )?;
    Ok((copy, done))
}

/// Describes a described copy anew: undone first, as the stage does.
fn describe_again(copy: &[u8], record: &Collection) -> Spliced {
    let anatomy = examine(&mut Cursor::new(copy))?;
    let note = note(&anatomy);
    let mut cursor = Cursor::new(copy);
    let mut undone = Undone::new(&mut cursor, &note)?;
    let before = examine(&mut undone)?;
    describe_with(
        &mut undone,
        &before,
        anatomy.packet.as_deref(),
        record,
        false,
    )
}

fn embedded(anatomy: &Anatomy) -> xmp::Embedded {
    let text = xmp::screen(anatomy.packet.as_deref().unwrap()).unwrap();
    xmp::read(&text).unwrap()
}

fn note(anatomy: &Anatomy) -> UndoNote {
    UndoNote::parse(&embedded(anatomy).undo.unwrap()).unwrap()
}

fn undo(copy: &[u8]) -> Result<Vec<u8>, ContainerError> {
    let anatomy = examine(&mut Cursor::new(copy))?;
    let note = note(&anatomy);
    let mut back = Vec::new();
    Undone::new(&mut Cursor::new(copy), &note)?.write(&mut back)?;
    Ok(back)
}

/// Describes a file and checks everything that can be checked of the copy.
fn check_described(name: &str, original: &[u8], record: &Collection) -> Vec<u8> {
    let before =
        examine(&mut Cursor::new(original)).unwrap_or_else(|error| panic!("{name}: {error}"));
    let (copy, done) = describe(original, record, false)
        .unwrap_or_else(|error| panic!("{name}: {error} {error:?}"));
    assert_eq!(done.length, copy.len() as u64, "{name}");
    assert_eq!(
        done.source_sha256,
        Digest::of(Algorithm::Sha256, original),
        "{name}"
    );
    assert_eq!(
        done.digests[0],
        Digest::of(Algorithm::Sha256, &copy),
        "{name}"
    );
    assert_eq!(
        done.digests[1],
        Digest::of(Algorithm::Sha512, &copy),
        "{name}"
    );
    let digest = picture_digest(&mut Cursor::new(original), &before).unwrap();
    assert_eq!(done.picture_digest, digest, "{name}");
    let after = examine(&mut Cursor::new(&copy)).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert_eq!(
        picture_digest(&mut Cursor::new(&copy), &after).unwrap(),
        digest,
        "{name}"
    );
    assert_eq!(after.refusal, None, "{name}");
    assert_eq!(
        (&after.exif, &after.iim, &after.icc, after.pages),
        (&before.exif, &before.iim, &before.icc, before.pages),
        "{name}"
    );
    let said = embedded(&after);
    assert_eq!(
        said.record.as_ref(),
        Some(record),
        "{name}: {:?}",
        said.record_fault
    );
    assert_eq!(said.picture_digest, Some(digest), "{name}");
    assert_eq!(
        said.source_sha256.as_ref(),
        Some(&done.source_sha256),
        "{name}"
    );
    assert!(note(&after).blanked().is_empty(), "{name}");
    assert!(
        undo(&copy).unwrap_or_else(|error| panic!("{name}: {error}")) == original,
        "{name}: undone bytes differ"
    );
    assert_same_pixels(name, original, &copy);
    copy
}

/// An independent decoder must see the same pixels, or fail in the same way.
fn assert_same_pixels(name: &str, original: &[u8], copy: &[u8]) {
    match (
        image::load_from_memory(original),
        image::load_from_memory(copy),
    ) {
        (Ok(before), Ok(after)) => assert!(before == after, "{name}: pixels differ"),
        (Err(_), Err(_)) => {}
        (before, after) => panic!("{name}: {:?} and {:?}", before.err(), after.err()),
    }
}

/// Describes a file for somebody else and checks that private facts are gone and nothing else has moved.
fn check_blanked(name: &str, original: &[u8], record: &Collection) -> Vec<u8> {
    let before = examine(&mut Cursor::new(original)).unwrap();
    let (copy, done) = describe(original, record, true)
        .unwrap_or_else(|error| panic!("{name}: {error} {error:?}"));
    assert_eq!(done.dropped, before.private_facts(), "{name}");
    let after = examine(&mut Cursor::new(&copy)).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert_eq!(after.private_facts(), [], "{name}");
    assert!(embedded(&after).private_found.is_empty(), "{name}");
    let digest = picture_digest(&mut Cursor::new(original), &before).unwrap();
    assert_eq!(
        picture_digest(&mut Cursor::new(&copy), &after).unwrap(),
        digest,
        "{name}"
    );
    assert_same_pixels(name, original, &copy);
    let note = note(&after);
    assert_eq!(note.blanked().is_empty(), done.can_be_undone, "{name}");
    // What undoing gives back then has the original's length and picture.
    let back = undo(&copy).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert_eq!(back.len(), original.len(), "{name}");
    if done.can_be_undone {
        assert!(back == original, "{name}: undone bytes differ");
    } else {
        assert!(back != original, "{name}: private facts came back");
        assert_eq!(embedded(&after).source_sha256, None, "{name}");
    }
    copy
}
