//! `mend`: rebuild a sound package from damaged copies.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::counting::counted;
use crate::mend;
use crate::mend::MendReport;

/// Rebuilds the package, or says which files cannot be had and builds nothing.
///
/// # Errors
/// Gives a failure when a copy cannot be opened or the rebuilt package cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Mend) -> Result<Exit, Failure> {
    let report = mend::mend(
        &arguments.packages,
        &arguments.into,
        session.threads,
        &*session.progress,
    )
    .map_err(|error| Failure::from_error(&error))?;
    if session.json {
        session.document(&report)?;
    } else {
        tell(session, &report);
    }
    Ok(if report.package.is_some() {
        Exit::Done
    } else {
        Exit::Found
    })
}

fn tell(session: &Session, report: &MendReport) {
    let terminal = &session.terminal;
    for taken in &report.taken {
        terminal.say(&format!(
            "  {} taken from {}",
            counted(taken.files, "file", "files"),
            taken.copy
        ));
    }
    for lost in &report.cannot_be_had {
        terminal.say_styled(Style::Bad, &format!("  {}: {}", lost.path, lost.why));
    }
    let style = if report.package.is_some() {
        Style::Good
    } else {
        Style::Bad
    };
    terminal.say_styled(style, &report.verdict);
    terminal.tell(match report.package {
        Some(_) => "  → Check it once more (kithbag audit), then keep it in two places. The damaged copies were only read.",
        None => "  → Look for another copy: on another disk, with a relative, at the archive. Nothing was built.",
    });
}
