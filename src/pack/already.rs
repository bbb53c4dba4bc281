//! Whether the package that is asked for stands there already, made of the same record and the same scans.
//!
//! Nothing is proved here: a scan counts as the same when an earlier survey knew its checksum and its length, its time of change
//! and its number on the disk are what they were. In every doubt the answer is no. Whether the package is still whole is for
//! `audit` to tell.

use super::Cleared;
use super::PackOptions;
use super::edition;
use super::name_of;
use super::sealed;
use crate::catalogue::json;
use crate::record::Collection;
use crate::record::audience;
use crate::store;
use crate::store::holding;
use crate::weigh::SoundCatalogue;
use std::path::Path;
use std::path::PathBuf;

/// Returns the package's place when it stands there and was made of just this. `known` gives the checksum (SHA-256, hexadecimal)
/// of a scan that has not changed since it was worked out.
#[must_use]
pub fn already(
    sound: &SoundCatalogue,
    (root, into): (&Path, &Path),
    options: &PackOptions,
    cleared: &Cleared,
    known: impl Fn(&str) -> Option<String>,
) -> Option<PathBuf> {
    let is_plain =
        options.supersedes.is_none() && options.split_at.is_none() && options.signer.is_none();
    let day = options.as_of.to_string();
    let name = name_of(root, options, &day);
    let target = into.join(&name);
    let path = if options.zip {
        sealed::zip_path(&target)
    } else {
        target
    };
    let is_there = store::exists(&path) && store::exists(&sealed::receipt_path(&path));
    if !is_plain || !is_there || cleared.audience != options.audience {
        return None;
    }
    let earlier = edition::read_earlier(&path).ok()?;
    let is_of_its_kind = earlier.package == name
        && earlier.made_on == day
        && earlier.audience.as_deref() == Some(options.audience.word())
        && earlier.tool.as_deref() == Some(options.tool.as_str())
        && has_manifests(&path, options)?;
    if !is_of_its_kind {
        return None;
    }
    let terms = cleared.terms(&day);
    let mut now = audience::under(sound.collection(), &terms).collection;
    take_known(&mut now, &earlier.record, known)?;
    let is_same = json::write(&now).ok()? == json::write(&earlier.record).ok()?;
    is_same.then_some(path)
}

/// Tells whether the package has manifests of just these algorithms.
fn has_manifests(path: &Path, options: &PackOptions) -> Option<bool> {
    let holding = holding::open(path).ok()?;
    let entries = holding.entries().iter();
    let there = entries
        .filter(|entry| entry.path.starts_with("manifest-"))
        .count();
    let all = options.algorithms.iter().all(|algorithm| {
        let manifest = format!("manifest-{}.txt", algorithm.name());
        holding.position(&manifest).is_some()
    });
    Some(all && there == options.algorithms.len())
}

/// Gives each scan the checksums that the package has of it, if its own is known to be the same.
fn take_known(
    now: &mut Collection,
    packed: &Collection,
    known: impl Fn(&str) -> Option<String>,
) -> Option<()> {
    for (scan, packed) in now.scans.iter_mut().zip(&packed.scans) {
        let sha256 = packed.facts.sha256.as_ref()?;
        if scan.file != packed.file || known(&scan.file)? != *sha256 {
            return None;
        }
        scan.facts.sha256 = Some(sha256.clone());
        scan.facts
            .picture_digest
            .clone_from(&packed.facts.picture_digest);
    }
    Some(())
}
