//! Which files of a collection are pictures.

use super::select;
use crate::concern::ConcernList;
use crate::format::container;
use crate::format::container::Kind;
use crate::store;
use crate::store::StoreError;
use crate::store::tree;
use std::io::Read;
use std::path::Path;

/// Lists the picture files of a collection, relative to it, in the order of their names: told by content, never by name. They
/// are the ones that a survey takes into the catalogue: hidden files, what operating systems leave behind, packages and
/// documents are passed over.
///
/// # Errors
/// Gives the collection's path when it cannot be listed.
pub fn picture_files(root: &Path) -> Result<Vec<String>, StoreError> {
    let tree = tree::list(root)?;
    let selected = select::select(&tree, &mut ConcernList::default());
    Ok(selected
        .into_iter()
        .filter(|file| is_picture(&file.full_path))
        .map(|file| file.path.clone())
        .collect())
}

fn is_picture(path: &Path) -> bool {
    let Ok(source) = store::open(path) else {
        return false;
    };
    let mut head = Vec::new();
    let length = u64::try_from(container::HEAD_LENGTH).unwrap_or(u64::MAX);
    let read = source.take(length).read_to_end(&mut head).is_ok();
    read && container::sniff(&head).is_some_and(|kind| kind != Kind::Pdf)
}
