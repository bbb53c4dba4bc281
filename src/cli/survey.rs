//! `survey`: look at a folder of scans and draft or refresh its catalogue.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::survey;
use crate::survey::SheetForm;
use crate::survey::Survey;
use crate::survey::SurveyOptions;
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
    };
    let survey = survey::survey(&arguments.collection, &options, &*session.progress)
        .map_err(|error| Failure::from_error(&error))?;
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

fn tell(session: &Session, survey: &Survey, root: &Path) {
    let terminal = &session.terminal;
    session.concerns(&survey.concerns);
    if !survey.concerns.is_empty() {
        terminal.say("");
    }
    let portraits = survey.collection.portraits.len();
    terminal.say_styled(
        Style::Strong,
        &format!(
            "{} pictures looked at, {portraits} portraits in the catalogue.",
            survey.files.len()
        ),
    );
    if survey.rebuilt_scans > 0 {
        terminal.say(&format!(
            "  {} scans carried their own record; their rows were rebuilt from it.",
            survey.rebuilt_scans
        ));
    }
    if survey.new_scans > 0 {
        terminal.say(&format!(
            "  new: {} scans, {} portraits",
            survey.new_scans, survey.new_portraits
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
    terminal.tell("  1. Open the catalogue and fill in what you know; leave the rest empty. The first sheet explains how.");
    terminal.tell(&format!(
        "  2. Let kithbag check it:  kithbag weigh {}",
        root.display()
    ));
}
