//! `weigh`: check the catalogue and weigh the evidence.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::catalogue;
use crate::catalogue::CatalogueError;
use crate::concern::ConcernList;
use crate::counting::counted;
use crate::format::viewing;
use crate::record::Day;
use crate::record::PortraitNumber;
use crate::record::View;
use crate::record::caution::GENERAL;
use crate::store;
use crate::store::staging;
use crate::survey;
use crate::weigh;
use crate::weigh::FoundFile;
use crate::weigh::PagePicture;
use crate::weigh::SoundCatalogue;
use crate::weigh::WeighOptions;
use crate::weigh::Weighing;
use crate::weigh::schemas::WeighReport;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::collections::BTreeMap;
use std::path::Path;

/// Most numbers of portraits that stand beside a caution.
const MOST_NUMBERS: usize = 12;

/// Prints concerns, worst first, then one line for each portrait; or one portrait's reasoning, or a page of all.
///
/// # Errors
/// Gives a failure when there is no catalogue, it cannot be read, or the page cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Weigh) -> Result<Exit, Failure> {
    let (weighing, concerns) = look(session, &arguments.collection, true)?;
    let stopped = weighing.concerns.has_stop() || concerns.has_stop();
    if let Some(number) = &arguments.explain {
        explain(session, &weighing, number)?;
    } else if let Some(file) = &arguments.page {
        write_page(session, &weighing, &arguments.collection, file)?;
    } else if session.json {
        session.document(&WeighReport {
            weighing: &weighing,
            catalogue: &concerns,
            cautions: weighing.cautions(),
        })?;
    } else {
        tell(session, &weighing, &concerns);
    }
    // The process is about to end, and the system takes everything back at once.
    std::mem::forget(weighing);
    Ok(if stopped { Exit::Found } else { Exit::Done })
}

/// Reads and weighs a collection, and gives the proof that nothing blocks; else tells everything that does and gives nothing.
///
/// # Errors
/// Gives a failure when there is no catalogue or it cannot be read.
pub(super) fn ready(session: &Session, root: &Path) -> Result<Option<SoundCatalogue>, Failure> {
    let (weighing, mut concerns) = look(session, root, false)?;
    match (weighing.sound(), concerns.has_stop()) {
        (Ok(sound), false) => Ok(Some(sound)),
        (outcome, _) => {
            if let Err(noticed) = outcome {
                concerns.extend(noticed);
            }
            if session.json {
                session.document(&concerns)?;
            } else {
                session.concerns(&concerns);
                session.terminal.say_styled(
                    Style::Bad,
                    "Nothing was written: what is marked “stop” must be settled first.",
                );
            }
            Ok(None)
        }
    }
}

/// Reads and weighs a collection; with `inside`, also what its scans say already.
fn look(session: &Session, root: &Path, inside: bool) -> Result<(Weighing, ConcernList), Failure> {
    let reading = catalogue::read(root).map_err(|error| refused(root, &error))?;
    let found = survey::picture_files(root).map_err(|error| Failure::from_error(&error))?;
    let inside = inside.then(|| survey::inside(root, &found, session.threads));
    let files: Vec<FoundFile> = found.into_iter().map(FoundFile::at).collect();
    let options = WeighOptions {
        as_of: day(session),
        files: Some(&files),
        inside: inside.as_ref(),
        threads: session.threads,
    };
    Ok((
        weigh::weigh_owned(reading.collection, &options),
        reading.concerns,
    ))
}

/// Returns the day that counts as today, as the record counts days.
pub(super) fn day(session: &Session) -> Day {
    Day::from_iso(&session.as_of.to_string())
        .unwrap_or_else(|| Day::first_of_year(i64::from(session.as_of.year())))
}

fn refused(root: &Path, error: &CatalogueError) -> Failure {
    match error {
        CatalogueError::NoCatalogue { .. } => Failure::could_not(
            format!("There is no catalogue in {}.", root.display()),
            format!(
                "Let kithbag draft one first: kithbag survey {}",
                root.display()
            ),
        ),
        other => Failure::from_error(other),
    }
}

