//! `pack --supersedes`: the earlier package is checked before anything is said of it, and what changed is told at the end.

use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::audit;
use crate::audit::AuditOptions;
use crate::pack;
use crate::pack::Earlier;
use crate::pack::EditionError;
use crate::record::Edition;
use std::path::Path;

/// What was found of the package that is to be superseded.
pub(super) enum Found {
    /// It is sound.
    Sound(Box<Earlier>),
    /// It is damaged; everything was told.
    Damaged,
}

/// Audits the earlier package, every byte of it, and reads its record.
///
/// # Errors
/// Gives a failure when it cannot be read, or is no package of kithbag's.
pub(super) fn earlier(session: &Session, path: &Path) -> Result<Found, Failure> {
    let options = AuditOptions {
        threads: session.threads,
        ..AuditOptions::default()
    };
    let report = audit::audit(path, &options, &*session.progress)
        .map_err(|error| Failure::from_error(&error))?;
    if report.is_sound() {
        return match pack::read_earlier(path) {
            Ok(earlier) => Ok(Found::Sound(Box::new(earlier))),
            Err(error) => Err(refused(&error)),
        };
    }
    if session.json {
        session.document(&report)?;
    } else {
        super::audit::tell(session, &report);
        session.terminal.say_styled(
            Style::Bad,
            "Nothing was written: the package that is to be superseded is not sound.",
        );
        session.terminal.say_styled(
            Style::Soft,
            "          → Name another copy of it, or rebuild it from two copies first: kithbag mend COPY COPY --into FOLDER",
        );
    }
    Ok(Found::Damaged)
}

/// Returns what to do about a package that cannot be superseded.
pub(super) fn refused(error: &EditionError) -> Failure {
    let failure = Failure::from_error(error);
    let remedy = match error {
        EditionError::Store(_) => return failure,
        EditionError::OtherAudience { found, .. } => format!(
            "Pack for {found}, or name the package that this audience got before."
        ),
        EditionError::OtherCollection { .. } => {
            "Check that you named the collection and the package that you meant; nothing was written.".to_owned()
        }
        EditionError::Lacking { .. } | EditionError::OtherRecord { .. } | EditionError::Record { .. } => {
            "Name a package that kithbag made from this collection; nothing was written.".to_owned()
        }
    };
    Failure { remedy, ..failure }
}

/// Tells what changed since the edition before.
pub(super) fn tell(session: &Session, editions: &[Edition]) {
    let (Some(own), Some(before)) = (editions.last(), editions.iter().rev().nth(1)) else {
        return;
    };
    let terminal = &session.terminal;
    terminal.say_styled(
        Style::Strong,
        &format!(
            "Edition {}. What changed since {}:",
            own.number, before.package
        ),
    );
    for change in &own.changes {
        terminal.say(&format!("  {}: {}", change.portrait, change.what));
    }
    if own.changes.is_empty() {
        terminal.say("  nothing");
    }
    terminal.say("");
}
