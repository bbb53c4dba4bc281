//! Pack: makes the package for one audience.
//!
//! Payload first, then its manifests, then everything that tells of them, the tag manifests last; then every byte is read back
//! from the disk, and one rename gives the package its name.

mod already;
mod caption;
mod contents;
mod direct;
mod edition;
mod error;
mod family;
mod follow;
mod log;
mod naming;
mod originals;
mod page;
mod papers;
mod parts;
mod payload;
mod plain;
mod reasoning;
mod reread;
mod review;
mod sealed;
mod several;
mod signature;
mod split;
mod tags;
mod viewing;

pub use already::already;
pub use edition::Earlier;
pub use edition::EditionError;
pub use edition::read_earlier;
pub use error::PackError;
pub use naming::package_name;
pub use papers::withheld_lines;
pub use parts::PackagePart;
pub use plain::plain;
pub use review::Cleared;
pub use review::Review;
pub use review::ReviewOptions;
pub use review::review;

use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::oxum::Oxum;
use crate::format::ssh_signature::Signer;
use crate::progress::Progress;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Edition;
use crate::record::PortraitNumber;
use crate::record::audience;
use crate::record::audience::Filtered;
use crate::record::audience::Withheld;
use crate::store;
use crate::store::staging::Staging;
use crate::weigh::SoundCatalogue;
use crate::weigh::Weighing;
use contents::Contents;
use jiff::civil::Date;
use papers::Shipment;
use parts::Part;
use parts::Parts;
use payload::Pictures;
use payload::Subject;
use schemars::JsonSchema;
use sealed::Finish;
use serde::Deserialize;
use serde::Serialize;
use split::Piece;
use std::collections::BTreeMap;
use std::path::Path;
use std::path::PathBuf;

/// What a package is to be like.
#[derive(Debug, Clone)]
pub struct PackOptions {
    /// Who it is for.
    pub audience: Audience,
    /// Whether it is one zip file.
    pub zip: bool,
    /// The checksum algorithms; SHA-256 is always among them, since the page checks by it.
    pub algorithms: Vec<Algorithm>,
    /// The day that counts as today.
    pub as_of: Date,
    /// How many threads may work.
    pub threads: usize,
    /// The program and its version.
    pub tool: String,
    /// Whether to go on with what a run left that was cut off.
    pub resume: bool,
    /// The key that signs the package.
    pub signer: Option<Signer>,
    /// The package that this one supersedes.
    pub supersedes: Option<Earlier>,
    /// How many bytes a part may take, when the package is to be cut into parts where it is larger.
    pub split_at: Option<u64>,
}

/// A finished package.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct Package {
    /// Its name.
    pub name: String,
    /// Where it is: the folder of the parts when it was cut.
    pub path: PathBuf,
    /// Where the receipt is, to print and keep elsewhere.
    pub receipt: PathBuf,
    /// Where the papers are that go with it: to fill in, to sign, to send. None for keeping and for the public.
    pub papers: Option<PathBuf>,
    /// Who it is for.
    pub audience: Audience,
    /// How many portraits it holds.
    pub portraits: usize,
    /// How many described copies it holds.
    pub described: usize,
    /// How many scans got a file with their record beside them instead.
    pub sidecars: usize,
    /// How many files the payload has.
    pub files: u64,
    /// How many bytes the payload has.
    pub bytes: u64,
    /// The digest of each manifest; none when it was cut, since every part has its own.
    pub seals: Vec<(String, Digest)>,
    /// The parts; none when it was not cut.
    pub parts: Vec<PackagePart>,
    /// What was held back.
    pub withheld: Vec<Withheld>,
    /// What private facts were taken out of which copies, one line each.
    pub removed: Vec<String>,
    /// The editions that it tells of, its own last; none when it supersedes nothing.
    pub editions: Vec<Edition>,
    /// What was noticed.
    pub concerns: ConcernList,
}

