//! Which files of a collection are pictures.

use crate::format::bagit::layout::is_litter;
use crate::format::container;
use crate::store;
use crate::store::StoreError;
use crate::store::tree;
use std::io::Read;
use std::path::Path;

/// Lists the picture files of a collection, relative to it, in the order of their names: told by content, never by name. Hidden
/// files and what operating systems leave behind are passed over.
///
/// # Errors
/// Gives the collection's path when it cannot be listed.
pub fn picture_files(root: &Path) -> Result<Vec<String>, StoreError> {
    let tree = tree::list(root)?;
    let shown = tree
        .files
        .into_iter()
        .filter(|file| !is_litter(&file.path) && !is_hidden(&file.path));
    Ok(shown
        .filter(|file| is_picture(&file.full_path))
        .map(|file| file.path)
        .collect())
}

fn is_hidden(path: &str) -> bool {
    path.split('/').any(|part| part.starts_with('.'))
}

fn is_picture(path: &Path) -> bool {
    let Ok(source) = store::open(path) else {
        return false;
    };
    let mut head = Vec::new();
    let length = u64::try_from(container::HEAD_LENGTH).unwrap_or(u64::MAX);
    source.take(length).read_to_end(&mut head).is_ok() && container::sniff(&head).is_some()
}
