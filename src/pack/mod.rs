//! Pack: makes the package for one audience.
//!
//! Payload first, then its manifests, then everything that tells of them, the tag manifests last; then every byte is read back
//! from the disk, and one rename gives the package its name.

mod contents;
mod edition;
mod error;
mod family;
mod log;
mod naming;
mod originals;
mod page;
mod papers;
mod payload;
mod reasoning;
mod reread;
mod sealed;
mod signature;
mod tags;
mod viewing;

pub use edition::Earlier;
pub use edition::EditionError;
pub use edition::read_earlier;
pub use error::PackError;
pub use naming::package_name;

use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::ssh_signature::Signer;
use crate::progress::Progress;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Edition;
use crate::record::audience;
use crate::record::audience::Withheld;
use crate::store;
use crate::weigh::SoundCatalogue;
use contents::Contents;
use jiff::civil::Date;
use schemars::JsonSchema;
use sealed::Finish;
use serde::Deserialize;
use serde::Serialize;
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
}

/// A finished package.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct Package {
    /// Its name.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// Where the receipt is, to print and keep elsewhere.
    pub receipt: PathBuf,
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
    /// The digest of each manifest.
    pub seals: Vec<(String, Digest)>,
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
/// - [`PackError::Inscribe`] when a described copy could not be written.
pub fn pack(
    sound: &SoundCatalogue,
    root: &Path,
    into: &Path,
    options: &PackOptions,
    progress: &dyn Progress,
) -> Result<Package, PackError> {
    let day = options.as_of.to_string();
    let folder = store::folder_name(root);
    let name = package_name(
        folder.as_deref().unwrap_or("collection"),
        options.audience,
        &day,
    );
    let target = into.join(&name);
    sealed::refuse_existing(&target, options.zip)?;
    let whole = sound.collection();
    if let Some(earlier) = &options.supersedes {
        edition::confirm(earlier, whole, options.audience)?;
    }
    let mut filtered = audience::for_audience(whole, options.audience, &day);
    let staging = sealed::stage(&target, options)?;
    let contents = Contents::new(&staging, &options.algorithms);
    let source = payload::Source {
        whole,
        root,
        name: &name,
    };
    let mut payload = payload::write(
        &contents,
        &staging,
        &mut filtered,
        source,
        options,
        progress,
    )?;
    payload.story.weighing = reasoning::lines(&filtered.collection, options);
    let seals = seal(&contents, &filtered.collection, options, &name, &payload)?;
    reread::confirm(&staging, &contents.files(), options.threads, progress)?;
    let oxum = tags::payload(&contents.files());
    let finish = Finish {
        target: &target,
        name: &name,
        options,
        oxum,
        seals: &seals,
    };
    let files = contents.files();
    let (path, receipt) = sealed::finish(staging, &files, &finish, progress)?;
    Ok(Package {
        name,
        path,
        receipt,
        audience: options.audience,
        portraits: filtered.collection.portraits.len(),
        described: payload.described,
        sidecars: payload.sidecars,
        files: oxum.files,
        bytes: oxum.bytes,
        seals,
        withheld: filtered.withheld,
        removed: payload.removed,
        editions: filtered.collection.editions,
        concerns: payload.concerns,
    })
}

/// Writes everything that tells of the payload. Returns the digest of every manifest.
fn seal(
    contents: &Contents<'_>,
    collection: &Collection,
    options: &PackOptions,
    name: &str,
    payload: &payload::Payload,
) -> Result<Vec<(String, Digest)>, PackError> {
    let mut seals = tags::payload_manifests(contents, options)?;
    page::write(contents, collection, options, name, &payload.story, &seals)?;
    tags::declaration(contents)?;
    tags::bag_info(contents, collection, options, name, &seals)?;
    seals.extend(tags::tag_manifests(contents, &options.algorithms)?);
    Ok(seals)
}
