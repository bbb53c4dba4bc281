//! Packets too large for one JPEG segment: the standard packet names an extended one, which lies in further segments.
//! [XMP specification part 3, 1.1.3.1]
//!
//! Joining and splitting move whole properties as text; nothing is interpreted or rewritten.

use super::source::Order;
use super::source::Range;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::xmp;
use roxmltree::Document;
use roxmltree::Node;
use std::collections::BTreeMap;

/// The largest packet that is joined: larger ones are not read anyway.
const PACKET_LIMIT: usize = 3 * 1024 * 1024;
const RDF: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
const NOTE: &str = "http://ns.adobe.com/xmp/note/";

/// One segment of an extended packet.
#[derive(Debug, Clone)]
pub(super) struct Part {
    name: Vec<u8>,
    whole: u64,
    offset: u64,
    bytes: Vec<u8>,
    segment: Range,
}

impl Part {
    /// Reads the payload of a segment: name of 32 hexadecimal digits, length of the whole, place in the whole, bytes.
    pub(super) fn read(payload: &[u8], skip: usize, segment: Range) -> Option<Self> {
        let body = payload.get(skip..)?;
        Some(Self {
            name: body.get(..32)?.to_vec(),
            whole: Order::Big.at(body, 32, 4)?,
            offset: Order::Big.at(body, 36, 4)?,
            bytes: body.get(40..)?.to_vec(),
            segment,
        })
    }

    /// Returns all bytes of its segment, from the marker on.
    pub(super) const fn segment(&self) -> Range {
        self.segment
    }
}

/// What came of joining.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Joined {
    /// The standard packet names no extended one.
    Alone,
    /// Both, joined, and the segments that were used.
    Whole {
        /// The joined packet.
        packet: Vec<u8>,
        /// The segments of the extended part.
        used: Vec<Range>,
    },
    /// The extended packet is missing, or has holes, or cannot be joined.
    Incomplete,
}

/// Joins the extended packet, which the standard one names, into it.
pub(super) fn joined(standard: &[u8], parts: &[Part]) -> Joined {
    let Ok(text) = std::str::from_utf8(standard) else {
        return Joined::Alone;
    };
    let Some(name) = extended_name(text) else {
        return Joined::Alone;
    };
    let mut mine: Vec<&Part> = parts
        .iter()
        .filter(|part| part.name.eq_ignore_ascii_case(name.as_bytes()))
        .collect();
    mine.sort_by_key(|part| part.offset);
    let Some(extended) = whole(&mine) else {
        return Joined::Incomplete;
    };
    let merged = String::from_utf8(extended)
        .ok()
        .and_then(|extended| merged(text, &extended));
    merged.map_or(Joined::Incomplete, |packet| Joined::Whole {
        packet: packet.into_bytes(),
        used: mine.iter().map(|part| part.segment).collect(),
    })
}

/// Finds the 32 hexadecimal digits that name the extended packet, written as attribute or as element.
fn extended_name(text: &str) -> Option<String> {
    if !text.contains("HasExtendedXMP") {
        return None;
    }
    let document = parsed(text)?;
    let name = descriptions(rdf(&document)?).find_map(|description| {
        let element = description
            .children()
            .find(|one| one.has_tag_name((NOTE, "HasExtendedXMP")))
            .and_then(|one| one.text());
        description
            .attribute((NOTE, "HasExtendedXMP"))
            .or(element)
            .map(str::trim)
    })?;
    let sound = name.len() == 32 && name.bytes().all(|byte| byte.is_ascii_hexdigit());
    sound.then(|| name.to_owned())
}

/// Puts the parts together if they follow each other without gap or overlap and make up the whole.
fn whole(parts: &[&Part]) -> Option<Vec<u8>> {
    let expected = usize::try_from(parts.first()?.whole).ok()?;
    if expected > PACKET_LIMIT {
        return None;
    }
    let mut joined = Vec::new();
    for part in parts {
        if usize::try_from(part.offset).ok()? != joined.len() {
            return None;
        }
        joined.extend_from_slice(&part.bytes);
    }
    (joined.len() == expected).then_some(joined)
}

/// Puts the descriptions of the extended packet behind those of the standard one.
fn merged(standard: &str, extended: &str) -> Option<String> {
    let outer = parsed(standard)?;
    let inner = parsed(extended)?;
    let moved: Vec<String> = descriptions(rdf(&inner)?)
        .map(|one| standing_alone(extended, one))
        .collect::<Option<_>>()?;
    let root = rdf(&outer)?;
    let end = closing_tag(standard, root)?;
    let cut = note(root)?;
    Some(format!(
        "{}{}{}{}",
        standard.get(..cut.start)?,
        standard.get(cut.end..end)?,
        moved.concat(),
        standard.get(end..)?
    ))
}

/// Splits a packet so that its standard part has at most `room` bytes. The largest properties go into the extended part.
pub(super) fn split(packet: &str, room: usize) -> Option<(String, String)> {
    /// What the note about the extended packet takes, generously.
    const NOTE_ROOM: usize = 400;
    let document = parsed(packet)?;
    let root = rdf(&document)?;
    let mut properties: Vec<Node<'_, '_>> = descriptions(root)
        .flat_map(|one| one.children().filter(Node::is_element))
        .collect();
    properties.sort_by_key(|one| std::cmp::Reverse(one.range().len()));
    let mut left = packet.len().checked_add(NOTE_ROOM)?;
    let mut moved = BTreeMap::new();
    for property in properties {
        if left <= room {
            break;
        }
        left = left.saturating_sub(property.range().len());
        moved.insert(property.range().start, property);
    }
    if left > room {
        return None;
    }
    let extended = extended_text(packet, root, &moved)?;
    let name = Digest::of(Algorithm::Md5, extended.as_bytes())
        .hex()
        .to_uppercase();
    let standard = standard_text(packet, root, &moved, &name)?;
    Some((standard, extended))
}

