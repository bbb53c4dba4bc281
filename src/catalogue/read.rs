//! Finding the catalogue of a collection and reading it.

use super::columns;
use super::dictionary;
use super::heading;
use super::intake;
use super::sharing;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;
use crate::format::sheet::Encoding;
use crate::format::sheet::SheetFault;
use crate::format::sheet::Table;
use crate::format::sheet::csv;
use crate::record::Collection;
use crate::store;
use crate::store::StoreError;
use crate::store::tree;
use std::path::Path;
use std::path::PathBuf;

/// The name of the workbook.
pub const WORKBOOK: &str = "catalogue.xlsx";

/// The name of the workbook in the Open Document form.
pub const OPEN_WORKBOOK: &str = "catalogue.ods";

/// The name of the folder of CSV files.
pub const FOLDER: &str = "catalogue";

/// A catalogue that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The record.
    pub collection: Collection,
    /// What was noticed, each with file, sheet, row and column.
    pub concerns: ConcernList,
    /// Where it was read from.
    pub source: CatalogueSource,
}

/// Where a catalogue was read from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CatalogueSource {
    /// Its form.
    pub form: CatalogueForm,
    /// Its files, relative to the collection, `/` between folders.
    pub files: Vec<String>,
}

/// The form of a catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CatalogueForm {
    /// A workbook `catalogue.xlsx`.
    Xlsx,
    /// A workbook `catalogue.ods`.
    Ods,
    /// A folder `catalogue/` of CSV files.
    CsvFolder,
}

/// Why a catalogue cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum CatalogueError {
    /// There is none.
    #[error("the folder {root} has no catalogue", root = root.display())]
    NoCatalogue {
        /// The collection's folder.
        root: PathBuf,
    },
    /// The disk failed or refused.
    #[error("the catalogue could not be read")]
    Store(#[from] StoreError),
    /// The file is no workbook that can be read.
    #[error("the file {file} cannot be read: {fault}")]
    Sheet {
        /// The file, relative to the collection.
        file: String,
        /// What is the matter.
        fault: SheetFault,
    },
}

/// Finds the catalogue of a collection and reads it.
///
/// Exactly these names count: `catalogue.xlsx`, `catalogue.ods`, the folder `catalogue/`; case does not. Where several are there, the
/// first of this order is read and a concern asks which one is meant. Copies under any other name (`catalogue 2026-11-25.xlsx`) are
/// earlier states and are not read.
///
/// # Errors
/// Says that there is no catalogue, that the disk refused, or that the workbook cannot be read.
pub fn read(root: &Path) -> Result<Reading, CatalogueError> {
    let mut concerns = ConcernList::default();
    let mut found = locate(root)?.into_iter();
    let (form, name) = found.next().ok_or_else(|| CatalogueError::NoCatalogue {
        root: root.to_owned(),
    })?;
    for (_, other) in found {
        concerns.question(
            "several-catalogues",
            Place::file(other.as_str()),
            format!("The collection has both “{name}” and “{other}”; “{name}” was read."),
            "Decide which one holds your latest work and move the other out of the collection.",
        );
    }
    report_open(root, &name, &mut concerns);
    let ((collection, noticed), files) = match form {
        CatalogueForm::Xlsx | CatalogueForm::Ods => (read_workbook(root, &name)?, vec![name]),
        CatalogueForm::CsvFolder => {
            let (tables, files) = read_folder(root, &name, &mut concerns)?;
            (intake::from_owned(tables), files)
        }
    };
    for concern in noticed {
        concerns.push(with_file(concern, form, &files));
    }
    Ok(Reading {
        collection,
        concerns,
        source: CatalogueSource { form, files },
    })
}

/// Finds the catalogues of a collection by their names, in the order in which they count.
///
/// # Errors
/// Gives the disk's error when the folder cannot be listed.
pub fn locate(root: &Path) -> Result<Vec<(CatalogueForm, String)>, CatalogueError> {
    let wanted = [
        (CatalogueForm::Xlsx, WORKBOOK),
        (CatalogueForm::Ods, OPEN_WORKBOOK),
        (CatalogueForm::CsvFolder, FOLDER),
    ];
    let is_there = |form: CatalogueForm, path: &Path| {
        if form == CatalogueForm::CsvFolder {
            holds_csv(path)
        } else {
            Ok(store::exists(path) && !store::is_folder(path))
        }
    };
    let mut found = Vec::new();
    for (form, name) in wanted {
        if is_there(form, &root.join(name))? {
            found.push((form, name.to_owned()));
        }
    }
    if found.is_empty() {
        found = locate_ignoring_case(root, &wanted)?;
    }
    Ok(found)
}

/// A folder `catalogue/` may also hold nothing but pictures.
fn holds_csv(folder: &Path) -> Result<bool, StoreError> {
    Ok(store::is_folder(folder)
        && tree::list(folder)?
            .files
            .iter()
            .any(|file| sheet_of_file(&file.path).is_some()))
}

fn locate_ignoring_case(
    root: &Path,
    wanted: &[(CatalogueForm, &str)],
) -> Result<Vec<(CatalogueForm, String)>, StoreError> {
    let listed = tree::list(root)?;
    let mut found = Vec::new();
    for (form, name) in wanted {
        let hit = listed.files.iter().find_map(|file| {
            let (top, rest) = file.path.split_once('/').unwrap_or((&file.path, ""));
            let is_it = top.eq_ignore_ascii_case(name)
                && (*form == CatalogueForm::CsvFolder) == sheet_of_file(rest).is_some();
            is_it.then(|| top.to_owned())
        });
        found.extend(hit.map(|top| (*form, top)));
    }
    Ok(found)
}

