//! Adds our properties to a packet of others without changing anything else in it: the packet's own text is kept, only what
//! is ours from an earlier time is cut out, and ours is put in. Nothing of others is ever written anew.

use super::Conflict;
use super::PacketFault;
use super::edits::Edits;
use super::private;
use super::rdf;
use super::rdf::Located;
use super::rdf::Place;
use super::screen;
use super::serialise;
use super::value::ArrayKind;
use super::value::DEFAULT_LANGUAGE;
use super::value::Item;
use super::value::Property;
use super::value::Value;
use super::value::fingerprint;
use super::vocabulary::IPTC;
use super::vocabulary::KITHBAG;
use super::vocabulary::MANAGEMENT;
use super::vocabulary::Name;
use super::vocabulary::Namespace;
use super::vocabulary::RDF;
use super::vocabulary::WRITTEN;
use super::vocabulary::XML;
use super::vocabulary::XMP;
use super::vocabulary::own;
use roxmltree::Node;
use std::collections::BTreeSet;
use std::ops::Range;

/// A packet without its wrapper, and what was met on the way.
#[derive(Debug)]
pub(super) struct Merged {
    /// The outermost element with everything in it.
    pub(super) root: String,
    /// The properties of our own `rdf:Description`.
    pub(super) block: Vec<Property>,
    /// Where others had said something else.
    pub(super) conflicts: Vec<Conflict>,
    /// The private facts that were cut out, in plain words.
    pub(super) removed: Vec<String>,
}

/// Puts our properties into a packet.
///
/// # Errors
/// The packet is not well-formed or holds no RDF.
pub(super) fn merge(
    existing: &str,
    ours: Vec<Property>,
    drop_private: bool,
) -> Result<Merged, PacketFault> {
    let document = screen::parse(existing)?;
    let rdf = rdf::root(&document)?;
    let mut edits = Edits::new(existing);
    let located = rdf::properties(rdf);
    let owned = owned_before(&located);
    let standing: Vec<Standing<'_, '_>> = located
        .iter()
        .filter_map(|one| cut_ours(one, &owned, &mut edits))
        .collect();
    cut_emptied(rdf, &mut edits);
    let mut removed = Vec::new();
    if drop_private {
        for fact in private::find(rdf) {
            edits.cut(fact.range);
            if !removed.iter().any(|known| known == fact.what) {
                removed.push(fact.what.to_owned());
            }
        }
    }
    let mut joined = Joined::default();
    for property in ours {
        join(property, &standing, &mut edits, &mut joined);
    }
    let block = joined.into_block();
    let about = rdf::holders(rdf)
        .find_map(|holder| holder.attribute((RDF.uri, "about")))
        .unwrap_or_default();
    let text = serialise::description(about, &block.0, &in_scope(rdf));
    edits.put_inside(rdf.range(), &format!("\n  {text}"), "\n ");
    let root = edits.apply_to(document.root_element().range());
    Ok(Merged {
        root,
        block: block.0,
        conflicts: block.1,
        removed,
    })
}

/// A property of others that stays, with what is left of its items.
struct Standing<'a, 'input> {
    name: Name,
    value: Value,
    element: Option<Node<'a, 'input>>,
}

/// What becomes of our properties.
#[derive(Default)]
struct Joined {
    block: Vec<Property>,
    owned: Vec<String>,
    conflicts: Vec<Conflict>,
}

impl Joined {
    fn own(&mut self, name: &Name, language: Option<&str>, value: &Value) {
        let mark = mark(name, language, value);
        if !self.owned.contains(&mark) {
            self.owned.push(mark);
        }
    }

    fn own_all(&mut self, property: &Property) {
        match &property.value {
            _ if KITHBAG.owns(&property.name) => {}
            Value::Array(_, items) => {
                for item in items {
                    self.own(&property.name, item.language.as_deref(), &item.value);
                }
            }
            value => self.own(&property.name, None, value),
        }
    }

    /// Returns the properties of our own element, with the list of what is ours outside our namespace, and the conflicts.
    fn into_block(mut self) -> (Vec<Property>, Vec<Conflict>) {
        self.block
            .extend(Property::texts(own::OWNED, ArrayKind::Bag, self.owned));
        (self.block, self.conflicts)
    }
}

fn mark(name: &Name, language: Option<&str>, value: &Value) -> String {
    format!("{} {}", name.qualified(), fingerprint(language, value))
}

fn owned_before(located: &[Located<'_, '_>]) -> BTreeSet<String> {
    located
        .iter()
        .filter(|one| one.property.name == own::OWNED)
        .flat_map(|one| one.property.value.texts())
        .map(str::to_owned)
        .collect()
}

