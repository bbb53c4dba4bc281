//! The family tree of a package: `family.gdz`, GEDCOM 7 with its pictures, for people who have a program for family trees.
//! [GEDCOM 7.0 4, GEDZIP]

use super::PackError;
use super::PackOptions;
use super::contents::Contents;
use super::sealed::pour;
use super::viewing::Made;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::gedcom;
use crate::format::gedcom::FamilyPicture;
use crate::format::gedcom::Gedzip;
use crate::format::gedcom::GedzipContext;
use crate::portable_path::PortablePath;
use crate::record::Collection;
use crate::record::Scan;
use crate::store::zip_writer::Keep;
use crate::store::zip_writer::ZipPackage;
use std::collections::BTreeMap;

/// Where it lies in a package.
pub(super) const PATH: &str = "data/family/family.gdz";

/// The record that a family tree is made from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Source<'a> {
    /// What the audience may see.
    pub(super) shown: &'a Collection,
    /// The whole record, which alone tells which portraits the living sat for.
    pub(super) whole: &'a Collection,
}

/// Writes the family tree where there is somebody to stand in it. Tells whether there was.
pub(super) fn write(
    contents: &Contents<'_>,
    source: Source<'_>,
    made: &[Made],
    options: &PackOptions,
    concerns: &mut ConcernList,
) -> Result<bool, PackError> {
    let day = options.as_of.to_string();
    let context = GedzipContext {
        made_on: &day,
        version: env!("CARGO_PKG_VERSION"),
    };
    let tree = gedcom::write(source.shown, &pictures(source, made, &day), &context);
    tell_of_the_living(&tree, concerns);
    if tree.people == 0 && tree.entries.is_empty() {
        return Ok(false);
    }
    let path = portable(PATH)?;
    zip(contents, &path, &tree)?;
    contents.take_in(&path)?;
    Ok(true)
}

/// The viewing copies of portraits that nobody living sat for: family tree programs show JPEG, and seldom the scan's own form.
fn pictures(source: Source<'_>, made: &[Made], day: &str) -> Vec<FamilyPicture> {
    let of_the_living = gedcom::portraits_of_the_living(source.whole, day);
    let scans = source.shown.scans.iter();
    let scans: BTreeMap<&str, &Scan> = scans.map(|scan| (scan.file.as_str(), scan)).collect();
    made.iter()
        .filter_map(|made| picture(scans.get(made.from.as_str())?, made))
        .filter(|picture| !of_the_living.contains(&picture.portrait))
        .collect()
}

fn picture(scan: &Scan, made: &Made) -> Option<FamilyPicture> {
    Some(FamilyPicture {
        source: made.path.clone(),
        name: made.path.rsplit('/').next()?.to_owned(),
        portrait: scan.portrait.given()?.clone(),
        view: scan.view.given().copied(),
        media_type: "image/jpeg".to_owned(),
        pixels: Some((made.width, made.height)),
        is_altered: scan.is_altered(),
    })
}

fn tell_of_the_living(tree: &Gedzip, concerns: &mut ConcernList) {
    if tree.left_out_living > 0 {
        concerns.note(
            "living-not-in-family-tree",
            Place::default(),
            format!(
                "{} proved sitters may be living and do not stand in the family tree.",
                tree.left_out_living
            ),
            "Nothing need be done. Fill in a death in the People sheet if one of them has died.",
        );
    }
}

/// The pictures are copied from the package itself, so that the tree holds nothing that the package does not.
fn zip(contents: &Contents<'_>, path: &PortablePath, tree: &Gedzip) -> Result<(), PackError> {
    let mut zip = ZipPackage::without_folder(&contents.make_way(path)?)?;
    zip.write(
        &portable(gedcom::LIST_NAME)?,
        tree.list.as_bytes(),
        Keep::Deflated,
    )?;
    let files = contents.files();
    for entry in &tree.entries {
        let length = files.get(&entry.source).map_or(0, |packed| packed.bytes);
        zip.begin(&portable(&entry.name)?, length, Keep::Stored)?;
        pour(&contents.place_of(&portable(&entry.source)?), &mut zip)?;
    }
    zip.commit()?;
    Ok(())
}

fn portable(path: &str) -> Result<PortablePath, PackError> {
    PortablePath::new(path).map_err(|why| PackError::Name {
        name: path.to_owned(),
        why,
    })
}
