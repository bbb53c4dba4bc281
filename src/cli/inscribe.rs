//! `inscribe`: write described copies, or give the originals back from them.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::pack::TOOL;
use super::session::Session;
use super::terminal::Style;
use super::weigh;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::inscribe;
use crate::inscribe::InscribeOptions;
use crate::inscribe::InscribedSet;
use crate::inscribe::Undone;
use crate::store::StoreError;
use crate::store::staging::Staging;
use std::path::Path;

/// Writes described copies into a new folder; with `--undo`, the originals from described copies.
///
/// # Errors
/// Gives a failure when the catalogue cannot be read or the copies cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Inscribe) -> Result<Exit, Failure> {
    if arguments.undo {
        return undo(session, arguments);
    }
    let [collection] = arguments.paths.as_slice() else {
        return Err(Failure::command_line(
            "One collection can be inscribed at a time.",
            "Name one folder. To get originals back from copies, add --undo.",
        ));
    };
    let Some(sound) = weigh::ready(session, collection)? else {
        return Ok(Exit::Found);
    };
    let options = InscribeOptions {
        prefix: String::new(),
        algorithms: vec![Algorithm::Sha256],
        threads: session.threads,
        drop_private: false,
        tool: TOOL.to_owned(),
    };
    let staging = begin(&arguments.into, arguments.resume)?;
    let set = inscribe::inscribe_all(
        sound.collection(),
        collection,
        &options,
        &staging,
        &*session.progress,
    )
    .map_err(|error| Failure::from_error(&error))?;
    staging
        .commit()
        .map_err(|error| Failure::from_error(&error))?;
    if session.json {
        session.document(&set)?;
    } else {
        tell(session, &set, &arguments.into);
    }
    Ok(Exit::Done)
}

fn begin(into: &Path, resume: bool) -> Result<Staging, Failure> {
    let begun = if resume {
        Staging::taken_up(into)
    } else {
        Staging::beside(into)
    };
    begun.map_err(|error: StoreError| Failure::from_error(&error))
}

fn tell(session: &Session, set: &InscribedSet, into: &Path) {
    let terminal = &session.terminal;
    session.concerns(&set.concerns);
    let beside = set.files.iter().filter(|file| file.sidecar).count();
    let inside = set.files.len().saturating_sub(beside);
    terminal.say_styled(
        Style::Good,
        &format!(
            "{} in {}",
            counted(inside, "described copy is", "described copies are"),
            into.display()
        ),
    );
    terminal.say("  The picture in each is that of the original, bit for bit: every copy was read back and compared.");
    if beside > 0 {
        terminal.say(&format!(
            "  {} in .xmp.",
            counted(
                beside,
                "scan cannot carry its record inside; it lies in a file ending",
                "scans cannot carry their records inside; they lie in files ending"
            )
        ));
    }
    terminal.tell("\nThese copies hold everything, private facts too. To give pictures away, make a package: kithbag pack … --for family");
}

fn undo(session: &Session, arguments: &arguments::Inscribe) -> Result<Exit, Failure> {
    let staging = begin(&arguments.into, arguments.resume)?;
    let done = inscribe::undo_all(&arguments.paths, &staging, &*session.progress)
        .map_err(|error| Failure::from_error(&error))?;
    let restored = done.iter().filter(|one| one.refused.is_none()).count();
    if restored > 0 {
        staging
            .commit()
            .map_err(|error| Failure::from_error(&error))?;
    }
    if session.json {
        session.document(&done)?;
    } else {
        tell_undone(session, &done, restored, &arguments.into);
    }
    Ok(if restored == done.len() {
        Exit::Done
    } else {
        Exit::Found
    })
}

fn tell_undone(session: &Session, done: &[Undone], restored: usize, into: &Path) {
    let terminal = &session.terminal;
    for one in done {
        if let Some(why) = &one.refused {
            terminal.say_styled(Style::Careful, &format!("  {}: {why}", one.copy));
        }
    }
    let style = if restored == done.len() {
        Style::Good
    } else {
        Style::Careful
    };
    terminal.say_styled(
        style,
        &format!(
            "{restored} of {} originals given back in {}",
            done.len(),
            into.display()
        ),
    );
    terminal.tell("  Each has the checksum that its original had, bit for bit.");
}
