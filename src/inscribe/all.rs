//! Described copies of a whole collection.

use super::describe;
use super::describe::Described;
use super::naming;
use super::set::InscribeError;
use super::set::InscribeOptions;
use super::set::InscribedSet;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::crew;
use crate::progress::Progress;
use crate::record::Collection;
use crate::record::Excerpts;
use crate::store::staging::Staging;
use std::path::Path;

/// Writes a described copy of every scan that is assigned to a portrait: `portraits/NUMBER/NUMBER-view.ext` below the prefix. A scan
/// that cannot carry its record gets a file beside it and a concern with the reason. The result does not depend on the threads.
///
/// # Errors
/// Gives the disk's error; and when a copy that was read back is not what it should be, which must never be passed over.
pub fn inscribe_all(
    collection: &Collection,
    root: &Path,
    options: &InscribeOptions,
    staging: &Staging,
    progress: &dyn Progress,
) -> Result<InscribedSet, InscribeError> {
    let named = naming::name_scans(&collection.scans);
    progress.begin(
        "Writing described copies",
        u64::try_from(named.len()).unwrap_or_default(),
    );
    let record = Excerpts::of(collection);
    let results = crew::share(&named, options.threads, |one| {
        let result = describe::describe(&record, root, one, options, staging);
        progress.advance(1);
        result
    });
    progress.end();
    let mut set = InscribedSet {
        files: Vec::new(),
        concerns: unassigned(collection),
    };
    for result in results {
        let Described { file, concerns } = result?;
        set.concerns.extend(concerns);
        set.files.push(file);
    }
    Ok(set)
}

fn unassigned(collection: &Collection) -> ConcernList {
    let mut concerns = ConcernList::default();
    for scan in collection
        .scans
        .iter()
        .filter(|scan| !scan.portrait.is_given())
    {
        concerns.warning(
            "scan-without-portrait",
            Place::file(scan.file.clone()),
            "This scan is assigned to no portrait, so no described copy was made of it.",
            "Fill in “Portrait no.” in the sheet “Scans”, then run again.",
        );
    }
    concerns
}
