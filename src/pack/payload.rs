//! The payload: first the pictures (described copies, originals, viewing copies), then the papers that tell of them (the record in
//! every form, the family tree, the log).

use super::PackError;
use super::PackOptions;
use super::caption::caption_for;
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
use crate::record::Collection;
use crate::record::Register;
use crate::record::Scan;
use crate::record::audience;
use crate::record::audience::FileKind;
use crate::record::audience::Filtered;
use crate::record::audience::Terms;
use crate::store::staging::Staging;
use crate::weigh::Weighing;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::path::Path;

/// The pictures below `data/`, of a whole package or of one part of it.
#[derive(Debug, Clone, Default)]
pub(super) struct Pictures {
    pub(super) set: InscribedSet,
    pub(super) kept: Vec<Original>,
    pub(super) viewing: Vec<Made>,
}

impl Pictures {
    pub(super) fn described(&self) -> usize {
        self.set.files.iter().filter(|file| !file.sidecar).count()
    }

    pub(super) fn sidecars(&self) -> usize {
        self.set.files.iter().filter(|file| file.sidecar).count()
    }

    /// What private facts were taken out of which copies, one line each.
    pub(super) fn removed(&self) -> Vec<String> {
        let files = self.set.files.iter();
        files
            .filter(|file| !file.removed.is_empty())
            .map(|file| format!("{}: {}", file.name, file.removed.join(", ")))
            .collect()
    }

    /// Returns those that were made from these scans.
    pub(super) fn of(&self, scans: &BTreeSet<String>) -> Self {
        let mut own = self.clone();
        own.set.files.retain(|file| scans.contains(&file.scan));
        own.kept.retain(|original| scans.contains(&original.from));
        own.viewing.retain(|made| scans.contains(&made.from));
        own
    }

    /// Returns the place of each in the package, with the scan that it was made from.
    pub(super) fn paths(&self) -> Vec<(&str, &str)> {
        let described = self.set.files.iter().map(|file| (&*file.path, &*file.scan));
        let kept = self.kept.iter().map(|one| (&*one.path, &*one.from));
        let viewing = self.viewing.iter().flat_map(|made| {
            let paths = made.captioned.iter().chain([&made.path]);
            paths.map(|path| (&**path, &*made.from))
        });
        described.chain(kept).chain(viewing).collect()
    }
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
    /// Under which terms it leaves.
    pub(super) terms: &'a Terms<'a>,
}

/// Writes the pictures.
pub(super) fn pictures(
    contents: &Contents<'_>,
    staging: &Staging,
    filtered: &mut Filtered,
    source: Source<'_>,
    options: &PackOptions,
    progress: &dyn Progress,
) -> Result<(Pictures, ConcernList), PackError> {
    let Source {
        whole, root, name, ..
    } = source;
    let drop_private = !audience::gets_files(FileKind::PrivateFacts, options.audience);
    let inscribe_options = InscribeOptions {
        prefix: "data/".to_owned(),
        algorithms: options.algorithms.clone(),
        threads: options.threads,
        drop_private,
        tool: options.tool.clone(),
    };
    let set = inscribe::inscribe_all(
        &filtered.collection,
        root,
        &inscribe_options,
        staging,
        progress,
    )?;
    let mut concerns = set.concerns.clone();
    for file in &set.files {
        contents.adopt(&file.path, file.digests.clone(), file.bytes);
    }
    note_what_was_found(&set, drop_private, &mut filtered.collection);
    if let Some(earlier) = &options.supersedes {
        let shown = &filtered.collection;
        filtered.collection.editions = edition::editions(earlier, whole, shown, source.terms, name);
    }
    let kept = if audience::gets_files(FileKind::Original, options.audience) {
        originals::places(&filtered.collection.scans)
    } else {
        Vec::new()
    };
    originals::copy(contents, root, &kept, options.threads, progress)?;
    let record = Register::of(&filtered.collection);
    let wanted: Vec<Wanted> = set
        .files
        .iter()
        .map(|file| Wanted {
            from: file.scan.clone(),
            name: file.name.clone(),
            caption: caption_for(&record, file, &mut concerns),
        })
        .collect();
    let viewing = viewing::make(
        contents,
        root,
        &wanted,
        options.threads,
        progress,
        &mut concerns,
    )?;
    Ok((Pictures { set, kept, viewing }, concerns))
}

