//! Which files of a collection a survey looks at.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::bagit::layout;
use crate::store::tree::Tree;
use crate::store::tree::TreeFile;

/// Endings of files that are documents of some kind, so that they need not be opened to see that they are no pictures.
const DOCUMENTS: [&str; 22] = [
    "xlsx", "xls", "ods", "csv", "tsv", "txt", "md", "doc", "docx", "odt", "rtf", "html", "htm",
    "json", "xml", "xmp", "zip", "ged", "gdz", "mp3", "mp4", "mov",
];

/// Returns the files to look at, in the order of their names. Hidden files, what systems leave behind, documents and packages of
/// kithbag's own are left out.
pub(super) fn select<'t>(tree: &'t Tree, concerns: &mut ConcernList) -> Vec<&'t TreeFile> {
    let packages = packages(tree);
    for package in &packages {
        concerns.note(
            "package-inside",
            Place::file(package.trim_end_matches('/')),
            "This folder is a finished package; its pictures were not taken into the catalogue.",
            "Keep packages outside the collection. To check this one, run “kithbag audit” on it.",
        );
    }
    tree.files
        .iter()
        .filter(|file| {
            let packed = packages
                .iter()
                .any(|package| file.path.starts_with(package));
            !packed
                && !is_hidden(&file.path)
                && !layout::is_litter(&file.path)
                && !is_document(&file.path)
        })
        .collect()
}

/// Returns the folders that are packages, with a slash at the end.
fn packages(tree: &Tree) -> Vec<String> {
    tree.files
        .iter()
        .filter_map(|file| {
            let folder = file.path.strip_suffix("bagit.txt")?;
            (folder.ends_with('/')).then(|| folder.to_owned())
        })
        .collect()
}

fn is_hidden(path: &str) -> bool {
    path.split('/').any(|part| part.starts_with('.'))
}

fn is_document(path: &str) -> bool {
    ending(path).is_some_and(|ending| DOCUMENTS.contains(&ending.as_str()))
}

/// Returns the ending of a name in lower case.
pub(super) fn ending(path: &str) -> Option<String> {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.rsplit_once('.')
        .map(|(_, ending)| ending.to_ascii_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn selected(paths: &[&str]) -> (Vec<String>, ConcernList) {
        let tree = Tree {
            files: paths
                .iter()
                .map(|path| TreeFile {
                    path: (*path).to_owned(),
                    full_path: (*path).into(),
                })
                .collect(),
            ..Tree::default()
        };
        let mut concerns = ConcernList::default();
        let files = select(&tree, &mut concerns);
        (
            files.iter().map(|file| file.path.clone()).collect(),
            concerns,
        )
    }

    #[test]
    fn pictures_stay_and_the_rest_goes() {
        let (files, concerns) = selected(&[
            ".kithbag-cache",
            ".hidden/a.jpg",
            "Thumbs.db",
            "a.jpg",
            "catalogue.xlsx",
            "catalogue/portraits.csv",
            "no ending",
            "old/bagit.txt",
            "old/data/b.jpg",
            "old.jpg",
            "bagit.txt.jpg",
        ]);
        assert_eq!(files, ["a.jpg", "no ending", "old.jpg", "bagit.txt.jpg"]);
        assert!(concerns.has("package-inside") && concerns.len() == 1);
    }
}
