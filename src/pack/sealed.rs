//! The last steps: one rename for a folder, or one zip made of the folder that was read back; and the receipt beside it.

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::contents::Zipping;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::format::bagit::oxum::Oxum;
use crate::format::bagit::receipt;
use crate::format::bagit::receipt::Receipt;
use crate::format::ssh_signature::ENDING;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::StoreError;
use crate::store::staging;
use crate::store::staging::Staging;
use crate::store::zip_writer::Keep;
use crate::store::zip_writer::ZipPackage;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

/// Refuses a target that is there already, before any work is done.
pub(super) fn refuse_existing(target: &Path, options: &PackOptions) -> Result<(), PackError> {
    let as_folder = !options.zip || options.split_at.is_some();
    let folder = as_folder.then(|| target.to_owned());
    let zip = options.zip.then(|| zip_path(target));
    for wanted in folder.into_iter().chain(zip) {
        let receipt = receipt_path(&wanted);
        let signature = signature_path(&receipt);
        let papers = papers_path(&wanted);
        for path in [wanted, receipt, signature, papers] {
            if store::exists(&path) {
                return Err(StoreError::TargetExists { path }.into());
            }
        }
    }
    Ok(())
}

/// What the finished package is called and what its receipt says.
pub(super) struct Finish<'a> {
    pub(super) name: &'a str,
    pub(super) options: &'a PackOptions,
    pub(super) oxum: Oxum,
    pub(super) seals: &'a [(String, Digest)],
}

/// Words the receipt of a package.
pub(super) fn receipt_text(finish: &Finish<'_>) -> String {
    receipt::write(&Receipt {
        package: finish.name,
        made_on: &finish.options.as_of.to_string(),
        payload: finish.oxum,
        manifests: finish.seals,
    })
}

/// Writes a receipt beside its package, signed when there is a key. Returns its place.
pub(super) fn hand_out(
    package: &Path,
    text: &str,
    options: &PackOptions,
) -> Result<PathBuf, PackError> {
    let receipt = receipt_path(package);
    staging::write_new(&receipt, text.as_bytes())?;
    if let Some(signer) = &options.signer {
        let signature = signer.sign(text.as_bytes())?;
        staging::write_new(&signature_path(&receipt), signature.as_bytes())?;
    }
    Ok(receipt)
}

/// Writes what was staged into the zip, behind what went straight into it. All of it was read back before it gets its name.
pub(super) fn zip(
    contents: &Contents<'_>,
    path: &Path,
    name: &str,
    progress: &dyn Progress,
) -> Result<PathBuf, PackError> {
    let files = contents.files();
    let bytes = files.values().map(|packed| packed.bytes).sum();
    progress.begin("Writing the zip file", bytes);
    let Zipping { mut zip, following } = contents.take_zip(path, name)?;
    for (path, packed) in files.iter().filter(|(_, packed)| !packed.is_direct) {
        let portable = PortablePath::new(path).map_err(|why| PackError::Name {
            name: path.clone(),
            why,
        })?;
        zip.begin(&portable, packed.bytes, keep(path))?;
        pour(&contents.place_of(&portable), &mut zip)?;
        progress.advance(packed.bytes);
    }
    progress.end();
    progress.begin("Reading the zip file back", bytes);
    zip.complete()?;
    let entries = following.finish(progress)?;
    progress.end();
    // The zip holds no name twice, and nothing that is not a file of the package.
    if entries != files.len() {
        return Err(PackError::ReadBack {
            path: path.display().to_string(),
            expected: format!("{} entries", files.len()),
            found: format!("{entries} entries"),
        });
    }
    Ok(zip.commit()?)
}

/// How the names of lists of checksums begin. // [RFC8493 2.1.3, 2.2.1]
const LISTS: [&str; 2] = ["manifest-", "tagmanifest-"];

/// Pictures are compressed already; only text gains. Lists of checksums hardly do, and are needed most when a zip is damaged.
fn keep(path: &str) -> Keep {
    let is_list = LISTS.iter().any(|start| path.starts_with(start));
    let is_text = [".txt", ".json", ".csv", ".html", ".xmp", ".md"]
        .iter()
        .any(|ending| path.ends_with(ending));
    if is_text && !is_list {
        Keep::Deflated
    } else {
        Keep::Stored
    }
}

/// Copies a staged file into a zip.
pub(super) fn pour(from: &Path, zip: &mut ZipPackage) -> Result<(), PackError> {
    let mut source = store::open(from)?;
    let mut buffer = ReadBuffer::of(READ_BUFFER);
    loop {
        let count = source
            .read(&mut buffer)
            .map_err(|error| PackError::read(from, error))?;
        if count == 0 {
            return Ok(());
        }
        zip.write_all(buffer.get(..count).unwrap_or_default())
            .map_err(|error| PackError::write(zip.staged(), error))?;
    }
}

/// Begins the staging folder, or goes on in one that was left.
pub(super) fn stage(target: &Path, options: &PackOptions) -> Result<Staging, PackError> {
    let place = staged_at(target, options.zip);
    if !options.resume {
        return Ok(Staging::beside(&place)?);
    }
    let staging = Staging::taken_up(&place)?;
    // The zip is made of the staged folder in one go, so a half one is of no use.
    store::zip_writer::remove_left_over(&zip_path(target))?;
    Ok(staging)
}

/// Returns the place that the staging folder is made for: a folder that never comes to be when the package is one zip file.
fn staged_at(target: &Path, zip: bool) -> PathBuf {
    if zip {
        with_ending(target, ".zip-contents")
    } else {
        target.to_owned()
    }
}

/// Returns the place of a package's zip file.
pub(super) fn zip_path(target: &Path) -> PathBuf {
    with_ending(target, ".zip")
}

/// Returns the folder for the papers that go with a package.
pub(super) fn papers_path(package: &Path) -> PathBuf {
    with_ending(package, "-papers")
}

/// Returns the place of a receipt's signature.
pub(super) fn signature_path(receipt: &Path) -> PathBuf {
    with_ending(receipt, ENDING)
}

pub(super) fn receipt_path(target: &Path) -> PathBuf {
    with_ending(target, "-receipt.txt")
}

fn with_ending(target: &Path, ending: &str) -> PathBuf {
    let mut name = target.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
