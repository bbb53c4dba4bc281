//! Words that other programs wrote into a scan: captions, names, comments, in every place where viewers look for them.

use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::exif;
use crate::format::iim;
use crate::format::xmp;
use crate::store;
use crate::store::StoreError;
use std::io::Cursor;
use std::io::Read;
use std::path::Path;

/// Files up to this length are read into memory at once, in bytes.
const SMALL: u64 = 16 * 1024 * 1024;

/// Where words stand in a file, and the words.
pub(super) type Caption = (String, String);

/// What was found in one file.
#[derive(Debug, Default)]
pub(super) struct Captions {
    pub(super) texts: Vec<Caption>,
    /// The record that kithbag wrote into it earlier, as text.
    pub(super) own_record: Option<String>,
    /// Whether the file is of a kind into which kithbag can look.
    pub(super) was_looked_into: bool,
}

/// Reads the words of others in a file.
///
/// # Errors
/// Gives the disk's error.
pub(super) fn read(path: &Path) -> Result<Captions, StoreError> {
    let mut source = store::open(path)?;
    let anatomy = if source.length() > SMALL {
        container::examine(&mut source)
    } else {
        let mut bytes = Vec::new();
        source
            .by_ref()
            .take(SMALL)
            .read_to_end(&mut bytes)
            .map_err(|source| StoreError::Disk {
                act: "read",
                path: path.to_owned(),
                source,
            })?;
        container::examine(&mut Cursor::new(bytes))
    };
    source.confirm_unchanged()?;
    Ok(anatomy.as_ref().map_or_else(|_| Captions::default(), of))
}

fn of(anatomy: &Anatomy) -> Captions {
    let mut captions = Captions {
        was_looked_into: true,
        ..Captions::default()
    };
    if let Some(packet) = &anatomy.packet {
        in_packet(packet, &mut captions);
    }
    if let Some(block) = &anatomy.exif {
        in_exif(block, &mut captions.texts);
    }
    if let Some(block) = &anatomy.iim {
        in_iim(block, &mut captions.texts);
    }
    captions
}

/// A packet that cannot be read is searched as it stands.
fn in_packet(packet: &[u8], captions: &mut Captions) {
    let screened = xmp::screen(packet);
    let texts = screened
        .as_ref()
        .ok()
        .and_then(|packet| xmp::texts_of_others(packet).ok());
    match texts {
        Some(texts) => captions.texts.extend(texts),
        None => captions.texts.push((
            "a description that cannot be read".to_owned(),
            String::from_utf8_lossy(packet).into_owned(),
        )),
    }
    let own = screened.ok().and_then(|packet| xmp::read(&packet).ok());
    captions.own_record = own
        .and_then(|embedded| embedded.record)
        .and_then(|record| serde_json::to_string(&record).ok());
}

fn in_exif(block: &[u8], texts: &mut Vec<Caption>) {
    let facts = exif::capture_facts(block);
    let keywords = (!facts.xp_keywords.is_empty()).then(|| facts.xp_keywords.join("; "));
    let found = [
        ("Exif caption", facts.image_description),
        ("Exif artist", facts.artist),
        ("Exif copyright", facts.copyright),
        ("Exif comment", facts.user_comment),
        ("Exif title", facts.xp_title),
        ("Exif second comment", facts.xp_comment),
        ("Exif author", facts.xp_author),
        ("Exif keywords", keywords),
        ("Exif subject", facts.xp_subject),
    ];
    texts.extend(
        found
            .into_iter()
            .filter_map(|(place, text)| Some((place.to_owned(), text?))),
    );
}

fn in_iim(block: &[u8], texts: &mut Vec<Caption>) {
    let caption = iim::read(block);
    let one = [
        ("IPTC title", caption.title),
        ("IPTC caption", caption.description),
        ("IPTC copyright", caption.copyright),
    ];
    texts.extend(
        one.into_iter()
            .filter_map(|(place, text)| Some((place.to_owned(), text?))),
    );
    for (place, many) in [
        ("IPTC keywords", caption.keywords),
        ("IPTC author", caption.creators),
    ] {
        texts.extend(many.into_iter().map(|text| (place.to_owned(), text)));
    }
}