/// Cuts what is ours in a property; returns what stays of it.
fn cut_ours<'a, 'input>(
    located: &Located<'a, 'input>,
    owned: &BTreeSet<String>,
    edits: &mut Edits<'_>,
) -> Option<Standing<'a, 'input>> {
    let name = &located.property.name;
    let (range, element) = match &located.place {
        Place::Attribute(range) => (range.clone(), None),
        Place::Element(node) => (node.range(), Some(*node)),
    };
    let is_ours = |language: Option<&str>, value: &Value| {
        KITHBAG.owns(name) || owned.contains(&mark(name, language, value))
    };
    let value = match &located.property.value {
        Value::Array(kind, items) => {
            let ours: Vec<bool> = items
                .iter()
                .map(|item| is_ours(item.language.as_deref(), &item.value))
                .collect();
            let all = KITHBAG.owns(name) || (!ours.is_empty() && ours.iter().all(|one| *one));
            if all {
                edits.cut(range);
                return None;
            }
            let nodes = element.and_then(rdf::array_of).into_iter();
            for (node, _) in nodes
                .flat_map(rdf::items_of)
                .zip(&ours)
                .filter(|one| *one.1)
            {
                edits.cut(node.range());
            }
            let kept = items.iter().zip(&ours).filter(|one| !*one.1);
            Value::Array(*kind, kept.map(|one| one.0.clone()).collect())
        }
        value if is_ours(None, value) => {
            edits.cut(range);
            return None;
        }
        value => value.clone(),
    };
    Some(Standing {
        name: name.clone(),
        value,
        element,
    })
}

/// Cuts every `rdf:Description` of which nothing but the name of the file is left, so that writing again and again does
/// not pile up empty ones.
fn cut_emptied(rdf: Node<'_, '_>, edits: &mut Edits<'_>) {
    for holder in rdf::holders(rdf) {
        let places: Vec<Range<usize>> = rdf::properties_of(holder)
            .into_iter()
            .map(|located| match located.place {
                Place::Attribute(range) => range,
                Place::Element(node) => node.range(),
            })
            .collect();
        if !places.is_empty() && places.iter().all(|place| edits.is_cut(place)) {
            edits.cut(holder.range());
        }
    }
}

/// Decides what becomes of one of our properties beside those that stand.
fn join(
    property: Property,
    standing: &[Standing<'_, '_>],
    edits: &mut Edits<'_>,
    joined: &mut Joined,
) {
    let Some(theirs) = standing.iter().find(|one| one.name == property.name) else {
        joined.own_all(&property);
        joined.block.push(property);
        return;
    };
    if let (Value::Array(_, standing), Some(element)) = (&theirs.value, theirs.element)
        && standing.is_empty()
    {
        // An array of nothing says nothing; ours takes its place, and the next time finds the same state.
        edits.cut(element.range());
        joined.own_all(&property);
        joined.block.push(property);
        return;
    }
    let missing = match (&theirs.value, &property.value) {
        (Value::Array(_, standing), Value::Array(ArrayKind::Alt, items)) => {
            beside(&property, theirs, standing, items, joined)
        }
        (Value::Array(_, standing), Value::Array(_, items)) => items
            .iter()
            .filter(|item| !standing.iter().any(|one| is_same(one, item)))
            .cloned()
            .collect(),
        (value, mine) if value == mine => Vec::new(),
        _ => {
            report(&property, theirs, false, joined);
            Vec::new()
        }
    };
    let Some(array) = theirs.element.and_then(rdf::array_of) else {
        return;
    };
    let scope = in_scope(array);
    let mut text = String::new();
    for item in &missing {
        joined.own(&property.name, item.language.as_deref(), &item.value);
        text.push_str("\n     ");
        text.push_str(&serialise::item(item, &scope));
    }
    if !text.is_empty() {
        edits.put_inside(array.range(), &text, "\n    ");
    }
}

/// A title or description of others stays the one that viewers show; ours stands second, under its language, and the
/// difference is reported.
fn beside(
    property: &Property,
    theirs: &Standing<'_, '_>,
    standing: &[Item],
    items: &[Item],
    joined: &mut Joined,
) -> Vec<Item> {
    let english = |item: &Item| {
        let language = item.language.as_deref().unwrap_or_default().to_lowercase();
        language == "en" || language.starts_with("en-")
    };
    // RFC 5646 2.2.7: what follows "x" is for private use.
    let language = if standing.iter().any(english) {
        "en-x-kithbag"
    } else {
        "en"
    };
    let mut added = Vec::new();
    for item in items {
        if standing.iter().any(|one| one.value == item.value) {
            continue;
        }
        report(property, theirs, true, joined);
        added.push(Item {
            language: Some(match item.language.as_deref() {
                None | Some(DEFAULT_LANGUAGE) => language.to_owned(),
                Some(other) => other.to_owned(),
            }),
            value: item.value.clone(),
        });
    }
    added
}

/// Tells whether an item of others says what ours says: equal, or about a person of the same name.
fn is_same(theirs: &Item, ours: &Item) -> bool {
    let person = IPTC.name("PersonName");
    theirs.value == ours.value
        || match (theirs.value.field(&person), ours.value.field(&person)) {
            (Some(one), Some(other)) => one.shown() == other.shown(),
            _ => false,
        }
}

/// Identifiers and times of the file itself are each program's own affair: they stay as they are, and nobody needs to hear.
fn report(property: &Property, theirs: &Standing<'_, '_>, both: bool, joined: &mut Joined) {
    if MANAGEMENT.owns(&property.name) || XMP.owns(&property.name) {
        return;
    }
    joined.conflicts.push(Conflict {
        property: property.name.qualified(),
        theirs: theirs.value.in_short(),
        ours: property.value.in_short(),
        ours_stands_beside: both,
    });
}

/// Returns those of our namespaces that are bound to our prefix at an element.
fn in_scope(node: Node<'_, '_>) -> Vec<Namespace> {
    WRITTEN
        .into_iter()
        .filter(|one| *one == XML || node.lookup_namespace_uri(Some(one.prefix)) == Some(one.uri))
        .collect()
}
