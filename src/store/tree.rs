//! Listing a folder: every file below it in name order, and whatever is odd about the names.

use super::error::DiskErrors;
use super::error::StoreError;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::portable_path;
use std::io;
use std::path::Path;
use std::path::PathBuf;
use walkdir::WalkDir;

/// Deepest folder that is looked into. Paths longer than a system's limit cannot be opened anyway.
pub const DEEPEST: usize = 256;

/// The files below a folder.
#[derive(Debug, Clone, Default)]
pub struct Tree {
    /// The ordinary files, in the order of their names.
    pub files: Vec<TreeFile>,
    /// Folders that hold nothing, relative to the root.
    pub empty_folders: Vec<String>,
    /// What could not be listed, and names that mean trouble.
    pub concerns: ConcernList,
}

/// One ordinary file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct TreeFile {
    /// Its path relative to the root, `/` between folders.
    pub path: String,
    /// Where it is.
    pub full_path: PathBuf,
}

/// Lists the files below `root`. Links are reported and not followed; special files are reported; names that are not Unicode
/// are reported and left out, since no package could name them.
///
/// # Errors
/// Gives the root's own path when it cannot be listed at all.
pub fn list(root: &Path) -> Result<Tree, StoreError> {
    std::fs::read_dir(root).while_doing("list", root)?;
    let mut tree = Tree::default();
    let mut walk = WalkDir::new(root)
        .min_depth(1)
        .max_depth(DEEPEST)
        .sort_by_file_name()
        .into_iter();
    // A folder holds nothing when what comes next is not in it.
    let mut last_folder: Option<(String, usize)> = None;
    while let Some(step) = walk.next() {
        let depth = step.as_ref().map_or(usize::MAX, walkdir::DirEntry::depth);
        let empty = last_folder.take().filter(|(_, above)| depth <= *above);
        tree.empty_folders.extend(empty.map(|(path, _)| path));
        match step {
            Ok(entry) => last_folder = take(&mut tree, root, &entry, &mut walk),
            Err(error) => tree.concerns.warning(
                "cannot-list",
                Place::file(
                    error
                        .path()
                        .map_or_else(String::new, |path| shown(root, path)),
                ),
                format!(
                    "This folder or file could not be looked at: {}.",
                    reason(&error)
                ),
                "Check that you may open it, or move it out of the collection, then run again.",
            ),
        }
    }
    tree.empty_folders.extend(last_folder.map(|(path, _)| path));
    tree.files.sort();
    report_twins(&mut tree);
    Ok(tree)
}

/// Takes in what was met; returns a folder that may turn out to be empty, with its depth.
fn take(
    tree: &mut Tree,
    root: &Path,
    entry: &walkdir::DirEntry,
    walk: &mut walkdir::IntoIter,
) -> Option<(String, usize)> {
    let kind = entry.file_type();
    let Some(path) = relative(root, entry.path()) else {
        if kind.is_dir() {
            walk.skip_current_dir();
        }
        tree.concerns.warning(
            "name-not-unicode",
            Place::file(shown(root, entry.path())),
            "This name holds bytes that are no letters on any computer of today, so it was left out.",
            "Give the file or folder a plain name, then run again.",
        );
        return None;
    };
    if kind.is_dir() {
        return take_folder(tree, entry, path);
    }
    if kind.is_file() {
        tree.files.push(TreeFile {
            path,
            full_path: entry.path().to_owned(),
        });
    } else {
        let what = if kind.is_symlink() {
            "a link to another place"
        } else {
            "not an ordinary file"
        };
        tree.concerns.note(
            "not-an-ordinary-file",
            Place::file(path),
            format!("This is {what} and was left out."),
            "If it should be part of the collection, put a copy of the file itself here.",
        );
    }
    None
}