/// Makes a package of a collection whose catalogue has no concern that blocks.
///
/// # Errors
/// - [`PackError::Store`] when the disk refuses or the target is there already.
/// - [`PackError::ReadBack`] when the disk gives back other bytes than were written.
/// - [`PackError::Edition`] when the package to be superseded is none of this collection, or for another audience.
/// - [`PackError::OtherAudience`] when the decisions about living people were made for another audience.
/// - [`PackError::Inscribe`] when a described copy could not be written.
pub fn pack(
    sound: &SoundCatalogue,
    root: &Path,
    into: &Path,
    options: &PackOptions,
    cleared: &Cleared,
    progress: &dyn Progress,
) -> Result<Package, PackError> {
    let whole = sound.collection();
    confirm(options, cleared, whole)?;
    let day = options.as_of.to_string();
    let name = name_of(root, options, &day);
    let target = into.join(&name);
    sealed::refuse_existing(&target, options)?;
    let terms = cleared.terms(&day);
    let mut filtered = audience::under(whole, &terms);
    let staging = sealed::stage(&target, options)?;
    let contents = Contents::new(&staging, &options.algorithms);
    // Of a package that may be cut, nobody knows yet which part an original belongs to.
    if options.zip && options.split_at.is_none() {
        contents.begin_zip(&sealed::zip_path(&target), &name)?;
    }
    let source = payload::Source {
        whole,
        root,
        name: &name,
        terms: &terms,
    };
    let (pictures, mut concerns) = payload::pictures(
        &contents,
        &staging,
        &mut filtered,
        source,
        options,
        progress,
    )?;
    let weighed = reasoning::weighing(&filtered.collection, options);
    let job = Job {
        name: &name,
        target: &target,
        filtered: &filtered,
        whole,
        pictures: &pictures,
        removed: &pictures.removed(),
        weighing: &reasoning::lines(&weighed),
        weighed: &weighed,
        options,
        progress,
    };
    let pieces = split::plan(&job, &contents)?;
    let mut sealed = if pieces.len() > 1 {
        job.seal_parts(&staging, &contents, &pieces, &mut concerns)
    } else {
        job.seal_one(&contents, &mut concerns)
    }?;
    let path = match (sealed.zip.take(), sealed.group.take()) {
        (Some(path), _) => path,
        (None, Some(group)) => group.commit()?,
        (None, None) => staging.commit()?,
    };
    let receipt = sealed::hand_out(&path, &sealed.receipt, options)?;
    let papers = job.papers_beside(&path, &sealed)?;
    let mut package = job.told((path, receipt), sealed, concerns);
    package.papers = papers;
    Ok(package)
}

fn name_of(root: &Path, options: &PackOptions, day: &str) -> String {
    let folder = store::folder_name(root);
    package_name(
        folder.as_deref().unwrap_or("collection"),
        options.audience,
        day,
    )
}

/// Makes sure that decisions and the superseded package were made for the same audience.
fn confirm(
    options: &PackOptions,
    cleared: &Cleared,
    collection: &Collection,
) -> Result<(), PackError> {
    if cleared.audience != options.audience {
        return Err(PackError::OtherAudience);
    }
    if let Some(earlier) = &options.supersedes {
        edition::confirm(earlier, collection, options.audience)?;
    }
    Ok(())
}

/// What a package is made of, when its pictures are written.
struct Job<'a> {
    name: &'a str,
    target: &'a Path,
    filtered: &'a Filtered,
    whole: &'a Collection,
    pictures: &'a Pictures,
    removed: &'a [String],
    weighing: &'a BTreeMap<PortraitNumber, Vec<String>>,
    weighed: &'a Weighing,
    options: &'a PackOptions,
    progress: &'a dyn Progress,
}

/// What waits for nothing but its name.
struct Sealed {
    /// The zip file, which has its name already.
    zip: Option<PathBuf>,
    /// The folder in which the zip files of parts were gathered.
    group: Option<Staging>,
    receipt: String,
    payload: Oxum,
    seals: Vec<(String, Digest)>,
    parts: Vec<PackagePart>,
}

