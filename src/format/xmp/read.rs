//! Reads what a packet says: what ordinary viewers show, and our own block.

use super::PacketFault;
use super::private;
use super::rdf;
use super::screen;
use super::value::Property;
use super::value::Value;
use super::vocabulary::DC;
use super::vocabulary::IPTC;
use super::vocabulary::KITHBAG;
use super::vocabulary::Name;
use super::vocabulary::PHOTOSHOP;
use super::vocabulary::XMP;
use super::vocabulary::own;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::record::Collection;
use crate::record::RECORD_VERSION;

/// What a packet says.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Embedded {
    /// The title, as an ordinary viewer shows it.
    pub title: Option<String>,
    /// The description, as an ordinary viewer shows it.
    pub description: Option<String>,
    /// Titles in all languages, the one that is shown first.
    pub titles: Vec<String>,
    /// Descriptions in all languages, the one that is shown first.
    pub descriptions: Vec<String>,
    /// The people named as shown in the picture.
    pub persons: Vec<String>,
    /// Keywords.
    pub subjects: Vec<String>,
    /// Who made the picture.
    pub creators: Vec<String>,
    /// The rights, as an ordinary viewer shows them.
    pub rights: Option<String>,
    /// When what is shown took place.
    pub date_created: Option<String>,
    /// When the file was made.
    pub digitised: Option<String>,
    /// Our word for the certainty of the sitter.
    pub certainty: Option<String>,
    /// The version of the record's form; present exactly when there is a block of ours.
    pub record_version: Option<u32>,
    /// The record of the portrait and its scan.
    pub record: Option<Collection>,
    /// Why a record that is there could not be read, in plain words.
    pub record_fault: Option<String>,
    /// What gives the original's bytes back.
    pub undo: Option<String>,
    /// The picture digest that was written into the file.
    pub picture_digest: Option<Digest>,
    /// SHA-256 of the original file.
    pub source_sha256: Option<Digest>,
    /// The program that wrote our block.
    pub written_by: Option<String>,
    /// Whether the packet says where the picture was taken.
    pub has_gps: bool,
    /// The private facts in it, in plain words, each once.
    pub private_found: Vec<String>,
}

/// Reads a packet that [`screen()`](super::screen()) has passed. A damaged record of ours does not hide the rest.
///
/// # Errors
/// The packet is not well-formed or holds no RDF.
pub fn read(packet: &str) -> Result<Embedded, PacketFault> {
    let document = screen::parse(packet)?;
    let root = rdf::root(&document)?;
    let properties: Vec<Property> = rdf::properties(root)
        .into_iter()
        .map(|located| located.property)
        .collect();
    let mut embedded = shown(&properties);
    read_own_block(&properties, &mut embedded);
    for fact in private::find(root) {
        embedded.has_gps |= fact.what == private::PLACE;
        if !embedded.private_found.iter().any(|one| one == fact.what) {
            embedded.private_found.push(fact.what.to_owned());
        }
    }
    Ok(embedded)
}

/// Returns every single text of a screened packet outside our own block, with the path of its property: what must be searched
/// before a file with words of others in it leaves the house.
///
/// # Errors
/// The packet is not well-formed or holds no RDF.
pub fn texts_of_others(packet: &str) -> Result<Vec<(String, String)>, PacketFault> {
    let document = screen::parse(packet)?;
    let root = rdf::root(&document)?;
    Ok(rdf::properties(root)
        .into_iter()
        .map(|located| located.property)
        .filter(|property| !KITHBAG.owns(&property.name))
        .flat_map(|property| property.value.leaves(&property.name.qualified()))
        .collect())
}

fn shown(properties: &[Property]) -> Embedded {
    let text = |name: Name| {
        find(properties, &name)
            .and_then(Value::shown)
            .map(str::to_owned)
    };
    let texts = |name: Name| -> Vec<String> {
        find(properties, &name).map_or_else(Vec::new, |value| {
            value.texts().into_iter().map(str::to_owned).collect()
        })
    };
    let alternatives = |name: Name| -> Vec<String> {
        let first = text(name.clone());
        let others = texts(name)
            .into_iter()
            .filter(|one| Some(one) != first.as_ref());
        first.iter().cloned().chain(others).collect()
    };
    Embedded {
        title: text(DC.name("title")),
        description: text(DC.name("description")),
        titles: alternatives(DC.name("title")),
        descriptions: alternatives(DC.name("description")),
        persons: persons(properties),
        subjects: texts(DC.name("subject")),
        creators: texts(DC.name("creator")),
        rights: text(DC.name("rights")),
        date_created: text(PHOTOSHOP.name("DateCreated")),
        digitised: text(XMP.name("CreateDate")),
        ..Embedded::default()
    }
}

/// Both fields for people, each name once.
fn persons(properties: &[Property]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let plain = find(properties, &IPTC.name("PersonInImage")).map_or_else(Vec::new, Value::texts);
    let detailed = match find(properties, &IPTC.name("PersonInImageWDetails")) {
        Some(Value::Array(_, items)) => items
            .iter()
            .filter_map(|item| item.value.field(&IPTC.name("PersonName"))?.shown())
            .collect(),
        _ => Vec::new(),
    };
    for name in plain.into_iter().chain(detailed) {
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

fn read_own_block(properties: &[Property], embedded: &mut Embedded) {
    let text = |name: &Name| find(properties, name).and_then(Value::shown);
    if !properties.iter().any(|one| KITHBAG.owns(&one.name)) {
        return;
    }
    let version = text(&own::RECORD_VERSION).and_then(|version| version.parse().ok());
    embedded.record_version = Some(version.unwrap_or_default());
    embedded.certainty = text(&own::CERTAINTY).map(str::to_owned);
    embedded.undo = text(&own::UNDO).map(str::to_owned);
    embedded.written_by = text(&own::WRITTEN_BY).map(str::to_owned);
    embedded.picture_digest = text(&own::PICTURE_DIGEST).and_then(labelled_digest);
    embedded.source_sha256 =
        text(&own::SOURCE_SHA256).and_then(|hex| Digest::from_hex(Algorithm::Sha256, hex));
    match record(version, text(&own::RECORD)) {
        Ok(record) => embedded.record = Some(record),
        Err(why) => embedded.record_fault = Some(why),
    }
}

fn record(version: Option<u32>, json: Option<&str>) -> Result<Collection, String> {
    let version = version.ok_or("the record inside the file does not say its version")?;
    if version > RECORD_VERSION {
        return Err(format!(
            "the record inside the file is of version {version}; this program reads up to {RECORD_VERSION}"
        ));
    }
    let json = json.ok_or("the record inside the file is missing")?;
    serde_json::from_str(json)
        .map_err(|error| format!("the record inside the file is damaged: {error}"))
}

/// Reads `sha256:` and the value.
fn labelled_digest(text: &str) -> Option<Digest> {
    let (algorithm, hex) = text.split_once(':')?;
    Digest::from_hex(Algorithm::named(algorithm)?, hex)
}

fn find<'a>(properties: &'a [Property], name: &Name) -> Option<&'a Value> {
    properties
        .iter()
        .find(|property| &property.name == name)
        .map(|property| &property.value)
}
