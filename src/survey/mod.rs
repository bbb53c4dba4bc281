//! Survey: looks at a collection and drafts or refreshes its catalogue.
//!
//! The pictures are only read. What is written is the catalogue alone, and in a catalogue that is there already only blank
//! cells of kithbag's own columns and new rows. Reading order: [`select`] says which files are looked at, [`look`] looks at
//! one, [`grouping`] proposes what belongs together, [`rebuild`] takes records out of described copies, [`remarks`] tells what
//! is odd, [`workbook`] and [`refresh`] write, [`memory`] spares the next survey what has not changed.

pub mod grouping;
mod inside;
mod look;
mod measure;
mod memory;
mod people;
mod picture_files;
mod pictures;
mod rebuild;
mod refresh;
mod remarks;
mod rows;
mod seen;
mod select;
mod spelling;
mod take_over;
mod workbook;
mod writing;

pub use inside::inside;
pub use memory::Known;
pub use memory::PUBLISHED_SCHEMA;
pub use memory::Remembered;
pub use picture_files::picture_files;
pub use seen::FileSeen;
pub use seen::Survey;
pub use seen::TakenOver;
pub use seen::TreePeople;

use crate::catalogue;
use crate::catalogue::CatalogueError;
use crate::catalogue::Reading;
use crate::concern::ConcernList;
use crate::concern::Severity;
use crate::crew;
use crate::format::gedcom::GedcomFault;
use crate::format::sheet::draft::DraftError;
use crate::progress::Progress;
use crate::record::Collection;
use crate::record::RECORD_VERSION;
use crate::store::StoreError;
use crate::store::tree;
use look::Look;
use memory::Memory;
use memory::Notes;
use pictures::Wanted;
use std::path::Path;
use std::path::PathBuf;

/// The form of a catalogue that is drafted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum SheetForm {
    /// The workbook `catalogue.xlsx`.
    #[default]
    Workbook,
    /// The folder `catalogue/` of CSV files.
    Csv,
}

/// What a survey needs to be told.
#[derive(Debug, Clone)]
pub struct SurveyOptions {
    /// The day that counts as today: names the earlier state of a refreshed catalogue.
    pub as_of: jiff::civil::Date,
    /// The form of a new catalogue. One that is there keeps its form.
    pub sheets: SheetForm,
    /// How many files are looked at at once.
    pub threads: usize,
    /// A family tree file from which the People sheet is filled.
    pub people: Option<PathBuf>,
}

