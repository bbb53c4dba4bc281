//! The second opinion: the XMP toolkit's own model reads what we have written, and must find the same values. Only this file
//! names the toolkit, and it only ever sees text that [`super::screen()`] has passed.

use super::value::Property;
use super::vocabulary::Namespace;
use super::vocabulary::RDF;
use super::vocabulary::WRITTEN;
use super::vocabulary::XML;
use std::collections::BTreeMap;
use xmp_toolkit::IterOptions;
use xmp_toolkit::XmpMeta;

/// What the toolkit found amiss.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ToolkitFault {
    /// It does not read the packet.
    #[error("the XMP toolkit does not read the packet: {why}")]
    Unreadable {
        /// Its words.
        why: String,
    },
    /// It reads another value than we wrote.
    #[error("the XMP toolkit reads another value at {path} than was written")]
    OtherValue {
        /// The path of the value.
        path: String,
    },
}

/// One single text in the toolkit's model: the address of the namespace, the path, the text.
pub(super) type Leaf = (String, String, String);

/// Returns every single text of a screened packet as the toolkit reads it.
///
/// # Errors
/// The toolkit does not read it.
pub(super) fn leaves(packet: &str) -> Result<Vec<Leaf>, ToolkitFault> {
    let meta = read(packet)?;
    Ok(meta
        .iter(IterOptions::default().leaf_nodes_only())
        .filter(|property| !property.value.is_schema_node())
        .map(|property| (property.schema_ns, property.name, property.value.value))
        .collect())
}

/// Checks that the toolkit reads exactly these properties, no fewer and no more, from a packet of ours.
///
/// # Errors
/// Names the first value that differs.
pub(super) fn agrees(packet: &str, properties: &[Property]) -> Result<(), ToolkitFault> {
    let found: BTreeMap<String, String> = leaves(packet)?
        .into_iter()
        .map(|(_, path, value)| (path, value))
        .collect();
    let expected: BTreeMap<String, String> = properties
        .iter()
        .flat_map(|property| property.value.leaves(&property.name.qualified()))
        .collect();
    let differing = expected
        .iter()
        .find(|(path, value)| found.get(*path) != Some(value))
        .or_else(|| found.iter().find(|(path, _)| !expected.contains_key(*path)));
    match differing {
        Some((path, _)) => Err(ToolkitFault::OtherValue { path: path.clone() }),
        None => Ok(()),
    }
}

/// Checks that the toolkit reads these single texts from a screened packet.
///
/// # Errors
/// Names the first one that differs.
pub(super) fn holds(packet: &str, properties: &[Property]) -> Result<(), ToolkitFault> {
    let meta = read(packet)?;
    for property in properties {
        for (path, value) in property.value.leaves(&property.name.qualified()) {
            let found = meta.property(&property.name.uri, &path);
            if found.map(|one| one.value) != Some(value) {
                return Err(ToolkitFault::OtherValue { path });
            }
        }
    }
    Ok(())
}

fn read(packet: &str) -> Result<XmpMeta, ToolkitFault> {
    register()?;
    packet.parse::<XmpMeta>().map_err(unreadable)
}

/// The toolkit spells paths with the prefix that it met first for a namespace, so ours have to come first. Doing it again
/// changes nothing.
fn register() -> Result<(), ToolkitFault> {
    let foreign = |namespace: &&Namespace| **namespace != RDF && **namespace != XML;
    for namespace in WRITTEN.iter().filter(foreign) {
        XmpMeta::register_namespace(namespace.uri, namespace.prefix).map_err(unreadable)?;
    }
    Ok(())
}

fn unreadable(error: xmp_toolkit::XmpError) -> ToolkitFault {
    ToolkitFault::Unreadable {
        why: error.to_string(),
    }
}
