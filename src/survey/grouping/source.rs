//! From which file an altered copy was made, as far as names tell.

use super::Known;
use super::Placement;
use super::name;
use super::stem_of;
use crate::portable_path;
use crate::record::CopyKind;
use crate::record::View;
use std::collections::BTreeMap;

/// Names the source of each altered copy whose name is that of exactly one other file with a word added.
pub(super) fn find_sources(placements: &mut [Placement], known: &Known) {
    let mut plain: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let unaltered = placements
        .iter()
        .filter(|placement| placement.copy != CopyKind::Altered)
        .map(|placement| placement.file.as_str());
    let in_catalogue = known.files.iter().map(|(file, _)| file.as_str());
    for file in unaltered.chain(in_catalogue) {
        plain
            .entry(source_key(file))
            .or_default()
            .push(file.to_owned());
    }
    for placement in placements.iter_mut() {
        if placement.copy == CopyKind::Altered
            && let Some([only]) = plain.get(&source_key(&placement.file)).map(Vec::as_slice)
        {
            placement.altered_from = Some(only.clone());
        }
    }
}

/// Returns folder and words of a name without the words that tell of alterations.
fn source_key(file: &str) -> String {
    let (folder, name) = file.rsplit_once('/').unwrap_or(("", file));
    let reading = name::read_stem(stem_of(name));
    let view = reading.view.map_or("", View::word);
    let number = reading
        .number
        .as_deref()
        .map(name::number_key)
        .unwrap_or_default();
    portable_path::fold(&format!("{folder}/{number}/{view}/{}", reading.rest))
}