/// What the papers of a package are made from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Subject<'a> {
    /// What the audience may see: the record that goes into the package, whole even when the package is one part of several.
    pub(super) filtered: &'a Filtered,
    /// The portraits and scans that are in this package.
    pub(super) shown: &'a Collection,
    /// The whole record.
    pub(super) whole: &'a Collection,
    /// The pictures that are in this package.
    pub(super) pictures: &'a Pictures,
    /// What private facts were taken out of which copies, of all parts.
    pub(super) removed: &'a [String],
    /// What the whole of what the audience may see comes to when it is weighed.
    pub(super) weighed: &'a Weighing,
}

/// Writes what tells of the pictures: the record in every form, the family tree, the log. Returns what the page tells.
pub(super) fn papers(
    contents: &Contents<'_>,
    subject: Subject<'_>,
    options: &PackOptions,
    concerns: &mut ConcernList,
) -> Result<Story, PackError> {
    let mut story = Story {
        history: edition::lines(&subject.filtered.collection.editions),
        withheld: papers::withheld_lines(&subject.filtered.withheld),
        ..Story::default()
    };
    tell_what_shows(subject.pictures, subject.shown, &mut story);
    story.withheld.extend(subject.removed.iter().cloned());
    for (path, bytes) in documents(subject, options)? {
        contents.write(&path, &bytes)?;
    }
    let tree = family::Source {
        shown: subject.shown,
        whole: subject.whole,
    };
    let viewing = &subject.pictures.viewing;
    let has_family_tree = family::write(contents, tree, viewing, options, concerns)?;
    log(contents, subject, options, has_family_tree)?;
    describe(contents, subject, options, &story)?;
    Ok(story)
}

/// The record tells of each scan what was found while its copy was written, not what a sheet remembers of an earlier look.
/// Where private facts were taken out, the original's checksum would let somebody try places until one fits.
fn note_what_was_found(set: &InscribedSet, outgoing: bool, collection: &mut Collection) {
    let by_scan = by_scan(set);
    for scan in &mut collection.scans {
        if let Some(file) = by_scan.get(scan.file.as_str()) {
            let is_telling = outgoing && !file.removed.is_empty();
            scan.facts.sha256 = (!is_telling).then(|| file.source_sha256.hex().to_owned());
            let picture = file.picture_digest.as_ref();
            scan.facts.picture_digest = picture.map(|digest| digest.hex().to_owned());
        }
    }
}

/// Returns what was made of each scan, by the scan's file.
fn by_scan(set: &InscribedSet) -> BTreeMap<&str, &InscribedFile> {
    let files = set.files.iter();
    files.map(|file| (file.scan.as_str(), file)).collect()
}

fn scans_by_file(collection: &Collection) -> BTreeMap<&str, &Scan> {
    let scans = collection.scans.iter();
    scans.map(|scan| (scan.file.as_str(), scan)).collect()
}

fn tell_what_shows(pictures: &Pictures, collection: &Collection, story: &mut Story) {
    let Pictures { set, kept, viewing } = pictures;
    let of = |file: &InscribedFile| (file.portrait.clone(), file.view);
    for file in &set.files {
        story.shows.insert(file.path.clone(), of(file));
    }
    let by_scan = by_scan(set);
    for made in viewing {
        if let Some(file) = by_scan.get(made.from.as_str()) {
            for path in made.captioned.iter().chain([&made.path]) {
                story.shows.insert(path.clone(), of(file));
            }
        }
    }
    story.viewing.clone_from(viewing);
    let scans = scans_by_file(collection);
    for original in kept {
        let scan = scans.get(original.from.as_str());
        if let Some((scan, portrait)) = scan.and_then(|scan| Some((scan, scan.portrait.given()?))) {
            story.shows.insert(
                original.path.clone(),
                (portrait.clone(), scan.view.given().copied()),
            );
        }
    }
}

