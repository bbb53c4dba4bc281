//! Before a package leaves: the list of everything about people who may be living, shown, written, and read back with answers.

use super::arguments;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::pack;
use crate::pack::Cleared;
use crate::pack::Review;
use crate::pack::ReviewOptions;
use crate::record::Audience;
use crate::store::source;
use crate::weigh::SoundCatalogue;
use std::path::Path;

/// Longest list that is read, in bytes.
const LONGEST_LIST: u64 = 256 * 1024 * 1024;

/// Most things of the list that are shown on screen; all of them stand in the file.
const MOST_SHOWN: usize = 12;

/// Longest words of one thing that are shown on screen, in characters.
const LONGEST_SHOWN: usize = 90;

/// Looks through what would leave. Gives the proof that nothing waits for a decision, and what to tell with the package; or tells
/// what must be decided first and gives nothing.
///
/// # Errors
/// Gives a failure when a file cannot be read or the list cannot be written.
pub(super) fn clear(
    session: &Session,
    sound: &SoundCatalogue,
    arguments: &arguments::Pack,
) -> Result<Option<(Cleared, ConcernList)>, Failure> {
    let options = ReviewOptions {
        audience: arguments.audience,
        as_of: session.as_of,
        living_years: arguments.living_years,
        threads: session.threads,
    };
    let failed = |error: pack::PackError| Failure::from_error(&error);
    let review =
        pack::review(sound, &arguments.collection, &options, &*session.progress).map_err(failed)?;
    let answered = answered(arguments.yes_living.as_deref())?;
    let mut concerns = ConcernList::default();
    if session.json {
        concerns = review.concerns().clone();
    } else if options.audience != Audience::Keeping {
        session.concerns(review.concerns());
        show(session, &review);
    }
    match review.settle(answered.as_deref()) {
        Ok(cleared) => {
            if answered.is_none() && !review.listed().is_empty() {
                let list = review.write_list(&arguments.into, None).map_err(failed)?;
                left_out(&review, &list, &mut concerns);
            }
            Ok(Some((cleared, concerns)))
        }
        Err(unsettled) => {
            concerns.extend(unsettled);
            let list = review
                .write_list(&arguments.into, answered.as_deref())
                .map_err(failed)?;
            refuse(session, &concerns, &list)?;
            Ok(None)
        }
    }
}

fn answered(file: Option<&Path>) -> Result<Option<Vec<u8>>, Failure> {
    file.map(|file| source::read_limited(file, LONGEST_LIST))
        .transpose()
        .map_err(|error| Failure::from_error(&error))
}

fn show(session: &Session, review: &Review) {
    let terminal = &session.terminal;
    if review.listed().is_empty() {
        terminal.tell("Nothing about people who may be living was found in what would leave.");
        return;
    }
    terminal.say_styled(
        Style::Strong,
        &format!(
            "About people who may be living, this would leave ({}):",
            things(review.listed().len())
        ),
    );
    for one in review.listed().iter().take(MOST_SHOWN) {
        let whom = if one.about.is_empty() {
            String::new()
        } else {
            format!(" ({})", one.about.join(", "))
        };
        terminal.say(&format!("  {}{whom}: {}", one.place, shortened(&one.words)));
    }
    if let Some(more) = review
        .listed()
        .len()
        .checked_sub(MOST_SHOWN)
        .filter(|more| *more > 0)
    {
        terminal.say(&format!("  … and {more} more, in the list"));
    }
    terminal.say("");
}

fn shortened(words: &str) -> String {
    let line = words.split_whitespace().collect::<Vec<&str>>().join(" ");
    if line.chars().count() <= LONGEST_SHOWN {
        return line;
    }
    let start: String = line.chars().take(LONGEST_SHOWN).collect();
    format!("{start}…")
}

fn things(count: usize) -> String {
    format!("{count} thing{}", if count == 1 { "" } else { "s" })
}

fn left_out(review: &Review, list: &Path, concerns: &mut ConcernList) {
    concerns.note(
        "living-people-left-out",
        Place::unknown(),
        format!(
            "{} about people who may be living were left out, since nobody has said yes to them. They stand in {}, which must not leave the house.",
            things(review.listed().len()),
            list.display()
        ),
        "To let some of them leave: write yes into the first column of the list where you may, and pack again with --yes-living and the list.",
    );
}

fn refuse(session: &Session, concerns: &ConcernList, list: &Path) -> Result<(), Failure> {
    if session.json {
        return session.document(concerns);
    }
    session.concerns(concerns);
    session.terminal.say_styled(
        Style::Bad,
        "Nothing was packed: a person has to decide first about what is marked “stop”.",
    );
    session.terminal.say(&format!(
        "  1. Open the list with any spreadsheet: {}",
        list.display()
    ));
    session.terminal.say("  2. Write yes, no or not them into its first column, and save it as CSV. Or mend the words in the catalogue.");
    session.terminal.say("  3. Run the same command again with --yes-living and the list. The list itself must not leave the house.");
    Ok(())
}
