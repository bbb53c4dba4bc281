//! Composes a packet, and believes it only after reading it back twice: with our own reader and with the toolkit.

use super::PacketContext;
use super::PacketError;
use super::Written;
use super::mapping;
use super::merge;
use super::read;
use super::screen;
use super::serialise;
use super::toolkit;
use super::value::Property;
use super::vocabulary::KITHBAG;
use super::vocabulary::META;
use super::vocabulary::RDF;
use crate::record::Collection;

/// The wrapper before a packet, with the byte order mark as its own sign of encoding. [ISO 16684-1 7.3.2]
const HEADER: &str = "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>";
/// The wrapper after a packet that may be changed in place. [ISO 16684-1 7.3.2]
const TRAILER: &str = "<?xpacket end=\"w\"?>";

/// Writes the packet for one scan of one portrait: into the packet that the file holds already, or anew.
///
/// `existing` is text that [`screen()`](super::screen()) has passed; `excerpt` holds one portrait and one scan
/// ([`Collection::excerpt`]). The same values give the same packet, and writing again replaces only what is ours.
///
/// # Errors
/// The packet in the file is damaged or is too large with ours in it, the excerpt is not of one portrait and one scan, or
/// (faults of ours) the result does not read back as what was written.
pub fn write(
    existing: Option<&str>,
    excerpt: &Collection,
    context: &PacketContext,
) -> Result<Written, PacketError> {
    let (written, block) = compose(existing, excerpt, context)?;
    let screened = screen(written.packet.as_bytes())?;
    match existing {
        None => toolkit::agrees(&screened, &block)?,
        Some(_) => verify_ours(&screened, &block)?,
    }
    verify_record(&screened, excerpt)?;
    Ok(written)
}

/// Writes the same packet without reading back what it says: one that nobody will see, to learn how long it is.
///
/// # Errors
/// Those of [`write`], except that nobody looks how the result reads back.
pub fn draft(
    existing: Option<&str>,
    excerpt: &Collection,
    context: &PacketContext,
) -> Result<Written, PacketError> {
    let (written, _) = compose(existing, excerpt, context)?;
    // One that is too large is refused before anything is copied.
    screen(written.packet.as_bytes())?;
    Ok(written)
}

/// Returns a packet and the properties in it that are ours.
fn compose(
    existing: Option<&str>,
    excerpt: &Collection,
    context: &PacketContext,
) -> Result<(Written, Vec<Property>), PacketError> {
    let ours = mapping::properties(excerpt, context)?;
    let blank = blank_packet();
    let merged = merge::merge(existing.unwrap_or(&blank), ours, context.drop_private)?;
    let written = Written {
        packet: format!("{HEADER}\n{}\n{TRAILER}", merged.root),
        conflicts: merged.conflicts,
        removed_private: merged.removed,
    };
    Ok((written, merged.block))
}

/// A packet of others is checked for our block only: the toolkit's model changes some of their values (it treats pairs of names as
/// one), which is no fault of the packet.
fn verify_ours(screened: &str, block: &[Property]) -> Result<(), PacketError> {
    toolkit::agrees(&standalone(block), block)?;
    let own: Vec<Property> = block
        .iter()
        .filter(|property| KITHBAG.owns(&property.name))
        .cloned()
        .collect();
    Ok(toolkit::holds(screened, &own)?)
}

fn verify_record(screened: &str, excerpt: &Collection) -> Result<(), PacketError> {
    let back = read(screened)?;
    if back.record.as_ref() == Some(excerpt) {
        Ok(())
    } else {
        Err(PacketError::ReadBack)
    }
}

/// Returns a packet that says nothing.
fn blank_packet() -> String {
    format!(
        "<x:xmpmeta xmlns:x=\"{}\">\n <rdf:RDF xmlns:rdf=\"{}\">\n </rdf:RDF>\n</x:xmpmeta>",
        META.uri, RDF.uri
    )
}

/// Returns a packet that says only this.
fn standalone(properties: &[Property]) -> String {
    let description = serialise::description("", properties, &[]);
    format!(
        "<x:xmpmeta xmlns:x=\"{}\"><rdf:RDF xmlns:rdf=\"{}\">{description}</rdf:RDF></x:xmpmeta>",
        META.uri, RDF.uri
    )
}
