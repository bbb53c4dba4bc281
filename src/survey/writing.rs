//! Writes a new catalogue, or adds to the one that is there; the earlier state is kept beside it.

use super::Existing;
use super::SheetForm;
use super::SurveyError;
use super::SurveyOptions;
use super::pictures::Front;
use super::refresh;
use super::refresh::Addition;
use super::seen::Survey;
use super::workbook;
use crate::catalogue;
use crate::catalogue::CatalogueForm;
use crate::catalogue::Reading;
use crate::catalogue::columns::SHEETS;
use crate::concern::Place;
use crate::format::sheet;
use crate::format::sheet::Table;
use crate::format::sheet::draft;
use crate::format::sheet::refresh::RefreshFault;
use crate::format::sheet::refresh::Refreshed;
use crate::portable_path::PortablePath;
use crate::record::Collection;
use crate::store;
use crate::store::StoreError;
use crate::store::staging;
use crate::store::staging::Staging;
use std::path::Path;

/// The title in the properties of a workbook.
const TITLE: &str = "Catalogue of portraits";

/// The name for rows that could not be put into the catalogue itself.
const NEW_ROWS: &str = "catalogue-new-rows";

/// Writes what is to be written and says so in the survey.
pub(super) fn write(
    root: &Path,
    existing: &Existing,
    before: &Collection,
    fronts: &[Front],
    options: &SurveyOptions,
    survey: &mut Survey,
) -> Result<(), SurveyError> {
    match existing {
        Existing::Nothing => write_new(root, fronts, options, survey),
        Existing::Read(reading, files) => {
            let refreshing = Refreshing {
                root,
                reading,
                files,
                fronts,
                options,
            };
            refreshing.run(before, survey)
        }
        Existing::Unreadable => Ok(()),
    }
}

fn write_new(
    root: &Path,
    fronts: &[Front],
    options: &SurveyOptions,
    survey: &mut Survey,
) -> Result<(), SurveyError> {
    match options.sheets {
        SheetForm::Workbook => {
            let tables = catalogue::tables(&survey.collection);
            let draft = workbook::draft(TITLE, tables, fronts, options.as_of);
            let name = catalogue::read::WORKBOOK;
            staging::write_new(&root.join(name), &draft::workbook(&draft)?)?;
            survey.wrote.push(name.to_owned());
        }
        SheetForm::Csv => {
            let folder = catalogue::read::FOLDER;
            let files = catalogue::csv_files(&survey.collection);
            write_folder(root, folder, &files)?;
            let names = files.iter().map(|(name, _)| format!("{folder}/{name}"));
            survey.wrote.extend(names);
        }
    }
    Ok(())
}

/// Writes the files of a new folder, all or none. A folder of that name that holds other things gets them one by one.
fn write_folder(root: &Path, folder: &str, files: &[(String, Vec<u8>)]) -> Result<(), StoreError> {
    let target = root.join(folder);
    if store::is_folder(&target) {
        return files
            .iter()
            .try_for_each(|(name, bytes)| staging::write_new(&target.join(name), bytes));
    }
    let staging = Staging::beside(&target)?;
    for (name, bytes) in files {
        // Names of our own sheets, or of files that lay in one folder, are portable.
        if let Ok(path) = PortablePath::new(name) {
            staging.write(&path, bytes)?;
        }
    }
    staging.commit()?;
    Ok(())
}

/// A catalogue that is there and is to be added to.
struct Refreshing<'a> {
    root: &'a Path,
    reading: &'a Reading,
    /// The files as they were before anything was read from them.
    files: &'a [(String, Vec<u8>)],
    fronts: &'a [Front],
    options: &'a SurveyOptions,
}

