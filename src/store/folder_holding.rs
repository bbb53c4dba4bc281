//! A package that is a folder.

use super::error::DiskErrors;
use super::error::StoreError;
use super::holding::Entry;
use super::holding::Holding;
use super::holding::ReadSeek;
use super::tree::DEEPEST;
use crate::concern::ConcernList;
use crate::concern::Place;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;
use walkdir::WalkDir;

/// A folder as a holding.
#[derive(Debug)]
pub(super) struct FolderHolding {
    root: PathBuf,
    /// The root with all links resolved: what links are compared with.
    resolved: PathBuf,
    name: String,
    entries: Vec<Entry>,
    /// Paths of links that lead to a file inside the folder, in their order.
    links: Vec<Box<str>>,
    has_payload_folder: bool,
    concerns: ConcernList,
}

impl FolderHolding {
    /// Lists a folder without looking at any file: names and kinds come from the folders themselves.
    pub(super) fn open(root: &Path) -> Result<Self, StoreError> {
        std::fs::read_dir(root).while_doing("list", root)?;
        let resolved = root.canonicalize().while_doing("list", root)?;
        let name = resolved.file_name().map_or_else(
            || "package".to_owned(),
            |name| name.to_string_lossy().into_owned(),
        );
        let mut holding = Self {
            root: root.to_owned(),
            resolved,
            name,
            entries: Vec::new(),
            links: Vec::new(),
            has_payload_folder: false,
            concerns: ConcernList::default(),
        };
        for step in WalkDir::new(root).min_depth(1).max_depth(DEEPEST) {
            match step {
                Ok(entry) => holding.take(&entry),
                Err(error) => holding.take_fault(&error),
            }
        }
        holding.entries.sort_unstable();
        holding.entries.shrink_to_fit();
        holding.links.sort_unstable();
        Ok(holding)
    }

    fn take(&mut self, entry: &walkdir::DirEntry) {
        let kind = entry.file_type();
        let Some(path) = relative(&self.root, entry.path()) else {
            let shown = entry
                .path()
                .strip_prefix(&self.root)
                .unwrap_or(entry.path());
            return self.concerns.stop(
                "name-not-unicode",
                Place::file(shown.to_string_lossy()),
                "This name holds bytes that are no letters on any computer of today, so no list of the package can name it.",
                "Give it a plain name, or move it out of the package.",
            );
        };
        if kind.is_dir() {
            self.has_payload_folder |= path == "data";
            if entry.depth() == DEEPEST {
                self.tell_depth(path);
            }
        } else if kind.is_file() {
            self.entries.push(Entry { path: path.into() });
        } else if kind.is_symlink() {
            self.take_link(entry.path(), path);
        } else {
            self.concerns.stop(
                "not-an-ordinary-file",
                Place::file(path),
                "This is no file that could be read, but a pipe or device.",
                "Move it out of the package.",
            );
        }
    }

    /// A link to a file inside the package is read like that file; any other is never followed. // [RFC8493 5.1]
    fn take_link(&mut self, full_path: &Path, path: String) {
        let inside = full_path
            .canonicalize()
            .is_ok_and(|target| target.starts_with(&self.resolved) && target.is_file());
        if !inside {
            return self.concerns.stop(
                "link-leads-out",
                Place::file(path),
                "This is a link that leads out of the package, to a folder, or nowhere; it was not followed.",
                "Put the file itself here, or remove the link.",
            );
        }
        self.concerns.warning(
            "link-inside",
            Place::file(path.clone()),
            "This is a link to another file of the package, not a file of its own.",
            "Put a copy of the file here: links are lost when a package is copied to other disks.",
        );
        let path: Box<str> = path.into();
        self.links.push(path.clone());
        self.entries.push(Entry { path });
    }

    fn take_fault(&mut self, error: &walkdir::Error) {
        let shown = error.path().map_or_else(String::new, |path| {
            let below = path.strip_prefix(&self.root).unwrap_or(path);
            below.to_string_lossy().into_owned()
        });
        let reason = error
            .io_error()
            .map_or_else(|| "it leads back to itself".to_owned(), ToString::to_string);
        self.concerns.stop(
            "cannot-list",
            Place::file(shown),
            format!("What is in this folder could not be looked at: {reason}."),
            "Make sure that you may open it, then check again.",
        );
    }

    fn tell_depth(&mut self, path: String) {
        let start: String = path.chars().take(80).collect();
        self.concerns.stop(
            "too-deep",
            Place::file(format!("{start}…")),
            format!("Folders lie more than {DEEPEST} deep here; what is below was not looked at."),
            "No package needs this; something went wrong when it was copied.",
        );
    }

