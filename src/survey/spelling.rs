//! Names of files as different computers spell them.

use crate::portable_path;
use crate::record::Scan;
use std::cell::OnceCell;
use std::collections::HashMap;

/// Finds the row of a file, however a person's computer spells its name.
pub(super) struct ByName<'a> {
    scans: &'a [Scan],
    exact: HashMap<String, usize>,
    /// Made when it is asked for: most files are found by their very name.
    folded: OnceCell<HashMap<String, Option<usize>>>,
}

impl<'a> ByName<'a> {
    pub(super) fn of(scans: &'a [Scan]) -> Self {
        let mut exact = HashMap::with_capacity(scans.len());
        for (at, scan) in scans.iter().enumerate() {
            exact.entry(spelled(&scan.file)).or_insert(at);
        }
        Self {
            scans,
            exact,
            folded: OnceCell::new(),
        }
    }

    /// Returns the row of a file: of exactly this name, else of the only name that differs in case or accents alone.
    pub(super) fn find(&self, path: &str) -> Option<usize> {
        let path = spelled(path);
        let folded = || *self.folded().get(&portable_path::fold(&path))?;
        self.exact.get(&path).copied().or_else(folded)
    }

    fn folded(&self) -> &HashMap<String, Option<usize>> {
        self.folded.get_or_init(|| {
            let mut folded = HashMap::with_capacity(self.scans.len());
            for (at, scan) in self.scans.iter().enumerate() {
                folded
                    .entry(portable_path::fold(&spelled(&scan.file)))
                    .and_modify(|first| *first = None)
                    .or_insert(Some(at));
            }
            folded
        })
    }
}

/// Returns a path as it is compared: `/` between folders, accents in one form.
pub(super) fn spelled(path: &str) -> String {
    let plain = path.trim().replace('\\', "/");
    portable_path::normalised(plain.strip_prefix("./").unwrap_or(&plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_found_however_the_name_is_spelled() {
        let scan = |file: &str| Scan {
            file: file.to_owned(),
            ..Scan::default()
        };
        let scans = [
            scan("a\\B.jpg"),
            scan("Zoe\u{308}.jpg"),
            scan("c.jpg"),
            scan("C.jpg"),
        ];
        let index = ByName::of(&scans);
        assert_eq!(index.find("a/b.JPG"), Some(0));
        assert_eq!(index.find("Zo\u{eb}.jpg"), Some(1));
        assert_eq!(index.find("C.jpg"), Some(3));
        assert_eq!(index.find("c.JPG"), None);
    }
}