impl Refreshing<'_> {
    fn run(&self, before: &Collection, survey: &mut Survey) -> Result<(), SurveyError> {
        // Comparing sheet by sheet would read all of them once more, only to add nothing.
        if *before == survey.collection {
            return Ok(());
        }
        let form = self.reading.source.form;
        let theirs = refresh::tables(form, self.files)?;
        let additions = refresh::additions(before, &survey.collection, &theirs);
        if additions.is_empty() {
            return Ok(());
        }
        report_missing_columns(&additions, survey);
        if let Some(name) = self.open_elsewhere() {
            survey.concerns.warning(
                "catalogue-open",
                Place::file(name),
                "The catalogue is open in a spreadsheet program, so nothing was added to it.",
                "Save and close it there, then run this again.",
            );
            return Ok(());
        }
        if refresh::catalogue_bytes(self.root)? != self.files {
            survey.concerns.warning(
                "catalogue-changed",
                Place::unknown(),
                "The catalogue was changed while it was being read, so nothing was added to it.",
                "Run this again.",
            );
            return Ok(());
        }
        match form {
            CatalogueForm::Xlsx => self.add_to_workbook(&additions, survey),
            CatalogueForm::Ods => {
                let fault =
                    "it is an OpenDocument workbook, which kithbag reads and does not change";
                self.write_apart(&additions, fault, survey)
            }
            CatalogueForm::CsvFolder => self.add_to_folder(&additions, survey),
        }
    }

    /// Spreadsheet programs leave a small file beside a sheet while it is open.
    fn open_elsewhere(&self) -> Option<&str> {
        let names = self.files.iter().map(|(name, _)| name.as_str());
        names.into_iter().find(|path| {
            let (folder, name) = path.rsplit_once('/').unwrap_or(("", path));
            [format!("~${name}"), format!(".~lock.{name}#")]
                .iter()
                .any(|lock| store::exists(&self.root.join(folder).join(lock)))
        })
    }

    fn add_to_workbook(
        &self,
        additions: &[Addition],
        survey: &mut Survey,
    ) -> Result<(), SurveyError> {
        let Some((name, bytes)) = self.files.first() else {
            return Ok(());
        };
        let to_sheets: Vec<_> = additions.iter().map(|one| one.to_sheet.clone()).collect();
        match sheet::refresh::refresh(bytes, &to_sheets) {
            Ok(done) => {
                let kept = self.free_name(refresh::stem(name), ".xlsx");
                staging::write_new(&self.root.join(&kept), bytes)?;
                staging::replace(&self.root.join(name), &done.bytes)?;
                survey.filled_cells = done.filled;
                survey.wrote.extend([name.clone(), kept]);
                Ok(())
            }
            Err(fault) => self.write_apart(additions, &fault.to_string(), survey),
        }
    }

    /// Returns a name with the day in it that is not taken: `catalogue 2026-03-14.xlsx`.
    fn free_name(&self, stem: &str, ending: &str) -> String {
        let day = self.options.as_of;
        let first = format!("{stem} {day}{ending}");
        let more = (2_u32..).map(|count| format!("{stem} {day} ({count}){ending}"));
        std::iter::once(first)
            .chain(more)
            .find(|name| !store::exists(&self.root.join(name)))
            .unwrap_or_default()
    }

    /// Adds to each CSV file in its own dialect; all of them are worked out before the first is written.
    fn add_to_folder(
        &self,
        additions: &[Addition],
        survey: &mut Survey,
    ) -> Result<(), SurveyError> {
        let mut changed: Vec<(String, Refreshed)> = Vec::new();
        let mut new: Vec<(String, Vec<u8>)> = Vec::new();
        for one in additions {
            let file = self
                .files
                .iter()
                .find(|(name, _)| catalogue::sheet_named(refresh::stem(name)) == Some(one.plan));
            match file {
                Some((name, bytes)) => match sheet::refresh::refresh_csv(bytes, &one.to_sheet) {
                    Ok(done) => changed.push((name.clone(), done)),
                    Err(fault) => {
                        return self.write_apart(additions, &fault_of(name, &fault), survey);
                    }
                },
                None => new.push((one.plan.file_name.to_owned(), sheet::write_csv(&one.rows))),
            }
        }
        let folder = catalogue::read::FOLDER;
        let kept = self.free_name(folder, "");
        let earlier: Vec<(String, Vec<u8>)> = self
            .files
            .iter()
            .map(|(name, bytes)| {
                (
                    name.rsplit('/').next().unwrap_or(name).to_owned(),
                    bytes.clone(),
                )
            })
            .collect();
        write_folder(self.root, &kept, &earlier)?;
        for (name, done) in changed {
            staging::replace(&self.root.join(&name), &done.bytes)?;
            survey.filled_cells = survey.filled_cells.saturating_add(done.filled);
            survey.wrote.push(name);
        }
        for (name, bytes) in new {
            let path = format!("{folder}/{name}");
            staging::write_new(&self.root.join(&path), &bytes)?;
            survey.wrote.push(path);
        }
        survey.wrote.push(format!("{kept}/"));
        Ok(())
    }

    /// Puts the new rows into a file of their own, because the catalogue cannot be added to without loss.
    fn write_apart(
        &self,
        additions: &[Addition],
        why: &str,
        survey: &mut Survey,
    ) -> Result<(), SurveyError> {
        let rows: usize = additions.iter().map(|one| one.rows.rows.len()).sum();
        let catalogue_name = self.files.first().map_or("catalogue", |(name, _)| name);
        if rows == 0 {
            survey.concerns.note(
                "cells-not-filled",
                Place::file(catalogue_name),
                format!("The grey cells of the catalogue were left blank, because {why}."),
                "Nothing need be done.",
            );
            return Ok(());
        }
        let tables: Vec<Table> = SHEETS
            .iter()
            .map(|plan| rows_of(plan.name, additions))
            .collect();
        let name = if self.reading.source.form == CatalogueForm::CsvFolder {
            self.write_apart_csv(additions)?
        } else {
            let draft = workbook::draft(TITLE, tables, self.fronts, self.options.as_of);
            self.write_apart_as(&draft::workbook(&draft)?)?
        };
        survey.concerns.warning(
            "rows-written-apart",
            Place::file(catalogue_name),
            format!("{rows} new rows were not put into the catalogue, because {why}."),
            format!(
                "They are in “{name}”. Copy them into your sheets by hand, then delete that file."
            ),
        );
        survey.wrote.push(name);
        Ok(())
    }

    fn write_apart_as(&self, bytes: &[u8]) -> Result<String, StoreError> {
        let first = format!("{NEW_ROWS}.xlsx");
        let target = self.root.join(&first);
        if !store::exists(&target) {
            staging::write_new(&target, bytes)?;
            return Ok(first);
        }
        // The same rows as last time need no second file.
        if store::read_all(&target)? == bytes {
            return Ok(first);
        }
        let name = self.free_name(NEW_ROWS, ".xlsx");
        staging::write_new(&self.root.join(&name), bytes)?;
        Ok(name)
    }

    fn write_apart_csv(&self, additions: &[Addition]) -> Result<String, StoreError> {
        let files: Vec<(String, Vec<u8>)> = additions
            .iter()
            .filter(|one| !one.rows.rows.is_empty())
            .map(|one| (one.plan.file_name.to_owned(), sheet::write_csv(&one.rows)))
            .collect();
        let name = if store::exists(&self.root.join(NEW_ROWS)) {
            self.free_name(NEW_ROWS, "")
        } else {
            NEW_ROWS.to_owned()
        };
        write_folder(self.root, &name, &files)?;
        Ok(name)
    }
}

fn fault_of(name: &str, fault: &RefreshFault) -> String {
    format!("{fault} (file “{name}”)")
}

fn rows_of(sheet: &str, additions: &[Addition]) -> Table {
    let found = additions.iter().find(|one| one.plan.name == sheet);
    found.map(|one| one.rows.clone()).unwrap_or_default()
}

fn report_missing_columns(additions: &[Addition], survey: &mut Survey) {
    for one in additions {
        if one.without_column.is_empty() {
            continue;
        }
        survey.concerns.warning(
            "no-such-column",
            Place::sheet(&one.to_sheet.sheet),
            format!(
                "This sheet has no column for: {}. What belongs there was left out of the new rows.",
                one.without_column.join(", ")
            ),
            "Add the headings at the right end of the sheet and fill in the new rows by hand.",
        );
    }
}