    fn open_file(&self, position: usize) -> Result<File, StoreError> {
        let path = self.full_path(position);
        let is_link = self
            .entries
            .get(position)
            .is_some_and(|entry| self.links.binary_search(&entry.path).is_ok());
        if is_link {
            // It was looked at when listed; since then it may lead elsewhere.
            let target = path.canonicalize().while_doing("read", &path)?;
            if !target.starts_with(&self.resolved) {
                return Err(StoreError::Changed { path });
            }
            return open_plain(&target).while_doing("read", &path);
        }
        open_plain(&path).while_doing("read", &path)
    }

    fn full_path(&self, position: usize) -> PathBuf {
        let path = self.entries.get(position).map_or("", |entry| &entry.path);
        self.root.join(path)
    }
}

impl Holding for FolderHolding {
    fn name(&self) -> &str {
        &self.name
    }

    fn location(&self) -> &Path {
        &self.root
    }

    fn is_zip(&self) -> bool {
        false
    }

    fn entries(&self) -> &[Entry] {
        &self.entries
    }

    fn has_payload_folder(&self) -> bool {
        self.has_payload_folder
    }

    fn concerns(&self) -> &ConcernList {
        &self.concerns
    }

    fn open(&self, position: usize) -> Result<Box<dyn Read + Send>, StoreError> {
        Ok(Box::new(self.open_file(position)?))
    }

    fn open_anywhere(&self, position: usize) -> Result<Box<dyn ReadSeek>, StoreError> {
        Ok(Box::new(self.open_file(position)?))
    }

    fn length(&self, position: usize) -> Result<u64, StoreError> {
        let path = self.full_path(position);
        Ok(std::fs::metadata(&path).while_doing("read", &path)?.len())
    }
}

/// Opens a file that was an ordinary one when listed. Should it have become a link or a pipe since, opening fails or returns at
/// once instead of leading out or waiting for ever.
#[cfg(unix)]
fn open_plain(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt;
    let flags = rustix::fs::OFlags::NOFOLLOW | rustix::fs::OFlags::NONBLOCK;
    OpenOptions::new()
        .read(true)
        .custom_flags(i32::try_from(flags.bits()).unwrap_or_default())
        .open(path)
}

#[cfg(not(unix))]
fn open_plain(path: &Path) -> io::Result<File> {
    OpenOptions::new().read(true).open(path)
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

#[cfg(test)]
mod tests {
    use super::*;

    fn paths(holding: &FolderHolding) -> Vec<&str> {
        holding.entries.iter().map(|entry| &*entry.path).collect()
    }

    #[test]
    fn files_in_the_order_of_their_paths() {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("bag");
        std::fs::create_dir_all(root.join("data/b")).unwrap();
        for path in ["data/b/1", "data/b.txt", "bagit.txt"] {
            std::fs::write(root.join(path), path).unwrap();
        }
        let holding = FolderHolding::open(&root).unwrap();
        assert_eq!(paths(&holding), ["bagit.txt", "data/b.txt", "data/b/1"]);
        assert!(holding.has_payload_folder());
        assert_eq!(holding.name(), "bag");
        let position = holding.position("data/b/1").unwrap();
        let mut text = String::new();
        holding
            .open(position)
            .unwrap()
            .read_to_string(&mut text)
            .unwrap();
        assert_eq!(text, "data/b/1");
        assert_eq!(holding.length(position).unwrap(), 8);
    }

    #[cfg(unix)]
    #[test]
    fn links_out_are_never_followed() {
        use std::os::unix::fs::symlink;
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().join("bag");
        std::fs::create_dir_all(root.join("data")).unwrap();
        std::fs::write(folder.path().join("secret"), b"secret").unwrap();
        std::fs::write(root.join("data/a"), b"a").unwrap();
        symlink("../../secret", root.join("data/out")).unwrap();
        symlink("/nowhere", root.join("data/nowhere")).unwrap();
        symlink("a", root.join("data/inside")).unwrap();
        symlink("../data", root.join("data/folder")).unwrap();
        let holding = FolderHolding::open(&root).unwrap();
        assert_eq!(paths(&holding), ["data/a", "data/inside"]);
        let codes: Vec<&str> = holding.concerns.iter().map(|one| &*one.code).collect();
        assert_eq!(
            codes
                .iter()
                .filter(|code| **code == "link-leads-out")
                .count(),
            3
        );
        assert!(codes.contains(&"link-inside"));
        // A file that became a link after it was listed is not read.
        std::fs::remove_file(root.join("data/a")).unwrap();
        symlink("../../secret", root.join("data/a")).unwrap();
        assert!(holding.open(0).is_err());
        assert!(holding.open(1).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn names_that_are_no_text_are_told() {
        use std::os::unix::ffi::OsStrExt;
        let folder = tempfile::tempdir().unwrap();
        let name = std::ffi::OsStr::from_bytes(b"Zo\xEB.txt");
        if std::fs::write(folder.path().join(name), b"a").is_ok() {
            let holding = FolderHolding::open(folder.path()).unwrap();
            assert!(holding.entries.is_empty());
            assert!(holding.concerns.has("name-not-unicode"));
        }
    }
}
