//! The payload: described copies, originals, viewing copies, the record in every form, and the log.

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::edition;
use super::family;
use super::log::Log;
use super::originals;
use super::originals::Original;
use super::page::Story;
use super::papers;
use super::viewing;
use super::viewing::Made;
use super::viewing::Wanted;
use crate::catalogue;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Algorithm;
use crate::format::bagit::profile;
use crate::format::premis;
use crate::format::ro_crate;
use crate::format::ro_crate::Crate;
use crate::format::ro_crate::CrateFile;
use crate::inscribe;
use crate::inscribe::InscribeOptions;
use crate::inscribe::InscribedFile;
use crate::inscribe::InscribedSet;
use crate::progress::Progress;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Edition;
use crate::record::audience::Filtered;
use crate::store::staging::Staging;
use std::path::Path;

/// What was written below `data/`.
#[derive(Debug, Default)]
pub(super) struct Payload {
    pub(super) story: Story,
    pub(super) described: usize,
    pub(super) sidecars: usize,
    pub(super) has_family_tree: bool,
    pub(super) removed: Vec<String>,
    pub(super) concerns: ConcernList,
}

/// What a package is made from, beside what its audience may see.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source<'a> {
    /// The whole record.
    pub(super) whole: &'a Collection,
    /// The collection's folder.
    pub(super) root: &'a Path,
    /// The package's name.
    pub(super) name: &'a str,
}

/// Writes the payload.
pub(super) fn write(
    contents: &Contents<'_>,
    staging: &Staging,
    filtered: &mut Filtered,
    source: Source<'_>,
    options: &PackOptions,
    progress: &dyn Progress,
) -> Result<Payload, PackError> {
    let Source { whole, root, name } = source;
    let outgoing = options.audience != Audience::Keeping;
    let inscribe_options = InscribeOptions {
        prefix: "data/".to_owned(),
        algorithms: options.algorithms.clone(),
        threads: options.threads,
        drop_private: outgoing,
        tool: options.tool.clone(),
    };
    let set = inscribe::inscribe_all(
        &filtered.collection,
        root,
        &inscribe_options,
        staging,
        progress,
    )?;
    let mut payload = Payload {
        concerns: set.concerns.clone(),
        ..Payload::default()
    };
    take_in(contents, &set, &mut payload);
    note_what_was_found(&set, outgoing, &mut filtered.collection);
    if let Some(earlier) = &options.supersedes {
        let shown = &filtered.collection;
        let editions = edition::editions(earlier, whole, shown, options, name);
        payload.story.history = edition::lines(&editions);
        filtered.collection.editions = editions;
    }
    if options.audience == Audience::Archive {
        tell_of_originals(&set, &mut payload.concerns);
    }
    let kept = if matches!(options.audience, Audience::Keeping | Audience::Archive) {
        originals::places(&filtered.collection.scans)
    } else {
        Vec::new()
    };
    originals::copy(contents, root, &kept, options.threads, progress)?;
    payload.story.viewing = viewing_copies(
        contents,
        &set,
        source,
        options,
        progress,
        &mut payload.concerns,
    )?;
    tell_what_shows(&set, &kept, &filtered.collection, &mut payload.story);
    payload.story.withheld = papers::withheld_lines(&filtered.withheld);
    payload
        .story
        .withheld
        .extend(payload.removed.iter().cloned());
    documents(contents, filtered, options, &payload)?;
    family_tree(contents, &filtered.collection, whole, options, &mut payload)?;
    let editions = &filtered.collection.editions;
    log(contents, &set, &kept, options, &payload, editions)?;
    describe(contents, &filtered.collection, options, &payload, &kept)?;
    Ok(payload)
}

fn viewing_copies(
    contents: &Contents<'_>,
    set: &InscribedSet,
    source: Source<'_>,
    options: &PackOptions,
    progress: &dyn Progress,
    concerns: &mut ConcernList,
) -> Result<Vec<Made>, PackError> {
    let wanted: Vec<Wanted> = set
        .files
        .iter()
        .map(|file| Wanted {
            from: file.scan.clone(),
            name: file.name.clone(),
        })
        .collect();
    viewing::make(
        contents,
        source.root,
        &wanted,
        options.threads,
        progress,
        concerns,
    )
}

fn family_tree(
    contents: &Contents<'_>,
    shown: &Collection,
    whole: &Collection,
    options: &PackOptions,
    payload: &mut Payload,
) -> Result<(), PackError> {
    let source = family::Source { shown, whole };
    let viewing = &payload.story.viewing;
    payload.has_family_tree =
        family::write(contents, source, viewing, options, &mut payload.concerns)?;
    Ok(())
}

fn take_in(contents: &Contents<'_>, set: &InscribedSet, payload: &mut Payload) {
    for file in &set.files {
        contents.adopt(&file.path, file.digests.clone(), file.bytes);
        if file.sidecar {
            payload.sidecars = payload.sidecars.saturating_add(1);
        } else {
            payload.described = payload.described.saturating_add(1);
        }
        if !file.removed.is_empty() {
            payload
                .removed
                .push(format!("{}: {}", file.name, file.removed.join(", ")));
        }
    }
}

/// The record tells of each scan what was found while its copy was written, not what a sheet remembers of an earlier look.
/// Where private facts were taken out, the original's checksum would let somebody try places until one fits.
fn note_what_was_found(set: &InscribedSet, outgoing: bool, collection: &mut Collection) {
    for file in &set.files {
        let is_telling = outgoing && !file.removed.is_empty();
        let scans = collection.scans.iter_mut();
        for scan in scans.filter(|scan| scan.file == file.scan) {
            scan.facts.sha256 = (!is_telling).then(|| file.source_sha256.hex().to_owned());
            let picture = file.picture_digest.as_ref();
            scan.facts.picture_digest = picture.map(|digest| digest.hex().to_owned());
        }
    }
}

