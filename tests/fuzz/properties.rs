//! What must hold of every parser for whatever bytes it is given: no panic, and more than that.
//!
//! One function for each parser. The coverage-guided targets beside this file call them, and so does `tests/hostile.rs`, which needs no
//! other compiler: it gives them sound files with damage of many kinds, and everything that was ever found.

use kithbag::concern::ConcernList;
use kithbag::format::bagit;
use kithbag::format::bagit::TagEncoding;
use kithbag::format::bagit::Version;
use kithbag::format::bagit::manifest;
use kithbag::format::container;
use kithbag::format::container::Inscription;
use kithbag::format::container::SpliceOptions;
use kithbag::format::container::Target;
use kithbag::format::container::UndoNote;
use kithbag::format::container::Undone;
use kithbag::format::exif;
use kithbag::format::gedcom;
use kithbag::format::iim;
use kithbag::format::sheet;
use kithbag::format::ssh_signature;
use kithbag::format::xmp;
use kithbag::format::zip_directory;
use kithbag::portable_path::PortablePath;
use kithbag::record::Bound;
use kithbag::record::DateEntry;
use kithbag::record::Edtf;
use std::convert::Infallible;
use std::io::Cursor;
use std::io::Read;

/// A parser's name, what must hold of it, and the ending of the files that it is begun with.
pub(crate) type Property = (&'static str, fn(&[u8]), &'static [&'static str]);

/// Every parser.
pub(crate) const ALL: &[Property] = &[
    (
        "picture",
        picture,
        &["jpg", "jpeg", "tif", "tiff", "png", "webp"],
    ),
    (
        "private",
        private,
        &["jpg", "jpeg", "tif", "tiff", "png", "webp"],
    ),
    ("packet", packet, &["xmp"]),
    ("capture", capture, &["tif", "tiff"]),
    ("caption", caption, &["jpg"]),
    ("declaration", declaration, &["bagit.txt"]),
    (
        "manifest",
        manifest,
        &[
            "manifest-md5.txt",
            "manifest-sha256.txt",
            "manifest-sha512.txt",
        ],
    ),
    ("bag-info", bag_info, &["bag-info.txt"]),
    ("fetch", fetch, &["fetch.txt"]),
    ("date", date, &["date"]),
    ("csv", csv, &["csv"]),
    ("workbook", workbook, &["xlsx"]),
    ("family-tree", family_tree, &["ged"]),
    ("zip", zip, &["zip", "xlsx"]),
    ("signature", signature, &["sig"]),
];

/// A described copy shows the same picture and gives the original back.
pub(crate) fn picture(bytes: &[u8]) {
    describe(bytes, false);
}

/// A copy whose private facts were blanked shows the same picture and has none of them left.
pub(crate) fn private(bytes: &[u8]) {
    describe(bytes, true);
}

/// Tells whether a copy was made, so that a test can see that sound pictures come through.
pub(crate) fn describe(bytes: &[u8], drop_private: bool) -> bool {
    let mut original = Cursor::new(bytes);
    let Ok(anatomy) = container::examine(&mut original) else {
        return false;
    };
    let Ok(before) = container::picture_digest(&mut original, &anatomy) else {
        return false;
    };
    let mut note = String::new();
    let mut compose = |inscription: &Inscription<'_>| {
        inscription.undo.clone_into(&mut note);
        Ok::<String, Infallible>(packet_with(inscription.undo))
    };
    let mut copy = Vec::new();
    let options = SpliceOptions {
        drop_private,
        ..SpliceOptions::default()
    };
    let target = Target::unread(&mut copy);
    let Ok(spliced) = container::splice(&mut original, &anatomy, &options, &mut compose, target)
    else {
        return false;
    };
    let mut reader = Cursor::new(&copy);
    let described = container::examine(&mut reader).expect("a described copy is a picture");
    let after =
        container::picture_digest(&mut reader, &described).expect("a described copy can be read");
    assert_eq!(before, after, "the picture changed");
    assert_eq!(
        spliced.picture_digest, before,
        "the checksum of the pass is another"
    );
    if drop_private {
        return true;
    }
    let note = UndoNote::parse(&note).expect("a note of our own can be read");
    let mut back = Vec::new();
    let mut undone = Undone::new(&mut reader, &note).expect("a note of our own fits");
    undone.write(&mut back).expect("memory takes everything");
    assert!(back == bytes, "undoing gave other bytes");
    true
}

fn packet_with(undo: &str) -> String {
    let undo = undo
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;");
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?><x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF \
         xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description rdf:about=\"\" xmlns:t=\"urn:test\" \
         t:undo=\"{undo}\"/></rdf:RDF></x:xmpmeta><?xpacket end=\"w\"?>"
    )
}

/// A packet that passes the screen can be read, and gives the same twice.
pub(crate) fn packet(bytes: &[u8]) {
    let Ok(text) = xmp::screen(bytes) else {
        return;
    };
    let first = xmp::read(&text);
    assert_eq!(format!("{first:?}"), format!("{:?}", xmp::read(&text)));
    let _ = xmp::texts_of_others(&text);
}

/// Facts of the camera.
pub(crate) fn capture(bytes: &[u8]) {
    let facts = exif::capture_facts(bytes);
    let _ = facts.private_found();
}

/// Captions of the older form.
pub(crate) fn caption(bytes: &[u8]) {
    let _ = iim::read(bytes).is_empty();
}

/// `bagit.txt`.
pub(crate) fn declaration(bytes: &[u8]) {
    let mut concerns = ConcernList::default();
    let _ = bagit::declaration::read(bytes, &mut concerns);
}