fn standard_text(
    packet: &str,
    root: Node<'_, '_>,
    moved: &BTreeMap<usize, Node<'_, '_>>,
    name: &str,
) -> Option<String> {
    let end = closing_tag(packet, root)?;
    let mut text = String::with_capacity(packet.len());
    let mut at = 0;
    for node in moved.values() {
        text.push_str(packet.get(at..node.range().start)?);
        at = node.range().end;
    }
    text.push_str(packet.get(at..end)?);
    let about = descriptions(root)
        .next()
        .and_then(|one| one.attribute((RDF, "about")))
        .unwrap_or("");
    text.push_str(&format!(
        "<rdf:Description xmlns:rdf=\"{RDF}\" rdf:about=\"{}\" xmlns:xmpNote=\"{NOTE}\" xmpNote:HasExtendedXMP=\"{name}\"/>",
        escaped(about)
    ));
    text.push_str(packet.get(end..)?);
    Some(text)
}

fn extended_text(
    packet: &str,
    root: Node<'_, '_>,
    moved: &BTreeMap<usize, Node<'_, '_>>,
) -> Option<String> {
    let mut text = format!("<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"{RDF}\">");
    for description in descriptions(root) {
        let mine: Vec<&str> = description
            .children()
            .filter(|one| moved.contains_key(&one.range().start))
            .map(|one| packet.get(one.range()))
            .collect::<Option<_>>()?;
        if mine.is_empty() {
            continue;
        }
        let about = description.attribute((RDF, "about")).unwrap_or("");
        text.push_str(&format!(
            "<rdf:Description rdf:about=\"{}\"",
            escaped(about)
        ));
        for space in description.namespaces() {
            text.push_str(&declaration(space.name(), space.uri()));
        }
        text.push('>');
        text.push_str(&mine.concat());
        text.push_str("</rdf:Description>");
    }
    text.push_str("</rdf:RDF></x:xmpmeta>");
    Some(text)
}

fn declaration(prefix: Option<&str>, uri: &str) -> String {
    match prefix {
        // These two are given: the first by the text around, the second by XML itself.
        Some("rdf") if uri == RDF => String::new(),
        Some("xml") => String::new(),
        Some(prefix) => format!(" xmlns:{prefix}=\"{}\"", escaped(uri)),
        None => format!(" xmlns=\"{}\"", escaped(uri)),
    }
}

/// Parses a packet that was looked over like any other of a stranger's.
fn parsed(text: &str) -> Option<Document<'_>> {
    let text = text.trim_end_matches('\0');
    xmp::screen(text.as_bytes()).ok()?;
    Document::parse(text).ok()
}

fn rdf<'a, 'input>(document: &'a Document<'input>) -> Option<Node<'a, 'input>> {
    document
        .descendants()
        .find(|node| node.has_tag_name((RDF, "RDF")))
}

fn descriptions<'a, 'input>(root: Node<'a, 'input>) -> impl Iterator<Item = Node<'a, 'input>> {
    root.children()
        .filter(|node| node.has_tag_name((RDF, "Description")))
}

/// Returns where the end tag of an element begins.
fn closing_tag(text: &str, node: Node<'_, '_>) -> Option<usize> {
    let range = node.range();
    let inside = text.get(range.clone())?;
    range.start.checked_add(inside.rfind("</")?)
}

/// Returns the part of the standard packet that names the extended one: with its description if nothing else is in it.
fn note(root: Node<'_, '_>) -> Option<std::ops::Range<usize>> {
    for description in descriptions(root) {
        let others = |own: usize| {
            let attributes = description
                .attributes()
                .filter(|one| one.namespace() != Some(RDF))
                .count();
            let elements = description.children().filter(Node::is_element).count();
            attributes.saturating_add(elements) > own
        };
        let attribute = description
            .attributes()
            .find(|one| one.namespace() == Some(NOTE) && one.name() == "HasExtendedXMP");
        let element = description
            .children()
            .find(|one| one.has_tag_name((NOTE, "HasExtendedXMP")));
        let found = attribute
            .map(|one| one.range())
            .or(element.map(|one| one.range()));
        match found {
            Some(_) if !others(1) => return Some(description.range()),
            Some(range) => return Some(range),
            None => {}
        }
    }
    None
}

/// Returns the text of a description with every namespace that it takes from the text around declared on itself.
fn standing_alone(text: &str, node: Node<'_, '_>) -> Option<String> {
    let range = node.range();
    let own = text.get(range.clone())?;
    let head_end = node
        .first_child()
        .and_then(|child| child.range().start.checked_sub(range.start))
        .unwrap_or(own.len());
    let head = own.get(..head_end)?;
    let name_end = own.find(|c: char| c.is_whitespace() || c == '>' || c == '/')?;
    let missing: String = node
        .namespaces()
        .filter(|space| {
            let prefix = space
                .name()
                .map_or("xmlns=".to_owned(), |name| format!("xmlns:{name}="));
            !head.contains(&prefix) && space.name() != Some("xml")
        })
        .map(|space| match space.name() {
            Some(name) => format!(" xmlns:{name}=\"{}\"", escaped(space.uri())),
            None => format!(" xmlns=\"{}\"", escaped(space.uri())),
        })
        .collect();
    Some(format!(
        "{}{missing}{}",
        own.get(..name_end)?,
        own.get(name_end..)?
    ))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;")
}