impl Job<'_> {
    fn told(
        &self,
        (path, receipt): (PathBuf, PathBuf),
        sealed: Sealed,
        concerns: ConcernList,
    ) -> Package {
        Package {
            name: self.name.to_owned(),
            path,
            receipt,
            papers: None,
            audience: self.options.audience,
            portraits: self.filtered.collection.portraits.len(),
            described: self.pictures.described(),
            sidecars: self.pictures.sidecars(),
            files: sealed.payload.files,
            bytes: sealed.payload.bytes,
            seals: sealed.seals,
            parts: sealed.parts,
            withheld: self.filtered.withheld.clone(),
            removed: self.removed.to_vec(),
            editions: self.filtered.collection.editions.clone(),
            concerns,
        }
    }

    /// Writes the papers that go with the package, and returns their folder where there are any.
    fn papers_beside(&self, path: &Path, sealed: &Sealed) -> Result<Option<PathBuf>, PackError> {
        let of_parts = sealed.parts.iter().flat_map(|part| {
            let named =
                |(file, seal): &(String, Digest)| (format!("{}/{file}", part.name), seal.clone());
            part.seals.iter().map(named)
        });
        let seals: Vec<(String, Digest)> = sealed.seals.iter().cloned().chain(of_parts).collect();
        let shipment = Shipment {
            shown: &self.filtered.collection,
            whole: self.whole,
            name: self.name,
            made_on: &self.options.as_of.to_string(),
            oxum: sealed.payload,
            seals: &seals,
        };
        let folder = sealed::papers_path(path);
        let written = papers::beside(&folder, self.options.audience, &shipment)?;
        Ok(written.then_some(folder))
    }

    /// Makes one package of everything.
    fn seal_one(
        &self,
        contents: &Contents<'_>,
        concerns: &mut ConcernList,
    ) -> Result<Sealed, PackError> {
        let subject = Subject {
            filtered: self.filtered,
            shown: &self.filtered.collection,
            whole: self.whole,
            pictures: self.pictures,
            removed: self.removed,
            weighed: self.weighed,
        };
        let (oxum, seals) = self.complete(contents, self.name, subject, None, concerns)?;
        let zip = if self.options.zip {
            let path = sealed::zip_path(self.target);
            Some(sealed::zip(contents, &path, self.name, self.progress)?)
        } else {
            None
        };
        let finish = Finish {
            name: self.name,
            options: self.options,
            oxum,
            seals: &seals,
        };
        Ok(Sealed {
            zip,
            group: None,
            receipt: sealed::receipt_text(&finish),
            payload: oxum,
            seals,
            parts: Vec::new(),
        })
    }

    /// Makes a folder of packages, each with its receipt. The receipt beside the folder holds all of theirs.
    fn seal_parts(
        &self,
        staging: &Staging,
        contents: &Contents<'_>,
        pieces: &[Vec<Piece>],
        concerns: &mut ConcernList,
    ) -> Result<Sealed, PackError> {
        // Of parts that an earlier run left, nothing is taken up: their pictures lie elsewhere.
        staging.take_out_all_but(Some("data"))?;
        let group = match (self.options.zip, self.options.resume) {
            (false, _) => None,
            (true, false) => Some(Staging::beside(self.target)?),
            (true, true) => Some(Staging::taken_up(self.target)?),
        };
        if let Some(group) = &group {
            group.take_out_all_but(None)?;
        }
        let parts = Parts {
            job: self,
            staging,
            contents,
            gathered: group.as_ref().unwrap_or(staging),
            pieces,
        };
        let (parts, receipt) = parts.build(concerns)?;
        let payload = parts.iter().fold(Oxum::default(), |sum, part| Oxum {
            bytes: sum.bytes.saturating_add(part.bytes),
            files: sum.files.saturating_add(part.files),
        });
        Ok(Sealed {
            zip: None,
            group,
            receipt,
            payload,
            seals: Vec::new(),
            parts,
        })
    }

    /// Writes everything that tells of the pictures, seals it, and reads the whole back from the disk. What goes on into a zip is
    /// read back there, against the same checksums.
    fn complete(
        &self,
        contents: &Contents<'_>,
        name: &str,
        subject: Subject<'_>,
        part: Option<(&Part, Vec<String>)>,
        concerns: &mut ConcernList,
    ) -> Result<(Oxum, Vec<(String, Digest)>), PackError> {
        let (part, lines) = part.unzip();
        let mut story = payload::papers(contents, subject, self.options, concerns)?;
        story.weighing = self.weighing.clone();
        story.parts = lines.unwrap_or_default();
        let shown = subject.shown;
        let mut seals = tags::payload_manifests(contents, self.options)?;
        page::write(contents, shown, self.options, name, &story, &seals)?;
        tags::declaration(contents)?;
        tags::bag_info(contents, shown, self.options, name, &seals, part)?;
        seals.extend(tags::tag_manifests(contents, &self.options.algorithms)?);
        if !self.options.zip {
            reread::confirm(contents, self.options.threads, self.progress)?;
        }
        Ok((tags::payload(&contents.files()), seals))
    }
}
