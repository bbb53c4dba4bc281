//! A plain bag: the files of a folder as they are, copied, with checksums, forced to the disk, read back, under their name by one
//! rename. It is what originals go through when a collection is packed, without anything that looks into pictures.

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::originals;
use super::originals::Original;
use super::reread;
use super::sealed;
use super::tags;
use crate::progress::Progress;
use crate::store::tree;
use std::path::Path;
use std::path::PathBuf;

/// Makes a plain bag `target` (with `.zip` behind it when a zip is wanted) of the files below `root`. Of the options, audience and
/// what belongs to it do not count.
///
/// # Errors
/// As [`super::pack`] does.
pub fn plain(
    root: &Path,
    target: &Path,
    options: &PackOptions,
    progress: &dyn Progress,
) -> Result<PathBuf, PackError> {
    sealed::refuse_existing(target, options)?;
    let staging = sealed::stage(target, options)?;
    let contents = Contents::new(&staging, &options.algorithms);
    let name = target.file_name().unwrap_or_default().to_string_lossy();
    let zip = sealed::zip_path(target);
    if options.zip {
        contents.begin_zip(&zip, &name)?;
    }
    let files: Vec<Original> = tree::list(root)?
        .files
        .into_iter()
        .map(|file| Original {
            path: format!("data/{}", file.path),
            from: file.path,
        })
        .collect();
    originals::copy(&contents, root, &files, options.threads, progress)?;
    tags::payload_manifests(&contents, options)?;
    tags::declaration(&contents)?;
    tags::tag_manifests(&contents, &options.algorithms)?;
    if options.zip {
        return sealed::zip(&contents, &zip, &name, progress);
    }
    reread::confirm(&contents, options.threads, progress)?;
    Ok(staging.commit()?)
}
