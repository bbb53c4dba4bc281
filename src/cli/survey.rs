//! `survey`: look at a folder of scans and draft or refresh its catalogue.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::catalogue::CatalogueError;
use crate::counting::counted;
use crate::survey;
use crate::survey::SheetForm;
use crate::survey::Survey;
use crate::survey::SurveyError;
use crate::survey::SurveyOptions;
use crate::survey::TakenOver;
use crate::survey::TreePeople;
use std::path::Path;

/// Looks at every picture and drafts the catalogue, or adds to the one that is there.
///
/// # Errors
/// Gives a failure when the folder cannot be listed or the catalogue cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Survey) -> Result<Exit, Failure> {
    let sheets = match arguments.sheets {
        arguments::SheetForm::Xlsx => SheetForm::Workbook,
        arguments::SheetForm::Csv => SheetForm::Csv,
    };
    let options = SurveyOptions {
        as_of: session.as_of,
        sheets,
        threads: session.threads,
        people: arguments.people.clone(),
    };
    let (root, progress) = (&arguments.collection, &*session.progress);
    let survey = match &arguments.from {
        Some(sheet) => survey::survey_from(root, sheet, &options, progress),
        None => survey::survey(root, &options, progress),
    };
    let survey = survey.map_err(|error| refused(&error))?;
    if session.json {
        session.document(&survey)?;
    } else {
        tell(session, &survey, &arguments.collection);
    }
    Ok(if survey.concerns.has_stop() {
        Exit::Found
    } else {
        Exit::Done
    })
}

fn refused(error: &SurveyError) -> Failure {
    match error {
        SurveyError::CatalogueThere => Failure::could_not(
            "There is a catalogue already, so no other sheet was taken over: what you wrote there could be doubled.",
            "Copy the rows you want into it by hand; or move the catalogue out of the folder and run this again.",
        ),
        SurveyError::FamilyTree { .. } => Failure {
            remedy: "Save the tree in your family tree program as GEDCOM (a file ending in .ged), then run this again; nothing was written.".to_owned(),
            ..Failure::from_error(error)
        },
        SurveyError::Catalogue(CatalogueError::Sheet { file, fault }) => {
            Failure::could_not(format!("“{file}” cannot be read: {fault}."), fault.remedy())
        }
        other => Failure::from_error(other),
    }
}

/// Tells what became of each column of a person's own sheet.
fn tell_taken_over(session: &Session, taken: &TakenOver) {
    let terminal = &session.terminal;
    terminal.say_styled(
        Style::Strong,
        &format!(
            "“{}” was read, {}, and left as it is. Where its columns went:",
            taken.file,
            counted(taken.rows, "row", "rows")
        ),
    );
    let widest = taken.mapping.iter().map(|one| one.heading.chars().count());
    let width = widest.max().unwrap_or_default().min(30);
    for one in &taken.mapping {
        let target = one.goes_to.map_or_else(
            || "kept as a column of your own, on “Portraits”".to_owned(),
            |(sheet, column)| format!("“{column}” on “{sheet}”"),
        );
        terminal.say(&format!("  {:width$}  → {target}", one.heading));
        terminal.tell(&format!("  {:width$}    {}", "", one.why));
    }
    if let Some(title) = taken.above.first() {
        terminal.say(&format!(
            "  “{title}”, above the headings, is now the title."
        ));
    }
    terminal.say("");
}

/// Tells what came from the family tree.
fn tell_people(session: &Session, people: &TreePeople) {
    let version = if people.version.is_empty() {
        String::new()
    } else {
        format!(" (GEDCOM {})", people.version)
    };
    session.terminal.say(&format!(
        "  family tree{version}: {}; {} got a row in “People”, in {} blank cells were filled, {} left as they are",
        counted(people.people, "person", "people"),
        people.new,
        counted(people.completed, "row", "rows"),
        counted(people.unchanged, "row was", "rows were")
    ));
}

/// Tells how many scans brought their record along.
fn tell_rebuilt(session: &Session, scans: usize) {
    if scans > 0 {
        session.terminal.say(&format!(
            "  {} rebuilt from that.",
            counted(
                scans,
                "scan carried its own record; its row was",
                "scans carried their own records; their rows were"
            )
        ));
    }
}

fn tell(session: &Session, survey: &Survey, root: &Path) {
    let terminal = &session.terminal;
    session.concerns(&survey.concerns);
    if !survey.concerns.is_empty() {
        terminal.say("");
    }
    let portraits = survey.collection.portraits.len();
    if let Some(taken) = &survey.taken_over {
        tell_taken_over(session, taken);
    }
    terminal.say_styled(
        Style::Strong,
        &format!(
            "{} looked at, {} in the catalogue.",
            counted(survey.files.len(), "picture", "pictures"),
            counted(portraits, "portrait", "portraits")
        ),
    );
    tell_rebuilt(session, survey.rebuilt_scans);
    if let Some(people) = &survey.people {
        tell_people(session, people);
    }
    if survey.new_scans > 0 {
        terminal.say(&format!(
            "  new: {}, {}",
            counted(survey.new_scans, "scan", "scans"),
            counted(survey.new_portraits, "portrait", "portraits")
        ));
    }
    if survey.files.is_empty() {
        terminal.say(
            "  There are no pictures here that kithbag knows. Is this the folder with your scans?",
        );
        return;
    }
    match survey.wrote.as_slice() {
        [] => terminal.say_styled(
            Style::Good,
            "The catalogue has everything already; nothing was written.",
        ),
        wrote => wrote.iter().for_each(|file| {
            let line = format!("  written: {}", root.join(file).display());
            terminal.say_styled(Style::Good, &line);
        }),
    }
    terminal.say(&format!("Noticed: {}.", Session::counted(&survey.concerns)));
    terminal.tell("\nWhat to do next");
    if survey.taken_over.is_some() {
        terminal.tell("  1. Open the catalogue and see whether your columns went to the right places. If not: delete it, rename the headings");
        terminal
            .tell("     in a copy of your sheet to those of the catalogue, and run this again.");
    } else {
        terminal.tell("  1. Open the catalogue and fill in what you know; leave the rest empty. The first sheet explains how.");
    }
    terminal.tell(&format!(
        "  2. Let kithbag check it:  kithbag weigh {}",
        root.display()
    ));
}