/// An archive is given originals untouched, as donors are asked; the giver must know what they hold before they leave.
fn tell_of_originals(set: &InscribedSet, concerns: &mut ConcernList) {
    for file in set.files.iter().filter(|file| !file.removed.is_empty()) {
        concerns.warning(
            "private-facts-in-original",
            Place::file(file.scan.clone()).of_portrait(&file.portrait),
            format!("The untouched original goes to the archive too, and holds: {}.", file.removed.join(", ")),
            "Ask the archive whether it wants originals that hold this, before you hand the package over.",
        );
    }
}

fn tell_what_shows(
    set: &InscribedSet,
    kept: &[Original],
    collection: &Collection,
    story: &mut Story,
) {
    let of = |file: &InscribedFile| (file.portrait.clone(), file.view);
    for file in &set.files {
        story.shows.insert(file.path.clone(), of(file));
    }
    for made in &story.viewing {
        if let Some(file) = set.files.iter().find(|file| file.scan == made.from) {
            story.shows.insert(made.path.clone(), of(file));
        }
    }
    for original in kept {
        let scan = collection
            .scans
            .iter()
            .find(|scan| scan.file == original.from);
        if let Some((scan, portrait)) = scan.and_then(|scan| Some((scan, scan.portrait.given()?))) {
            story.shows.insert(
                original.path.clone(),
                (portrait.clone(), scan.view.given().copied()),
            );
        }
    }
}

/// The record for people and for programs, with what explains it beside it.
fn documents(
    contents: &Contents<'_>,
    filtered: &Filtered,
    options: &PackOptions,
    payload: &Payload,
) -> Result<(), PackError> {
    for (name, bytes) in catalogue::csv_files(&filtered.collection) {
        contents.write(&format!("data/catalogue/{name}"), &bytes)?;
    }
    contents.write(
        "data/catalogue/record.json",
        catalogue::json::write(&filtered.collection)?.as_bytes(),
    )?;
    contents.write(
        "data/catalogue/record.schema.json",
        catalogue::json::SCHEMA.as_bytes(),
    )?;
    contents.write(
        "data/catalogue/package-profile.json",
        profile::OWN.as_bytes(),
    )?;
    contents.write(
        "data/catalogue/columns.csv",
        &catalogue::column_dictionary(),
    )?;
    contents.write(
        "data/rights.txt",
        papers::rights(&filtered.collection).as_bytes(),
    )?;
    contents.write(
        "data/withheld.txt",
        papers::withheld(options, &filtered.withheld, &payload.removed).as_bytes(),
    )
}

fn log(
    contents: &Contents<'_>,
    set: &InscribedSet,
    kept: &[Original],
    options: &PackOptions,
    payload: &Payload,
    editions: &[Edition],
) -> Result<(), PackError> {
    let mut log = Log::new(options);
    for file in &set.files {
        log.described(file);
    }
    let files = contents.files();
    for original in kept {
        let sha256 = files
            .get(&original.path)
            .and_then(|packed| packed.digest(Algorithm::Sha256));
        log.kept(original, sha256);
    }
    for made in &payload.story.viewing {
        let from = set.files.iter().find(|file| file.scan == made.from);
        log.shown(made, from.map(|file| file.path.as_str()));
    }
    if payload.has_family_tree {
        log.family_tree(family::PATH);
    }
    if !editions.is_empty() {
        log.superseding(editions);
    }
    log.packed();
    contents.write(
        "data/log/events.json",
        premis::write(&log.into_events())?.as_bytes(),
    )
}

/// The description for programs names every other file of the payload, so it comes last.
fn describe(
    contents: &Contents<'_>,
    collection: &Collection,
    options: &PackOptions,
    payload: &Payload,
    kept: &[Original],
) -> Result<(), PackError> {
    let day = options.as_of.to_string();
    let files: Vec<CrateFile> = contents
        .files()
        .iter()
        .filter_map(|(path, packed)| {
            let below = path.strip_prefix("data/")?;
            let shows = payload.story.shows.get(path);
            Some(CrateFile {
                path: below.to_owned(),
                bytes: packed.bytes,
                sha256: packed.digest(Algorithm::Sha256)?.hex().to_owned(),
                about: what_it_is(below, kept).to_owned(),
                portrait: shows.map(|(portrait, _)| portrait.clone()),
                view: shows.and_then(|(_, view)| *view),
                made_from: None,
            })
        })
        .collect();
    let input = Crate {
        collection,
        name: &collection_name(collection),
        made_on: &day,
        tool: &options.tool,
        files: &files,
    };
    contents.write(
        "data/ro-crate-metadata.json",
        ro_crate::write(&input)?.as_bytes(),
    )
}

fn collection_name(collection: &Collection) -> String {
    collection
        .about
        .title
        .text()
        .unwrap_or("A collection of portraits")
        .to_owned()
}

fn what_it_is(path: &str, kept: &[Original]) -> &'static str {
    match path.split('/').next().unwrap_or_default() {
        "portraits" if path.ends_with(".xmp") => "The record of a scan that cannot carry it inside",
        "portraits" => {
            "A copy of a scan with its record written into it; the picture is that of the original, bit for bit"
        }
        "originals" if !kept.is_empty() => "A scan as it came, untouched",
        "viewing" => "A picture for looking at: sRGB, upright, at most 2,000 dots long",
        "catalogue" => "The record of the collection",
        "log" => "What was done to each file",
        "rights.txt" => "What is known of rights",
        "withheld.txt" => "What was held back for this audience",
        "family" => {
            "The proved sitters with their pictures, for family tree programs (GEDCOM 7, GEDZIP)"
        }
        _ => "A file of this package",
    }
}
