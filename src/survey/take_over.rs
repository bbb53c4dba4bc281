//! Takes a person's own flat sheet over into a new catalogue, and finds the pictures that it names.

use super::SurveyError;
use super::seen::Survey;
use super::seen::TakenOver;
use crate::catalogue;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::portable_path;
use crate::record::Answer;
use crate::record::Scan;
use std::collections::BTreeMap;
use std::path::Path;

/// Starts the record from a sheet. `pictures` are the files that may be pictures, relative to the collection.
pub(super) fn take_over(
    sheet: &Path,
    pictures: &[&str],
    survey: &mut Survey,
) -> Result<(), SurveyError> {
    let read = catalogue::read_flat(sheet).map_err(SurveyError::Catalogue)?;
    let proposal = catalogue::from_flat(&read.table);
    survey.concerns.extend(read.concerns);
    for mut concern in proposal.concerns {
        concern.place.file = Some(read.file.clone());
        survey.concerns.push(concern);
    }
    survey.collection = proposal.collection;
    if let Some(title) = read.above.first() {
        survey.collection.about.title = Answer::Given(title.trim().to_owned());
    }
    let names = Names::of(pictures);
    for scan in &mut survey.collection.scans {
        names.find(scan, &read.file, &mut survey.concerns);
    }
    survey.taken_over = Some(TakenOver {
        file: read.file,
        rows: read.table.rows.len(),
        mapping: proposal.mapping,
        kept: proposal.leftovers,
        above: read.above,
    });
    Ok(())
}

/// The pictures by their last part, with and without its ending, as names are compared.
struct Names<'p> {
    by_path: BTreeMap<String, &'p str>,
    by_name: BTreeMap<String, Vec<&'p str>>,
}

impl<'p> Names<'p> {
    fn of(pictures: &[&'p str]) -> Self {
        let mut names = Self {
            by_path: BTreeMap::new(),
            by_name: BTreeMap::new(),
        };
        for path in pictures {
            names.by_path.insert(portable_path::fold(path), path);
            let name = path.rsplit('/').next().unwrap_or(path);
            let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
            for form in [name, stem] {
                let found = names.by_name.entry(portable_path::fold(form)).or_default();
                if found.last() != Some(path) {
                    found.push(path);
                }
            }
        }
        names
    }

    /// Gives a scan the path of the only picture of its name. A name that fits several is asked about.
    fn find(&self, scan: &mut Scan, sheet: &str, concerns: &mut ConcernList) {
        let written = scan.file.trim().replace('\\', "/");
        if self.by_path.contains_key(&portable_path::fold(&written)) {
            return;
        }
        let name = written.rsplit('/').next().unwrap_or(&written);
        match self
            .by_name
            .get(&portable_path::fold(name))
            .map(Vec::as_slice)
        {
            Some([only]) => (*only).clone_into(&mut scan.file),
            Some(several) => concerns.question(
                "which-file",
                Place::file(sheet).row(scan.row.0),
                format!(
                    "“{}” fits several files: {}.",
                    scan.file,
                    several.join(", ")
                ),
                "Write the right one, with its folder, into “File name now” of the catalogue.",
            ),
            None => {}
        }
    }
}
