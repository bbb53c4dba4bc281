//! Private facts in packets of others: places, serial numbers, owners, hidden pictures. Found by name, and cut from the
//! text where a copy leaves the house.

use super::vocabulary::IPTC_CORE;
use crate::format::container;
use roxmltree::Node;
use std::ops::Range;

/// Where a private fact stands, and what it is in plain words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PrivateFact {
    pub(super) range: Range<usize>,
    pub(super) what: &'static str,
}

/// Words for a place, used by readers to tell it from other private facts. A fact has the same words here and in the container, so
/// that a file that says it in both places is listed once.
pub(super) const PLACE: &str = container::PrivateFact::Place.words();

/// Namespaces of hidden second pictures, sounds and depth maps that telephones store inside a picture. [Google camera
/// formats, developers.google.com]
const HIDDEN: [&str; 3] = [
    "http://ns.google.com/photos/1.0/image/",
    "http://ns.google.com/photos/1.0/audio/",
    "http://ns.google.com/photos/1.0/depthmap/",
];

/// Returns all private facts under an element, as attributes or elements at any depth.
pub(super) fn find(rdf: Node<'_, '_>) -> Vec<PrivateFact> {
    let mut facts = Vec::new();
    for node in rdf.descendants().filter(Node::is_element) {
        for attribute in node.attributes() {
            if let Some(what) = kind(attribute.namespace(), attribute.name()) {
                let range = attribute.range();
                facts.push(PrivateFact { range, what });
            }
        }
        if let Some(what) = kind(node.tag_name().namespace(), node.tag_name().name()) {
            let range = node.range();
            facts.push(PrivateFact { range, what });
        }
    }
    facts
}

/// Serial numbers and positions have many homes (`exif`, `exifEX`, `aux`, makers' own), so the name decides, not the namespace.
/// [CIPA DC-008 4.6.5, 4.6.6; CIPA DC-010]
fn kind(namespace: Option<&str>, local: &str) -> Option<&'static str> {
    let namespace = namespace?;
    let plain = local.to_ascii_lowercase();
    if plain.starts_with("gps") {
        return Some(PLACE);
    }
    if plain.contains("serialnumber") {
        return Some(container::PrivateFact::SerialNumber.words());
    }
    if plain.contains("ownername") {
        return Some(container::PrivateFact::OwnerName.words());
    }
    if plain == "makernote" {
        return Some(container::PrivateFact::MakerNotes.words());
    }
    if plain == "filepath" {
        return Some("where a file was kept on somebody's computer");
    }
    if plain == "thumbnails" {
        return Some("a small picture stored beside the picture");
    }
    if namespace == IPTC_CORE.uri && plain == "creatorcontactinfo" {
        return Some("how to reach somebody");
    }
    HIDDEN
        .contains(&namespace)
        .then_some(container::PrivateFact::Trailer.words())
}