/// A manifest reads alike in one piece and byte by byte, and what was read can be written and read again.
pub(crate) fn manifest(bytes: &[u8]) {
    for version in [Version::V0_97, Version::V1_0] {
        let whole = read_manifest(bytes, version);
        let dripping = read_manifest(Dripping(bytes), version);
        assert_eq!(listed(&whole), listed(&dripping), "chunking mattered");
    }
    let first = read_manifest(bytes, Version::V1_0);
    let entries: Vec<_> = listed(&first)
        .into_iter()
        .filter_map(|(path, digest)| Some((PortablePath::new(&path).ok()?, digest?)))
        .collect();
    let text = manifest::write(entries.iter().map(|(path, digest)| (path, digest)));
    let again = read_manifest(text.as_bytes(), Version::V1_0);
    for (path, digest) in &entries {
        assert_eq!(
            again.digest_of(path.as_str()).as_ref(),
            Some(digest),
            "{path}"
        );
    }
}

fn read_manifest(source: impl Read, version: Version) -> manifest::Manifest {
    let mut concerns = ConcernList::default();
    manifest::read(
        source,
        "manifest-sha256.txt",
        version,
        TagEncoding::UTF_8,
        &mut concerns,
    )
    .expect("memory can be read")
}

fn listed(manifest: &manifest::Manifest) -> Vec<(String, Option<kithbag::fixity::Digest>)> {
    manifest
        .paths()
        .map(|path| (path.to_owned(), manifest.digest_of(path)))
        .collect()
}

/// Gives one byte at a time.
struct Dripping<'a>(&'a [u8]);

impl Read for Dripping<'_> {
    fn read(&mut self, room: &mut [u8]) -> std::io::Result<usize> {
        let count = room.len().min(1);
        self.0.read(&mut room[..count])
    }
}

/// `bag-info.txt`: what was read can be written and read again.
pub(crate) fn bag_info(bytes: &[u8]) {
    let Ok(decoded) = TagEncoding::UTF_8.decode(bytes) else {
        return;
    };
    let mut concerns = ConcernList::default();
    let info = bagit::bag_info::read(&decoded.text, "bag-info.txt", Version::V1_0, &mut concerns);
    let _ = info.oxum();
    let elements: Vec<(&str, &str)> = info
        .elements()
        .iter()
        .map(|element| (element.label.as_str(), element.value.as_str()))
        .collect();
    let plain = elements
        .iter()
        .all(|(label, value)| is_plain(label) && is_plain(value) && !label.contains(':'));
    if plain && !concerns.has_stop() {
        let text = bagit::bag_info::write(&elements);
        let again = bagit::bag_info::read(&text, "bag-info.txt", Version::V1_0, &mut concerns);
        let found: Vec<(&str, &str)> = again
            .elements()
            .iter()
            .map(|element| (element.label.as_str(), element.value.as_str()))
            .collect();
        assert_eq!(elements, found);
    }
}

/// Whether a text stands on one line and keeps its blanks when lines are folded.
fn is_plain(text: &str) -> bool {
    !text.is_empty()
        && text
            .chars()
            .all(|c| !c.is_control() && (!c.is_whitespace() || c == ' '))
        && text.trim() == text
        && !text.contains("  ")
}

/// `fetch.txt`.
pub(crate) fn fetch(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let mut concerns = ConcernList::default();
    let _ = bagit::fetch::read(&text, Version::V1_0, &mut concerns);
}

/// A date that can be read gives itself again, and begins before it ends.
pub(crate) fn date(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Ok(edtf) = Edtf::parse(text) {
        assert_eq!(Edtf::parse(edtf.as_str()).as_ref(), Ok(&edtf));
        let (earliest, latest) = edtf.bounds();
        if let (Bound::Day(first), Bound::Day(last)) = (earliest, latest) {
            assert!(first <= last, "{text} ends before it begins");
        }
        let _ = (
            edtf.in_words(),
            edtf.to_gedcom(),
            edtf.to_xmp(),
            edtf.generous_bounds(),
        );
    }
    if let Ok(entry) = DateEntry::read(text) {
        assert_eq!(
            Edtf::parse(entry.edtf.as_str()).as_ref(),
            Ok(&entry.edtf),
            "{text}"
        );
        assert_eq!(entry.typed, text);
    }
}

/// A sheet that was read can be written and read again, cell by cell.
pub(crate) fn csv(bytes: &[u8]) {
    let Ok(first) = sheet::csv::read("sheet", bytes) else {
        return;
    };
    let written = sheet::write_csv(&first.table);
    let again = sheet::csv::read("sheet", &written).expect("a sheet of our own can be read");
    assert_eq!(first.table.headings, again.table.headings);
    assert_eq!(first.table.rows.len(), again.table.rows.len());
    for (one, other) in first.table.rows.iter().zip(&again.table.rows) {
        for column in 0..one.cells.len().max(other.cells.len()) {
            assert_eq!(one.text(column), other.text(column));
        }
    }
}

/// A workbook.
pub(crate) fn workbook(bytes: &[u8]) {
    let _ = sheet::read_workbook(bytes);
}

/// A family tree.
pub(crate) fn family_tree(bytes: &[u8]) {
    let _ = gedcom::read(bytes);
}

/// The list of a zip file: no entry reaches beyond the file or over another.
pub(crate) fn zip(bytes: &[u8]) {
    let _ = zip_directory::read(&mut Cursor::new(bytes));
}

/// A signature is of these very bytes or of others, and nothing else happens.
pub(crate) fn signature(bytes: &[u8]) {
    assert!(ssh_signature::check(bytes, b"something that nobody signed").is_err());
}
