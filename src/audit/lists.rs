//! What the manifests of a bag say of each file, taken together.

use super::reading::Bytes;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::Manifest;
use crate::portable_path;
use crate::store::Holding;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// The manifests that list one kind of file, and whether each is known to be as it was.
#[derive(Debug)]
pub(crate) struct Lists<'a> {
    manifests: Vec<(&'a Manifest, bool)>,
    /// For files whose name is listed with its accents stored in another way: the names as listed.
    aliases: BTreeMap<&'a str, Vec<&'a str>>,
    /// Names that are listed but not there, in their order.
    missing: BTreeSet<&'a str>,
}

/// How a file agrees with the manifests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Agreement {
    /// With every manifest that is as it was.
    Agrees,
    /// Only with manifests that were themselves changed, which prove nothing.
    WithChangedListsOnly,
    /// Not with all.
    Differs,
    /// With one manifest and not with another, although both seem as they were.
    ListsDisagree,
    /// No manifest lists it.
    NotListed,
    /// It is listed with checksums that cannot be worked out here.
    NotComparable,
}

impl<'a> Lists<'a> {
    /// Takes the manifests together; `is_trusted` says of each whether it is known to be as it was.
    pub(crate) fn new(
        manifests: &'a [Manifest],
        holding: &'a dyn Holding,
        is_trusted: impl Fn(&Manifest) -> bool,
    ) -> Self {
        let mut lists = Self {
            manifests: manifests
                .iter()
                .map(|manifest| (manifest, is_trusted(manifest)))
                .collect(),
            aliases: BTreeMap::new(),
            missing: BTreeSet::new(),
        };
        for manifest in manifests {
            let absent = manifest
                .paths()
                .filter(|path| holding.position(path).is_none());
            lists.missing.extend(absent);
        }
        lists.join_normalised(holding);
        lists
    }

    /// Disks differ in how they store accents; a name that is the same letter by letter is the same file. [RFC8493 6.1.1.3]
    fn join_normalised(&mut self, holding: &'a dyn Holding) {
        if self.missing.iter().all(|path| path.is_ascii()) {
            return;
        }
        let present: BTreeMap<String, &str> = holding
            .entries()
            .iter()
            .filter(|entry| !entry.path.is_ascii())
            .map(|entry| (portable_path::normalised(&entry.path), &*entry.path))
            .collect();
        let aliases = &mut self.aliases;
        self.missing.retain(
            |listed| match present.get(&portable_path::normalised(listed)) {
                Some(path) => {
                    aliases.entry(*path).or_default().push(*listed);
                    false
                }
                None => true,
            },
        );
    }

    /// Returns the names that are listed but not there, in their order.
    pub(crate) fn missing(&self) -> impl Iterator<Item = &'a str> {
        self.missing.iter().copied()
    }

    /// Returns the names of files that are listed with their accents stored in another way.
    pub(crate) fn aliased(&self) -> impl Iterator<Item = &'a str> {
        self.aliases.keys().copied()
    }

    /// Returns the manifests.
    pub(crate) fn manifests(&self) -> impl Iterator<Item = &'a Manifest> {
        self.manifests.iter().map(|(manifest, _)| *manifest)
    }

    /// Returns every algorithm of the manifests that is known here.
    pub(crate) fn algorithms(&self) -> Vec<Algorithm> {
        let all: BTreeSet<Algorithm> = self.manifests().filter_map(Manifest::algorithm).collect();
        all.into_iter().collect()
    }

    /// Returns the algorithms by which a file is listed.
    pub(crate) fn algorithms_of(&self, path: &str) -> Vec<Algorithm> {
        let all: BTreeSet<Algorithm> = self
            .manifests()
            .filter(|manifest| self.lists(manifest, path))
            .filter_map(Manifest::algorithm)
            .collect();
        all.into_iter().collect()
    }

    /// Tells whether any manifest lists a file.
    pub(crate) fn is_listed(&self, path: &str) -> bool {
        self.manifests().any(|manifest| self.lists(manifest, path))
    }

    /// Tells whether a manifest lists a file.
    pub(crate) fn lists(&self, manifest: &Manifest, path: &str) -> bool {
        self.names(path)
            .any(|name| manifest.position(name).is_some())
    }

    /// Returns the checksums listed for a file, those of manifests known to be as they were first.
    pub(crate) fn digests_of(&self, path: &str) -> Vec<Digest> {
        let of = |trusted: bool| {
            self.manifests
                .iter()
                .filter(move |(_, is_trusted)| *is_trusted == trusted)
                .flat_map(|(manifest, _)| {
                    self.names(path).filter_map(|name| manifest.digest_of(name))
                })
        };
        of(true).chain(of(false)).collect()
    }

    fn names<'b>(&'b self, path: &'b str) -> impl Iterator<Item = &'b str> {
        let aliases = self.aliases.get(path).into_iter().flatten().copied();
        std::iter::once(path).chain(aliases)
    }

    /// Compares what was read with what is listed.
    pub(crate) fn judge(&self, path: &str, read: &Bytes) -> Agreement {
        let mut seen = Seen::default();
        for (manifest, is_trusted) in &self.manifests {
            for position in self.names(path).filter_map(|name| manifest.position(name)) {
                seen.is_listed = true;
                let Some(listed) = manifest.digest(position) else {
                    continue;
                };
                let agrees = read.digests.contains(&listed);
                match (is_trusted, agrees) {
                    (true, true) => seen.trusted_agrees = true,
                    (true, false) => seen.trusted_differs = true,
                    (false, true) => seen.changed_agrees = true,
                    (false, false) => seen.changed_differs = true,
                }
            }
        }
        seen.agreement()
    }
}

#[derive(Default)]
struct Seen {
    is_listed: bool,
    trusted_agrees: bool,
    trusted_differs: bool,
    changed_agrees: bool,
    changed_differs: bool,
}

impl Seen {
    const fn agreement(&self) -> Agreement {
        if !self.is_listed {
            Agreement::NotListed
        } else if self.trusted_agrees && self.trusted_differs {
            Agreement::ListsDisagree
        } else if self.trusted_agrees {
            Agreement::Agrees
        } else if self.trusted_differs || self.changed_differs {
            Agreement::Differs
        } else if self.changed_agrees {
            Agreement::WithChangedListsOnly
        } else {
            Agreement::NotComparable
        }
    }
}