/// The record for people and for programs, with what explains it beside it. It depends on no checksum, so its length is known
/// before anything is written.
pub(super) fn documents(
    subject: Subject<'_>,
    options: &PackOptions,
) -> Result<Vec<(String, Vec<u8>)>, PackError> {
    let Filtered {
        collection,
        withheld,
        ..
    } = subject.filtered;
    let mut documents: Vec<(String, Vec<u8>)> = catalogue::csv_files(collection)
        .into_iter()
        .map(|(name, bytes)| (format!("data/catalogue/{name}"), bytes))
        .collect();
    let mut add = |path: &str, bytes: &[u8]| documents.push((path.to_owned(), bytes.to_vec()));
    let record = catalogue::json::write(collection)?;
    let schema = catalogue::json::SCHEMA;
    add("data/catalogue/record.json", record.as_bytes());
    add("data/catalogue/record.schema.json", schema.as_bytes());
    if let Some(own) = profile::own(options.audience) {
        let path = format!("data/catalogue/{}", own.file_name);
        add(&path, own.text.as_bytes());
    }
    add(
        "data/catalogue/columns.csv",
        &catalogue::column_dictionary(),
    );
    let year = i64::from(options.as_of.year());
    let rights = papers::rights(collection, subject.weighed, year);
    for (ending, content) in papers::both_forms(&rights) {
        add(&format!("data/rights.{ending}"), content.as_bytes());
    }
    let held_back = papers::withheld(options, withheld, subject.removed);
    add("data/withheld.txt", held_back.as_bytes());
    Ok(documents)
}

fn log(
    contents: &Contents<'_>,
    subject: Subject<'_>,
    options: &PackOptions,
    has_family_tree: bool,
) -> Result<(), PackError> {
    let Pictures { set, kept, viewing } = subject.pictures;
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
    let by_scan = by_scan(set);
    for made in viewing {
        let from = by_scan.get(made.from.as_str());
        log.shown(made, from.map(|file| file.path.as_str()));
    }
    if has_family_tree {
        log.family_tree(family::PATH);
    }
    let editions = &subject.filtered.collection.editions;
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
    subject: Subject<'_>,
    options: &PackOptions,
    story: &Story,
) -> Result<(), PackError> {
    let day = options.as_of.to_string();
    let kept = &subject.pictures.kept;
    let files: Vec<CrateFile> = contents
        .files()
        .iter()
        .filter_map(|(path, packed)| {
            let below = path.strip_prefix("data/")?;
            let shows = story.shows.get(path);
            Some(CrateFile {
                path: below.to_owned(),
                bytes: packed.bytes,
                sha256: packed.digest(Algorithm::Sha256)?.hex().to_owned(),
                about: what_it_is(below, kept),
                portrait: shows.map(|(portrait, _)| portrait.clone()),
                view: shows.and_then(|(_, view)| *view),
                made_from: None,
            })
        })
        .collect();
    let input = Crate {
        collection: subject.shown,
        name: &collection_name(subject.shown),
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
        "viewing" if path.starts_with("viewing/captioned/") => {
            "A picture for sending on, with who, when and which under it"
        }
        "viewing" => "A picture for looking at: sRGB, upright, at most 2,000 dots long",
        "catalogue" => "The record of the collection",
        "log" => "What was done to each file",
        "rights.txt" | "rights.html" => {
            "What is known of rights, with the terms of the United States as information"
        }
        "withheld.txt" => "What was held back for this audience",
        "family" => {
            "The proved sitters with their pictures, for family tree programs (GEDCOM 7, GEDZIP)"
        }
        _ => "A file of this package",
    }
}