fn explain(session: &Session, weighing: &Weighing, number: &str) -> Result<(), Failure> {
    let wanted = PortraitNumber::new(number);
    let Some(explanation) = weighing.explain(&wanted) else {
        let known: Vec<&str> = weighing
            .portraits
            .iter()
            .map(|portrait| portrait.number.as_str())
            .take(12)
            .collect();
        return Err(Failure::command_line(
            format!("There is no portrait “{number}” in the catalogue."),
            format!("Portraits there are: {}.", known.join(", ")),
        ));
    };
    if session.json {
        return session.document(&explanation);
    }
    session.terminal.say(&explanation.text);
    Ok(())
}

/// Writes the page with a small picture of each portrait inside it, so that it can be moved and sent as one file.
fn write_page(
    session: &Session,
    weighing: &Weighing,
    root: &Path,
    file: &Path,
) -> Result<(), Failure> {
    let mut pictures = BTreeMap::new();
    for portrait in &weighing.portraits {
        let mut scans = weighing.collection().scans_of(&portrait.number);
        let front =
            scans.find(|scan| scan.view.given() == Some(&View::Front) && !scan.is_altered());
        if let Some(picture) = front.and_then(|scan| small_picture(&root.join(&scan.file))) {
            pictures.insert(portrait.number.clone(), picture);
        }
    }
    staging::write_new(file, weighing.page(&pictures).as_bytes())
        .map_err(|error| Failure::from_error(&error))?;
    session.terminal.say(&format!(
        "The reasoning about all portraits is in {}",
        file.display()
    ));
    Ok(())
}

/// A scan that cannot be shown leaves its place on the page empty; `survey` tells why.
fn small_picture(path: &Path) -> Option<PagePicture> {
    let source = store::open(path).ok()?;
    let thumbnail = viewing::thumbnail(source, viewing::THUMBNAIL_EDGE).ok()?;
    let address = format!(
        "data:image/jpeg;base64,{}",
        STANDARD.encode(&thumbnail.jpeg)
    );
    Some(PagePicture {
        address,
        width: thumbnail.width,
        height: thumbnail.height,
    })
}

fn tell(session: &Session, weighing: &Weighing, concerns: &ConcernList) {
    let terminal = &session.terminal;
    let mut all = concerns.clone();
    all.extend(weighing.concerns.clone());
    session.concerns(&all);
    if !all.is_empty() {
        terminal.say("");
    }
    terminal.say_styled(Style::Strong, "The portraits");
    for portrait in &weighing.portraits {
        terminal.say(&format!("  {}", portrait.line()));
    }
    cautions(session, weighing);
    terminal.say("");
    terminal.say(&format!(
        "{}; noticed: {}.",
        counted(weighing.portraits.len(), "portrait", "portraits"),
        Session::counted(&all)
    ));
    terminal.tell("");
    terminal.tell("What to do next");
    if all.has_stop() {
        terminal.tell("  Settle what is marked “stop” in the catalogue, then weigh again. Nothing can be packed before.");
    } else {
        terminal.tell("  Read the questions and warnings; none of them keeps you from packing.");
        terminal.tell("  One portrait's reasoning:   kithbag weigh FOLDER --explain NUMBER");
        terminal.tell(
            "  Make a package:             kithbag pack FOLDER --for keeping --into SOMEWHERE",
        );
    }
}

/// Cautions are no advice that a person could be quiet about: they are printed with `--quiet` too.
fn cautions(session: &Session, weighing: &Weighing) {
    let called = weighing.cautions();
    if called.is_empty() {
        return;
    }
    let terminal = &session.terminal;
    terminal.say("");
    terminal.say_styled(Style::Strong, "Take care");
    for one in &called {
        terminal.say(&format!(
            "  {}{}: {}",
            one.about,
            numbers(&one.portraits),
            one.text
        ));
    }
    terminal.say_styled(Style::Soft, &format!("  {GENERAL}"));
}

fn numbers(portraits: &[PortraitNumber]) -> String {
    let shown: Vec<&str> = portraits
        .iter()
        .take(MOST_NUMBERS)
        .map(PortraitNumber::as_str)
        .collect();
    match portraits.len().checked_sub(shown.len()) {
        _ if shown.is_empty() => String::new(),
        Some(more) if more > 0 => format!(" ({} and {more} more)", shown.join(", ")),
        _ => format!(" ({})", shown.join(", ")),
    }
}
