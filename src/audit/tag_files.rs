//! Reading the tag files of a bag: everything outside the payload that says how the payload should be.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::bagit::Declaration;
use crate::format::bagit::Manifest;
use crate::format::bagit::Part;
use crate::format::bagit::Version;
use crate::format::bagit::bag_info;
use crate::format::bagit::bag_info::BagInfo;
use crate::format::bagit::declaration;
use crate::format::bagit::fetch;
use crate::format::bagit::layout::PAYLOAD;
use crate::format::bagit::manifest;
use crate::store::Holding;
use std::io::Read;

/// Longest text that is read whole; `bag-info.txt` and its like have a few hundred bytes.
const LONGEST_TEXT: u64 = 16 * 1024 * 1024;

/// What the tag files of a bag say.
#[derive(Debug, Default)]
pub(crate) struct TagFiles {
    pub(crate) declaration: Declaration,
    pub(crate) info: BagInfo,
    /// The payload manifests, in the order of their names.
    pub(crate) manifests: Vec<Manifest>,
    /// The tag manifests, in the order of their names.
    pub(crate) tag_manifests: Vec<Manifest>,
    pub(crate) fetch: Vec<fetch::Item>,
    pub(crate) has_declaration: bool,
    pub(crate) has_fetch: bool,
}

impl TagFiles {
    /// Returns the version that the bag declares.
    pub(crate) const fn version(&self) -> Version {
        self.declaration.version
    }
}

/// Reads all tag files that the rules of BagIt know.
pub(crate) fn read(holding: &dyn Holding, concerns: &mut ConcernList) -> TagFiles {
    let mut tags = TagFiles::default();
    if let Some(bytes) = bytes(holding, declaration::FILE, concerns) {
        tags.has_declaration = true;
        tags.declaration = declaration::read(&bytes, concerns);
    }
    let version = tags.version();
    for (position, entry) in holding.entries().iter().enumerate() {
        match Part::of(&entry.path, version) {
            Part::PayloadManifest { .. } => {
                tags.manifests
                    .extend(manifest(holding, position, &tags.declaration, concerns));
            }
            Part::TagManifest { .. } => {
                tags.tag_manifests
                    .extend(manifest(holding, position, &tags.declaration, concerns));
            }
            Part::Info => {
                if let Some(text) = text(holding, &entry.path, &tags.declaration, concerns) {
                    tags.info = bag_info::read(&text, &entry.path, version, concerns);
                }
            }
            Part::Fetch => {
                tags.has_fetch = true;
                if let Some(text) = text(holding, &entry.path, &tags.declaration, concerns) {
                    tags.fetch = fetch::read(&text, version, concerns);
                }
            }
            Part::Payload | Part::Declaration | Part::OtherTag => {}
        }
    }
    tags
}

/// Tells whether a path is below `data/`.
pub(crate) fn is_payload(path: &str) -> bool {
    path.starts_with(PAYLOAD)
}

fn manifest(
    holding: &dyn Holding,
    position: usize,
    declaration: &Declaration,
    concerns: &mut ConcernList,
) -> Option<Manifest> {
    let file = &holding.entries().get(position)?.path;
    let reader = match holding.open(position) {
        Ok(reader) => reader,
        Err(error) => return unreadable(file, &error.to_string(), concerns),
    };
    let read = manifest::read(
        reader,
        file,
        declaration.version,
        declaration.encoding,
        concerns,
    );
    read.map_or_else(|error| unreadable(file, &error.to_string(), concerns), Some)
}

fn text(
    holding: &dyn Holding,
    file: &str,
    declaration: &Declaration,
    concerns: &mut ConcernList,
) -> Option<String> {
    let bytes = bytes(holding, file, concerns)?;
    let Ok(decoded) = declaration.encoding.decode(&bytes) else {
        concerns.stop(
            "bag-tag-file-undecodable",
            Place::file(file),
            "The file has bytes that mean nothing in the declared encoding.",
            "Take the file from another copy of the bag.",
        );
        return None;
    };
    if decoded.needless_mark {
        // Forbidden from version 1.0 on; the drafts did not say. [RFC8493 2.3]
        let tell = if declaration.version.is_strict() {
            ConcernList::stop
        } else {
            ConcernList::warning
        };
        tell(
            concerns,
            "bag-byte-order-mark",
            Place::file(file),
            "The file begins with an invisible mark (byte order mark) that the rules forbid.".to_owned(),
            "A text editor probably added it when the file was saved. Take the file from another copy.".to_owned(),
        );
    }
    Some(decoded.text.into_owned())
}

/// Reads a whole file of a holding, when it is there; that it cannot be read is told.
pub(crate) fn bytes(
    holding: &dyn Holding,
    file: &str,
    concerns: &mut ConcernList,
) -> Option<Vec<u8>> {
    let position = holding.position(file)?;
    let mut bytes = Vec::new();
    let read = holding.open(position).map(|reader| {
        let limit = LONGEST_TEXT.saturating_add(1);
        reader.take(limit).read_to_end(&mut bytes)
    });
    let fault = match read {
        Err(error) => error.to_string(),
        Ok(Err(error)) => error.to_string(),
        Ok(Ok(count)) if u64::try_from(count).is_ok_and(|count| count > LONGEST_TEXT) => {
            format!("it has more than {LONGEST_TEXT} bytes, far too many for such a file")
        }
        Ok(Ok(_)) => return Some(bytes),
    };
    unreadable(file, &fault, concerns)
}

fn unreadable<T>(file: &str, why: &str, concerns: &mut ConcernList) -> Option<T> {
    concerns.stop(
        "bag-tag-file-unreadable",
        Place::file(file),
        format!("The file could not be read: {why}."),
        "Take the file from another copy of the bag.",
    );
    None
}
