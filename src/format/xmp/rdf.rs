//! Reads properties from RDF/XML in all the forms that XMP permits, and remembers where each stands. [ISO 16684-1 7, C]

use super::screen::PacketFault;
use super::value::ArrayKind;
use super::value::Item;
use super::value::Property;
use super::value::Value;
use super::vocabulary::Name;
use super::vocabulary::RDF;
use super::vocabulary::XML;
use roxmltree::Document;
use roxmltree::Node;
use std::borrow::Cow;
use std::ops::Range;

/// A property and its place in the text.
#[derive(Debug, Clone)]
pub(super) struct Located<'a, 'input> {
    pub(super) property: Property,
    pub(super) place: Place<'a, 'input>,
}

/// Where a property stands.
#[derive(Debug, Clone)]
pub(super) enum Place<'a, 'input> {
    Element(Node<'a, 'input>),
    Attribute(Range<usize>),
}

/// Returns the `rdf:RDF` element.
///
/// # Errors
/// There is none.
pub(super) fn root<'a, 'input>(
    document: &'a Document<'input>,
) -> Result<Node<'a, 'input>, PacketFault> {
    document
        .descendants()
        .find(|node| is_rdf(node, "RDF"))
        .ok_or(PacketFault::NoRdf)
}

/// Returns the elements that hold properties: the children of `rdf:RDF`.
pub(super) fn holders<'a, 'input>(rdf: Node<'a, 'input>) -> impl Iterator<Item = Node<'a, 'input>> {
    rdf.children().filter(Node::is_element)
}

/// Returns the properties of all holders in the order of the text.
pub(super) fn properties<'a, 'input>(rdf: Node<'a, 'input>) -> Vec<Located<'a, 'input>> {
    holders(rdf).flat_map(properties_of).collect()
}

/// Returns the properties of one holder: its attributes, then its elements.
pub(super) fn properties_of<'a, 'input>(holder: Node<'a, 'input>) -> Vec<Located<'a, 'input>> {
    let attributes = holder
        .attributes()
        .filter(is_property_attribute)
        .map(|one| Located {
            property: Property::new(
                owned_name(one.namespace(), one.name()),
                Value::Text(one.value().to_owned()),
            ),
            place: Place::Attribute(one.range()),
        });
    let elements = holder
        .children()
        .filter(Node::is_element)
        .map(|element| Located {
            property: Property::new(name_of(&element), value_of(element)),
            place: Place::Element(element),
        });
    attributes.chain(elements).collect()
}

/// Returns the array element (`rdf:Bag`, `rdf:Seq` or `rdf:Alt`) of a property element.
pub(super) fn array_of<'a, 'input>(property: Node<'a, 'input>) -> Option<Node<'a, 'input>> {
    property
        .children()
        .find(|child| child.is_element() && array_kind(child).is_some())
}

/// Returns the items of an array element.
pub(super) fn items_of<'a, 'input>(
    array: Node<'a, 'input>,
) -> impl Iterator<Item = Node<'a, 'input>> {
    array.children().filter(Node::is_element)
}

/// Returns the full name of an element.
pub(super) fn name_of(node: &Node<'_, '_>) -> Name {
    owned_name(node.tag_name().namespace(), node.tag_name().name())
}

/// Returns a full name from its two parts.
pub(super) fn owned_name(uri: Option<&str>, local: &str) -> Name {
    Name {
        uri: Cow::Owned(uri.unwrap_or_default().to_owned()),
        local: Cow::Owned(local.to_owned()),
    }
}

/// Tells whether an attribute is a property in the short form: neither of RDF nor of XML, and in some namespace.
pub(super) fn is_property_attribute(attribute: &roxmltree::Attribute<'_, '_>) -> bool {
    attribute
        .namespace()
        .is_some_and(|uri| uri != RDF.uri && uri != XML.uri)
}

/// Reads a property element or an item. The screen has bounded how deep this can go.
fn value_of(node: Node<'_, '_>) -> Value {
    if let Some(array) = array_of(node) {
        let kind = array_kind(&array).unwrap_or(ArrayKind::Bag);
        return Value::Array(kind, items_of(array).map(item_of).collect());
    }
    match node.attribute((RDF.uri, "parseType")) {
        Some("Resource") => return structure_of(node),
        Some(_) => return Value::Text(all_text(node)),
        None => {}
    }
    if let Some(inner) = node.children().find(Node::is_element) {
        return structure_of(inner);
    }
    if node
        .attributes()
        .any(|one| is_property_attribute(&one) || is_value(&one))
    {
        return structure_of(node);
    }
    match node.attribute((RDF.uri, "resource")) {
        Some(address) => Value::Text(address.to_owned()),
        None => Value::Text(all_text(node)),
    }
}

fn item_of(node: Node<'_, '_>) -> Item {
    let qualified = node
        .children()
        .filter(Node::is_element)
        .find_map(|inner| inner.attribute((XML.uri, "lang")));
    Item {
        language: node
            .attribute((XML.uri, "lang"))
            .or(qualified)
            .map(str::to_owned),
        value: value_of(node),
    }
}

/// Reads a structure, or the value of a qualified value: `rdf:value` beside its qualifiers. [ISO 16684-1 7.8]
fn structure_of(node: Node<'_, '_>) -> Value {
    if let Some(value) = node.children().find(|child| is_rdf(child, "value")) {
        return value_of(value);
    }
    if let Some(value) = node.attribute((RDF.uri, "value")) {
        return Value::Text(value.to_owned());
    }
    Value::Structure(
        properties_of(node)
            .into_iter()
            .map(|located| located.property)
            .collect(),
    )
}

fn is_value(attribute: &roxmltree::Attribute<'_, '_>) -> bool {
    attribute.namespace() == Some(RDF.uri) && attribute.name() == "value"
}

fn array_kind(node: &Node<'_, '_>) -> Option<ArrayKind> {
    (node.tag_name().namespace() == Some(RDF.uri))
        .then(|| ArrayKind::named(node.tag_name().name()))
        .flatten()
}

fn is_rdf(node: &Node<'_, '_>, local: &str) -> bool {
    node.is_element() && node.has_tag_name((RDF.uri, local))
}

fn all_text(node: Node<'_, '_>) -> String {
    node.descendants()
        .filter(Node::is_text)
        .filter_map(|text| text.text())
        .collect()
}