/// Spreadsheets leave a small file beside a sheet while it is open.
fn report_open(root: &Path, name: &str, concerns: &mut ConcernList) {
    let is_open = [format!("~${name}"), format!(".~lock.{name}#")]
        .iter()
        .any(|lock| store::exists(&root.join(lock)));
    if is_open {
        concerns.note(
            "catalogue-open",
            Place::file(name),
            "The catalogue seems to be open in a spreadsheet program; what is not saved yet was not read.",
            "Save it and run this again.",
        );
    }
}

fn read_workbook(root: &Path, name: &str) -> Result<(Collection, ConcernList), CatalogueError> {
    let bytes = store::read_all(&root.join(name))?;
    sharing::read(&bytes).map_err(|fault| CatalogueError::Sheet {
        file: name.to_owned(),
        fault,
    })
}

fn read_folder(
    root: &Path,
    folder: &str,
    concerns: &mut ConcernList,
) -> Result<(Vec<Table>, Vec<String>), CatalogueError> {
    let listed = tree::list(&root.join(folder))?;
    let mut tables = Vec::new();
    let mut files = Vec::new();
    for file in &listed.files {
        let path = format!("{folder}/{}", file.path);
        let Some(stem) = csv_stem(&file.path) else {
            continue;
        };
        if file.path == dictionary::FILE_NAME {
            continue;
        }
        let bytes = store::read_all(&file.full_path)?;
        match csv::read(stem, &bytes) {
            Ok(reading) => {
                report_form(&path, &reading, concerns);
                tables.push(reading.table);
                files.push(path);
            }
            Err(fault) => concerns.stop(
                "sheet-not-read",
                Place::file(path),
                format!("This file cannot be read: {fault}."),
                fault.remedy(),
            ),
        }
    }
    Ok((tables, files))
}

/// Returns the name of a CSV file that lies directly in the folder, without its ending.
fn csv_stem(path: &str) -> Option<&str> {
    let (stem, ending) = path.rsplit_once('.')?;
    let is_csv = ["csv", "tsv"]
        .iter()
        .any(|known| ending.eq_ignore_ascii_case(known));
    (is_csv && !path.contains('/') && !stem.is_empty() && !path.starts_with(['~', '.']))
        .then_some(stem)
}

fn sheet_of_file(path: &str) -> Option<&'static columns::SheetPlan> {
    csv_stem(path).and_then(heading::sheet_named)
}

pub(super) fn report_form(path: &str, reading: &csv::Reading, concerns: &mut ConcernList) {
    let place = || Place::file(path);
    if reading.separator != ',' {
        let sign = if reading.separator == '\t' {
            "tabs"
        } else {
            "“;”"
        };
        concerns.note(
            "csv-separator",
            place(),
            format!("This file has {sign} between its cells; it was read so."),
            "Nothing need be done.",
        );
    }
    if !matches!(reading.encoding, Encoding::Utf8 | Encoding::Utf8Marked) {
        concerns.note(
            "csv-encoding",
            place(),
            format!(
                "The letters of this file are stored as {}; it was read so.",
                reading.encoding.name()
            ),
            "Look at names with accents; if they are right, nothing need be done.",
        );
    }
    if reading.has_broken_letters {
        concerns.warning(
            "broken-letters",
            place(),
            "Some bytes of this file are no letters; a sign stands in their place.",
            "Save the sheet again as CSV in UTF-8 from your spreadsheet program.",
        );
    }
    if let Some(row) = reading.unclosed_quote {
        let mut place = place();
        place.row = Some(row);
        concerns.warning(
            "unclosed-quote",
            place,
            "A quotation mark opens a cell in this row and is never closed; all that follows was read as one cell.",
            "Close the quotation mark in this row, or take it away.",
        );
    }
}

/// Adds the file to the place of a concern.
fn with_file(mut concern: Concern, form: CatalogueForm, files: &[String]) -> Concern {
    let file = if form == CatalogueForm::CsvFolder {
        let plan = concern
            .place
            .sheet
            .as_deref()
            .and_then(heading::sheet_named);
        files.iter().find(|file| {
            let name = file.rsplit('/').next().unwrap_or(file);
            plan.is_some() && sheet_of_file(name) == plan
        })
    } else {
        files.first()
    };
    concern.place.file = file.cloned();
    concern
}

impl CatalogueError {
    /// Returns what a person can do about it, a sentence.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NoCatalogue { .. } => {
                "Run “kithbag survey” on the folder first: it looks at the scans and drafts a catalogue to fill."
            }
            Self::Store(_) => "Check that the file is there and may be read, then run this again.",
            Self::Sheet { fault, .. } => fault.remedy(),
        }
    }

    /// Returns the matter as a concern, for those who collect them.
    #[must_use]
    pub fn as_concern(&self) -> Concern {
        let place = match self {
            Self::Sheet { file, .. } => Place::file(file.as_str()),
            Self::NoCatalogue { .. } | Self::Store(_) => Place::unknown(),
        };
        Concern::new(
            "catalogue-not-read",
            Severity::Stop,
            place,
            format!("{self}."),
            self.remedy(),
        )
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