/// Why a collection cannot be surveyed.
#[derive(Debug, thiserror::Error)]
pub enum SurveyError {
    /// The disk failed or refused.
    #[error("the collection could not be surveyed")]
    Store(#[from] StoreError),
    /// The catalogue cannot be read from the disk.
    #[error("the catalogue could not be read")]
    Catalogue(#[source] CatalogueError),
    /// There is a catalogue, and a sheet was to be taken over into a new one.
    #[error("there is a catalogue already, and a sheet is taken over into a new one only")]
    CatalogueThere,
    /// The family tree file is none.
    #[error("“{file}” could not be read: {fault}")]
    FamilyTree {
        /// The file.
        file: String,
        /// Why not.
        fault: GedcomFault,
    },
    /// The catalogue cannot be put together.
    #[error("the catalogue could not be written")]
    Draft(#[from] DraftError),
}

/// Looks at every picture below `root`, and drafts a catalogue or adds to the one that is there.
///
/// # Errors
/// The folder cannot be listed, the catalogue cannot be read from the disk, or the disk refuses what is to be written. Faults of
/// single files are concerns and stop nothing.
pub fn survey(
    root: &Path,
    options: &SurveyOptions,
    progress: &dyn Progress,
) -> Result<Survey, SurveyError> {
    run(root, None, options, progress)
}

/// Starts the catalogue of a collection from a person's own sheet with a row for each picture, then looks at the pictures as
/// [`survey`] does. The sheet is only read.
///
/// # Errors
/// As [`survey`]; also that there is a catalogue already, or that the sheet cannot be read.
pub fn survey_from(
    root: &Path,
    sheet: &Path,
    options: &SurveyOptions,
    progress: &dyn Progress,
) -> Result<Survey, SurveyError> {
    run(root, Some(sheet), options, progress)
}

fn run(
    root: &Path,
    sheet: Option<&Path>,
    options: &SurveyOptions,
    progress: &dyn Progress,
) -> Result<Survey, SurveyError> {
    let people = options.people.as_deref().map(people::read).transpose()?;
    let listed = tree::list(root)?;
    let mut survey = Survey::default();
    survey.concerns.extend(listed.concerns.clone());
    let (existing, remembered) = crew::both(
        || Existing::read(root, &mut survey.concerns),
        || Memory::read(root),
    );
    let mut existing = existing?;
    let files = select::select(&listed, &mut survey.concerns);
    let looks = look_at_all(&files, &remembered, options.threads, progress);
    let mut notes = Notes::of(&looks);
    let (known, remembered) = remembered.let_go(&notes);
    survey.collection = existing.take_collection();
    if let Some(sheet) = sheet {
        if !matches!(existing, Existing::Nothing) {
            return Err(SurveyError::CatalogueThere);
        }
        let pictures: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
        take_over::take_over(sheet, &pictures, &mut survey)?;
    }
    let before = survey.collection.clone();
    let on_disk: Vec<&str> = listed.files.iter().map(|file| file.path.as_str()).collect();
    rows::add(&mut survey, looks, &on_disk);
    drop(listed);
    if let (Some(tree), Some(file)) = (people, &options.people) {
        people::add(&mut survey, tree, &file.display().to_string());
    }
    let wanted = Wanted {
        small: matches!(existing, Existing::Nothing) && options.sheets == SheetForm::Workbook,
        known: &known,
    };
    let fronts = pictures::fronts(root, &mut survey, &wanted, options, progress);
    remarks::remark(&mut survey, &before, &fronts);
    if existing.can_be_written() {
        writing::write(root, &existing, &before, &fronts, options, &mut survey)?;
        notes.add_fingerprints(&fronts);
        notes.write(root, remembered.as_ref(), &mut survey);
    }
    Ok(survey)
}

fn look_at_all(
    files: &[&tree::TreeFile],
    remembered: &Memory,
    threads: usize,
    progress: &dyn Progress,
) -> Vec<Look> {
    let total = u64::try_from(files.len()).unwrap_or(u64::MAX);
    progress.begin("Looking at the files", total);
    let looks = crew::share(files, threads, |file| {
        let look = remembered.look(file).unwrap_or_else(|| look::look(file));
        progress.advance(1);
        look
    });
    progress.end();
    looks
}

/// The catalogue that is there.
enum Existing {
    /// None.
    Nothing,
    /// One that was read, with the bytes of its files as they were just before.
    Read(Box<Reading>, Vec<(String, Vec<u8>)>),
    /// One that cannot be read, so that nothing may be added to it.
    Unreadable,
}

impl Existing {
    fn read(root: &Path, concerns: &mut ConcernList) -> Result<Self, SurveyError> {
        let before = refresh::catalogue_bytes(root)?;
        match catalogue::read(root) {
            Ok(reading) => {
                let mut stopped = false;
                for concern in &reading.concerns {
                    // What is odd in the sheets is for `weigh` to tell; here only what keeps them from being added to.
                    stopped |= concern.severity == Severity::Stop;
                    if concern.severity == Severity::Stop || concern.code == "several-catalogues" {
                        concerns.push(concern.clone());
                    }
                }
                if stopped {
                    return Ok(Self::Unreadable);
                }
                Ok(Self::Read(Box::new(reading), before))
            }
            Err(CatalogueError::NoCatalogue { .. }) => Ok(Self::Nothing),
            Err(error @ CatalogueError::Sheet { .. }) => {
                concerns.push(error.as_concern());
                Ok(Self::Unreadable)
            }
            Err(error) => Err(SurveyError::Catalogue(error)),
        }
    }

    /// Takes the record out: it is large, and what is left is only asked for its form.
    fn take_collection(&mut self) -> Collection {
        match self {
            Self::Read(reading, _) => std::mem::take(&mut reading.collection),
            Self::Nothing | Self::Unreadable => Collection {
                record_version: RECORD_VERSION,
                ..Collection::default()
            },
        }
    }

    const fn can_be_written(&self) -> bool {
        !matches!(self, Self::Unreadable)
    }
}
