//! Which file of a bag is what, by its name. [RFC8493 2]

use super::version::Version;

/// The folder of the payload, with its slash. // [RFC8493 2.1.2]
pub const PAYLOAD: &str = "data/";

/// What a file of a bag is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part<'a> {
    /// Below `data/`.
    Payload,
    /// `bagit.txt`.
    Declaration,
    /// `bag-info.txt`, or `package-info.txt` up to 0.95.
    Info,
    /// `manifest-ALGORITHM.txt`.
    PayloadManifest {
        /// The algorithm as the name has it.
        algorithm: &'a str,
    },
    /// `tagmanifest-ALGORITHM.txt`.
    TagManifest {
        /// The algorithm as the name has it.
        algorithm: &'a str,
    },
    /// `fetch.txt`.
    Fetch,
    /// Any other file outside `data/`.
    OtherTag,
}

impl<'a> Part<'a> {
    /// Returns what a file is by its path in the bag.
    #[must_use]
    pub fn of(path: &'a str, version: Version) -> Self {
        if path.starts_with(PAYLOAD) {
            return Self::Payload;
        }
        if let Some(algorithm) = algorithm_in(path, "tagmanifest-") {
            return Self::TagManifest { algorithm };
        }
        if let Some(algorithm) = algorithm_in(path, "manifest-") {
            return Self::PayloadManifest { algorithm };
        }
        match path {
            super::declaration::FILE => Self::Declaration,
            super::fetch::FILE => Self::Fetch,
            _ if path == version.info_file() => Self::Info,
            _ => Self::OtherTag,
        }
    }
}

fn algorithm_in<'a>(path: &'a str, prefix: &str) -> Option<&'a str> {
    let algorithm = path.strip_prefix(prefix)?.strip_suffix(".txt")?;
    (!algorithm.is_empty() && !algorithm.contains('/')).then_some(algorithm)
}

/// Tells whether the names at the top of a folder are those of a bag, even one that lost its `bagit.txt`.
pub fn looks_like_bag<'a>(top_names: impl IntoIterator<Item = &'a str>) -> bool {
    let mut has_payload = false;
    let mut has_info = false;
    for name in top_names {
        match Part::of(name, Version::V1_0) {
            Part::Declaration | Part::PayloadManifest { .. } | Part::TagManifest { .. } => {
                return true;
            }
            Part::Info => has_info = true,
            Part::Fetch | Part::Payload => {}
            Part::OtherTag => {
                has_payload |= name == "data";
                has_info |= name == "package-info.txt";
            }
        }
    }
    has_payload && has_info
}

/// Files that operating systems leave behind, in small letters.
pub const LITTER_FILES: [&str; 7] = [
    ".ds_store",
    "thumbs.db",
    "ehthumbs.db",
    "desktop.ini",
    ".directory",
    ".localized",
    ".volumeicon.icns",
];

/// Folders that operating systems leave behind, in small letters.
pub const LITTER_FOLDERS: [&str; 6] = [
    "__macosx",
    ".spotlight-v100",
    ".trashes",
    ".fseventsd",
    "system volume information",
    "@eadir",
];

/// What the names of files begin with that operating systems and office programs leave behind.
pub const LITTER_STARTS: [&str; 3] = ["._", "~$", ".~lock."];

/// Tells whether a name is one that operating systems leave behind by themselves: harmless, and never part of a package.
#[must_use]
pub fn is_litter(path: &str) -> bool {
    let plain = path.to_ascii_lowercase();
    let name = plain.rsplit('/').next().unwrap_or(&plain);
    LITTER_FILES.contains(&name)
        || LITTER_STARTS.iter().any(|start| name.starts_with(start))
        || plain.split('/').any(|part| LITTER_FOLDERS.contains(&part))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_by_name() {
        let part = |path| Part::of(path, Version::V1_0);
        assert_eq!(part("data/manifest-md5.txt"), Part::Payload);
        assert_eq!(
            part("manifest-sha256.txt"),
            Part::PayloadManifest {
                algorithm: "sha256"
            }
        );
        assert_eq!(
            part("tagmanifest-sha256.txt"),
            Part::TagManifest {
                algorithm: "sha256"
            }
        );
        assert_eq!(part("manifest-.txt"), Part::OtherTag);
        assert_eq!(part("x/manifest-md5.txt"), Part::OtherTag);
        assert_eq!(part("manifest-md5/x.txt"), Part::OtherTag);
        assert_eq!(part("bagit.txt"), Part::Declaration);
        assert_eq!(part("fetch.txt"), Part::Fetch);
        assert_eq!(part("bag-info.txt"), Part::Info);
        assert_eq!(part("package-info.txt"), Part::OtherTag);
        assert_eq!(
            Part::of("package-info.txt", Version::parse("0.95").unwrap()),
            Part::Info
        );
    }

    #[test]
    fn a_bag_without_its_declaration_is_still_seen() {
        assert!(looks_like_bag(["data", "manifest-md5.txt"]));
        assert!(looks_like_bag(["data", "bag-info.txt"]));
        assert!(looks_like_bag(["bag-info.txt", "data"]));
        assert!(looks_like_bag(["package-info.txt", "x", "data"]));
        assert!(looks_like_bag(["bagit.txt"]));
        assert!(looks_like_bag(["tagmanifest-md5.txt"]));
        assert!(!looks_like_bag(["bag-info.txt", "fetch.txt"]));
        assert!(!looks_like_bag(["data", "letters"]));
        assert!(!looks_like_bag(["A-001.jpg"]));
    }

    #[test]
    fn litter_is_known_by_name() {
        for path in [
            "data/Thumbs.db",
            "data/x/.DS_Store",
            "data/._a.jpg",
            "__MACOSX/a",
        ] {
            assert!(is_litter(path), "{path}");
        }
        assert!(!is_litter("data/thumbs.jpg"));
    }
}
