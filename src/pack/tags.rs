//! The tag files of a package: what makes a folder a bag. [RFC8493 2]
//!
//! Order matters: payload, then its manifests, then their digests go onto the page and the receipt, and the tag manifests last.

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::contents::Packed;
use super::edition;
use super::parts::Part;
use super::signature;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::bag_info;
use crate::format::bagit::declaration;
use crate::format::bagit::layout;
use crate::format::bagit::manifest;
use crate::format::bagit::oxum::Oxum;
use crate::format::bagit::profile;
use crate::portable_path::PortablePath;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::YesNo;
use crate::record::audience;
use std::collections::BTreeMap;

/// Returns bytes and number of files of the payload. [RFC8493 2.2.2]
pub(super) fn payload(files: &BTreeMap<String, Packed>) -> Oxum {
    let payload = files
        .iter()
        .filter(|(path, _)| path.starts_with(layout::PAYLOAD));
    payload.fold(Oxum { bytes: 0, files: 0 }, |sum, (_, packed)| Oxum {
        bytes: sum.bytes.saturating_add(packed.bytes),
        files: sum.files.saturating_add(1),
    })
}

/// Writes the payload manifests, signed when there is a key, and returns the digest of each manifest file, by its own algorithm. [RFC8493 2.1.3]
pub(super) fn payload_manifests(
    contents: &Contents<'_>,
    options: &PackOptions,
) -> Result<Vec<(String, Digest)>, PackError> {
    let mut seals = Vec::new();
    for algorithm in &options.algorithms {
        let name = manifest::file_name(*algorithm);
        let text = lines(&contents.files(), *algorithm, |path| {
            path.starts_with(layout::PAYLOAD)
        })?;
        contents.write(&name, text.as_bytes())?;
        if let Some(signer) = &options.signer {
            signature::beside(contents, signer, &name, &text)?;
        }
        seals.push((name, Digest::of(*algorithm, text.as_bytes())));
    }
    if let Some(signer) = &options.signer {
        let manifests: Vec<String> = seals.iter().map(|(name, _)| name.clone()).collect();
        signature::explained(contents, signer, &manifests)?;
    }
    Ok(seals)
}

/// Writes the tag manifests: every tag file that is not a tag manifest. [RFC8493 2.2.1]
pub(super) fn tag_manifests(
    contents: &Contents<'_>,
    algorithms: &[Algorithm],
) -> Result<Vec<(String, Digest)>, PackError> {
    let files = contents.files();
    let mut written = Vec::new();
    for algorithm in algorithms {
        let text = lines(&files, *algorithm, |path| {
            !path.starts_with(layout::PAYLOAD)
        })?;
        written.push((manifest::tag_file_name(*algorithm), text, *algorithm));
    }
    drop(files);
    let mut seals = Vec::new();
    for (name, text, algorithm) in written {
        contents.write(&name, text.as_bytes())?;
        seals.push((name, Digest::of(algorithm, text.as_bytes())));
    }
    Ok(seals)
}

fn lines(
    files: &BTreeMap<String, Packed>,
    algorithm: Algorithm,
    wanted: impl Fn(&str) -> bool,
) -> Result<String, PackError> {
    let mut entries = Vec::new();
    for (path, packed) in files.iter().filter(|(path, _)| wanted(path)) {
        let portable = PortablePath::new(path).map_err(|why| PackError::Name {
            name: path.clone(),
            why,
        })?;
        if let Some(digest) = packed.digest(algorithm) {
            entries.push((portable, digest));
        }
    }
    Ok(manifest::write(
        entries.iter().map(|(path, digest)| (path, *digest)),
    ))
}

/// Writes `bagit.txt`. [RFC8493 2.1.1]
pub(super) fn declaration(contents: &Contents<'_>) -> Result<(), PackError> {
    contents.write(declaration::FILE, declaration::TEXT.as_bytes())
}

/// Writes `bag-info.txt`. [RFC8493 2.2.2]
pub(super) fn bag_info(
    contents: &Contents<'_>,
    collection: &Collection,
    options: &PackOptions,
    name: &str,
    seals: &[(String, Digest)],
    part: Option<&Part>,
) -> Result<(), PackError> {
    let oxum = payload(&contents.files());
    let day = options.as_of.to_string();
    let about = &collection.about;
    let identifier = seals
        .first()
        .map(|(_, seal)| uuid_from(seal))
        .unwrap_or_default();
    let mut elements: Vec<(&str, String)> = Vec::new();
    elements.extend(
        about
            .kept_by
            .text()
            .map(|keeper| ("Source-Organization", keeper.to_owned())),
    );
    let may_show = options.audience == Audience::Keeping
        || about.contact_may_be_shown.given() == Some(&YesNo::Yes);
    if may_show {
        elements.extend(
            about
                .contact
                .text()
                .map(|contact| ("Contact-Name", contact.to_owned())),
        );
    }
    elements.push((
        "External-Description",
        description(collection, options.audience, part),
    ));
    elements.push(("External-Identifier", format!("urn:uuid:{identifier}")));
    elements.push(("Internal-Sender-Identifier", name.to_owned()));
    elements.push(("Bagging-Date", day));
    elements.push(("Bag-Size", counted(oxum.bytes, "byte", "bytes")));
    elements.push(("Payload-Oxum", oxum.to_string()));
    if let Some(part) = part {
        elements.push(("Bag-Group-Identifier", part.group.clone()));
        elements.push(("Bag-Count", part.count()));
    }
    elements.push(("Bag-Software-Agent", options.tool.clone()));
    elements.push((edition::AUDIENCE_LABEL, options.audience.word().to_owned()));
    elements.extend(edition::elements(&collection.editions));
    elements.extend(
        profile::own(options.audience)
            .map(|own| ("BagIt-Profile-Identifier", own.identifier.to_owned())),
    );
    let elements: Vec<(&str, String)> = elements
        .into_iter()
        .map(|(label, value)| (label, one_line(&value)))
        .collect();
    let borrowed: Vec<(&str, &str)> = elements
        .iter()
        .map(|(label, value)| (*label, value.as_str()))
        .collect();
    contents.write("bag-info.txt", bag_info::write(&borrowed).as_bytes())
}

fn description(collection: &Collection, audience: Audience, part: Option<&Part>) -> String {
    let title = collection
        .about
        .title
        .text()
        .unwrap_or("A collection of portraits");
    let portraits = counted(collection.portraits.len(), "portrait", "portraits");
    let part = part.map(|part| format!(" (part {})", part.count()));
    let part = part.unwrap_or_default();
    format!(
        "{title}: {portraits}{part}, packed for {}. Open START-HERE.html.",
        audience_words(audience)
    )
}

/// Returns who a package is for, in words.
pub(super) fn audience_words(audience: Audience) -> &'static str {
    audience::audience_rule(audience).map_or("nobody", |rule| rule.words)
}

/// Values of tag files are single lines here; a line break inside would begin a new one for a strict reader.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<&str>>().join(" ")
}

/// Returns a name-based identifier made from a digest: the same package always has the same one. [RFC9562 5.8]
pub(super) fn uuid_from(digest: &Digest) -> String {
    let hex = digest.hex();
    let part = |from: usize, to: usize| hex.get(from..to).unwrap_or_default();
    format!(
        "{}-{}-8{}-a{}-{}",
        part(0, 8),
        part(8, 12),
        part(13, 16),
        part(17, 20),
        part(20, 32)
    )
}
