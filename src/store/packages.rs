//! Finding packages: which folders and zip files below a place are bags.

use super::error::DiskErrors;
use super::error::StoreError;
use crate::format::bagit::layout::looks_like_bag;
use std::path::Path;
use std::path::PathBuf;

/// Deepest folder that is searched for packages.
const DEEPEST: usize = 6;

/// What was found at a place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Found {
    /// Packages, in the order of their paths.
    pub packages: Vec<PathBuf>,
    /// Files beside the packages that belong to none.
    pub other_files: u64,
}

/// Tells whether a folder is a bag, even one that lost its `bagit.txt`.
///
/// # Errors
/// Gives the path when the folder cannot be listed.
pub fn is_bag(folder: &Path) -> Result<bool, StoreError> {
    let names = names(folder)?;
    let text: Vec<String> = names
        .iter()
        .filter_map(|path| Some(path.file_name()?.to_str()?.to_owned()))
        .collect();
    Ok(looks_like_bag(text.iter().map(String::as_str)))
}

/// Finds the packages at a place: the place itself when it is one, else those in it and in the folders below.
///
/// # Errors
/// Gives the path when the place cannot be listed; folders below it that cannot be are passed over as files that belong to none.
pub fn find(place: &Path) -> Result<Found, StoreError> {
    let mut found = Found::default();
    if !place.is_dir() || is_bag(place)? {
        found.packages.push(place.to_owned());
    } else {
        search(&names(place)?, 1, &mut found);
    }
    Ok(found)
}

fn search(paths: &[PathBuf], depth: usize, found: &mut Found) {
    for path in paths {
        let kind = std::fs::symlink_metadata(path).map(|metadata| metadata.file_type());
        match kind {
            Ok(kind) if kind.is_dir() => match (is_bag(path), names(path)) {
                (Ok(true), _) => found.packages.push(path.clone()),
                (Ok(false), Ok(below)) if depth < DEEPEST => {
                    search(&below, depth.saturating_add(1), found);
                }
                _ => found.other_files = found.other_files.saturating_add(1),
            },
            Ok(kind) if kind.is_file() && is_called_zip(path) => found.packages.push(path.clone()),
            Ok(kind) if kind.is_file() && is_receipt(path) => {}
            _ => found.other_files = found.other_files.saturating_add(1),
        }
    }
}

/// Tells whether a file is the receipt of the package beside which it lies, or the signature of that receipt.
fn is_receipt(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str());
    let package = name.and_then(|name| {
        let name = name.strip_suffix(".sig").unwrap_or(name);
        name.strip_suffix("-receipt.txt")
    });
    package.is_some_and(|package| path.with_file_name(package).exists())
}

/// Tells whether a file is called a zip.
pub(super) fn is_called_zip(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("zip"))
}

fn names(folder: &Path) -> Result<Vec<PathBuf>, StoreError> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).while_doing("list", folder)? {
        paths.push(entry.while_doing("list", folder)?.path());
    }
    paths.sort();
    Ok(paths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_of_packages() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path();
        for bag in ["2025/one", "2026/two"] {
            std::fs::create_dir_all(root.join(bag).join("data")).unwrap();
            std::fs::write(root.join(bag).join("manifest-sha256.txt"), "").unwrap();
        }
        std::fs::write(root.join("2026/three.ZIP"), "").unwrap();
        std::fs::write(root.join("notes.txt"), "").unwrap();
        std::fs::write(root.join("2026/two-receipt.txt"), "").unwrap();
        let found = find(root).unwrap();
        let expected = ["2025/one", "2026/three.ZIP", "2026/two"].map(|path| root.join(path));
        assert_eq!(found.packages, expected);
        assert_eq!(found.other_files, 1);
        assert_eq!(find(&root.join("2025/one")).unwrap().packages.len(), 1);
        assert!(find(&root.join("nowhere/x")).unwrap().packages.len() == 1);
    }
}
