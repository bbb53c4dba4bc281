//! Words that other programs wrote into a scan: captions, names, comments, in every place where viewers look for them.

use super::hidden::Needles;
use crate::format::container;
use crate::format::container::Anatomy;
use crate::format::exif;
use crate::format::iim;
use crate::format::xmp;
use crate::store;
use crate::store::DiskErrors;
use crate::store::StoreError;
use std::collections::BTreeSet;
use std::io;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
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
    /// The private facts in it, in plain words, each once.
    pub(super) private: BTreeSet<String>,
    /// Which names stand anywhere in its bytes.
    pub(super) hidden: BTreeSet<usize>,
}

/// Reads the words of others in a file, and finds names in its bytes.
///
/// # Errors
/// Gives the disk's error.
pub(super) fn read(path: &Path, needles: &Needles) -> Result<Captions, StoreError> {
    let mut source = store::open(path)?;
    let captions = if source.length() > SMALL {
        let anatomy = container::examine(&mut source);
        source.rewind().while_doing("read", path)?;
        told(anatomy.as_ref().ok(), needles.find(&mut source))
    } else {
        let mut bytes = Vec::new();
        source
            .by_ref()
            .take(SMALL)
            .read_to_end(&mut bytes)
            .while_doing("read", path)?;
        let anatomy = container::examine(&mut Cursor::new(&bytes));
        told(anatomy.as_ref().ok(), needles.find(&*bytes))
    };
    source.confirm_unchanged()?;
    captions.while_doing("read", path)
}

fn told(anatomy: Option<&Anatomy>, hidden: io::Result<BTreeSet<usize>>) -> io::Result<Captions> {
    Ok(Captions {
        hidden: hidden?,
        ..anatomy.map(of).unwrap_or_default()
    })
}

fn of(anatomy: &Anatomy) -> Captions {
    let mut captions = Captions {
        was_looked_into: true,
        private: anatomy
            .private_facts()
            .into_iter()
            .map(|fact| fact.words().to_owned())
            .collect(),
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
    if let Some(embedded) = own {
        captions.private.extend(embedded.private_found);
        captions.own_record = embedded
            .record
            .and_then(|record| serde_json::to_string(&record).ok());
    }
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