fn take_folder(
    tree: &mut Tree,
    entry: &walkdir::DirEntry,
    path: String,
) -> Option<(String, usize)> {
    if entry.depth() == DEEPEST {
        tree.concerns.warning(
            "too-deep",
            Place::file(shorten(&path)),
            format!("Folders lie more than {DEEPEST} deep here; what is below was not looked at."),
            "Move the files nearer to the top of the collection, then run again.",
        );
        let below = std::fs::read_dir(entry.path());
        return below
            .is_ok_and(|mut inside| inside.next().is_none())
            .then_some((path, DEEPEST));
    }
    Some((path, entry.depth()))
}

fn shorten(path: &str) -> String {
    let start: String = path.chars().take(80).collect();
    format!("{start}…")
}

/// Returns the path below the root with `/` between folders, when all of it is Unicode.
fn relative(root: &Path, path: &Path) -> Option<String> {
    let below = path.strip_prefix(root).ok()?.to_str()?;
    if std::path::MAIN_SEPARATOR == '/' {
        Some(below.to_owned())
    } else {
        Some(below.replace(std::path::MAIN_SEPARATOR, "/"))
    }
}

fn shown(root: &Path, path: &Path) -> String {
    path.strip_prefix(root)
        .unwrap_or(path)
        .to_string_lossy()
        .into_owned()
}

fn reason(error: &walkdir::Error) -> String {
    match error.io_error().map(io::Error::kind) {
        Some(io::ErrorKind::PermissionDenied) => "permission was refused".to_owned(),
        Some(io::ErrorKind::NotFound) => "it vanished meanwhile".to_owned(),
        _ => error
            .io_error()
            .map_or_else(|| "it leads back to itself".to_owned(), ToString::to_string),
    }
}

/// Names that differ only by case or by the way accents are stored are one name on some disks. [RFC8493 6.1.1.3]
fn report_twins(tree: &mut Tree) {
    let mut folded: Vec<(String, &TreeFile)> = tree
        .files
        .iter()
        .map(|file| (portable_path::fold(&file.path), file))
        .collect();
    folded.sort();
    let alike = folded.windows(2).filter_map(|pair| match pair {
        [(one, first), (other, file)] if one == other => Some((*file, *first)),
        _ => None,
    });
    let mut twins: Vec<(&TreeFile, &TreeFile)> = alike.collect();
    twins.sort();
    for (file, first) in twins {
        tree.concerns.warning(
            "twin-names",
            Place::file(file.path.clone()),
            format!(
                "This name and “{}” are one and the same name on many computers.",
                first.path
            ),
            "Rename one of them, so that neither is lost when the folder is copied.",
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn empty_folders_and_twin_names_are_told() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in ["a/empty", "b/deep/deeper", "c", "z-empty"] {
            std::fs::create_dir_all(at(name)).unwrap();
        }
        for name in ["a/1", "b/deep/deeper/2", "c/x.jpg", "c/X.JPG", "c/x.JPG"] {
            std::fs::write(at(name), name).unwrap();
        }
        let tree = list(folder.path()).unwrap();
        assert_eq!(tree.empty_folders, ["a/empty", "z-empty"]);
        let paths: Vec<&str> = tree.files.iter().map(|file| &*file.path).collect();
        if paths.len() == 5 {
            assert_eq!(
                paths,
                ["a/1", "b/deep/deeper/2", "c/X.JPG", "c/x.JPG", "c/x.jpg"]
            );
            let twins: Vec<&str> = tree.concerns.iter().map(|one| &*one.what).collect();
            assert_eq!(twins.len(), 2);
            assert!(twins[0].contains("c/X.JPG") && twins[1].contains("c/x.JPG"));
        }
    }

    #[test]
    fn a_folder_that_holds_nothing_at_all() {
        let folder = tempfile::tempdir().unwrap();
        assert!(list(folder.path()).unwrap().empty_folders.is_empty());
        std::fs::create_dir(folder.path().join("only")).unwrap();
        assert_eq!(list(folder.path()).unwrap().empty_folders, ["only"]);
    }
}
