//! What every verb needs: where words go, the day that counts as today, and who hears of progress.

use super::arguments::Common;
use super::bar;
use super::failure::Failure;
use super::terminal::Style;
use super::terminal::Terminal;
use super::terminal::style_of;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Severity;
use crate::progress::Progress;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// Most concerns of one code that are written out; the rest are counted. `--json` gives all.
const MOST_OF_ONE_CODE: usize = 8;

/// One run of the program.
pub(super) struct Session {
    /// Where words go.
    pub(super) terminal: Terminal,
    /// Whether a JSON document is wanted instead of words.
    pub(super) json: bool,
    /// The day that counts as today.
    pub(super) as_of: Date,
    /// Who hears of progress.
    pub(super) progress: Box<dyn Progress>,
    /// How many threads may work.
    pub(super) threads: usize,
}

impl fmt::Debug for Session {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Session")
            .field("as_of", &self.as_of)
            .finish_non_exhaustive()
    }
}

impl Session {
    /// Begins a run.
    ///
    /// # Errors
    /// Gives a failure of the command line when the day cannot be read.
    pub(super) fn new(common: &Common) -> Result<Self, Failure> {
        let quiet = common.quiet || common.json;
        let as_of = match &common.as_of {
            None => jiff::ZonedDateTime::now().date(),
            Some(text) => text.parse().map_err(|_| {
                Failure::command_line(
                    format!("“{text}” is not a day."),
                    "Write the day as year-month-day, for example --as-of 2026-11-25.",
                )
            })?,
        };
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        Ok(Self {
            terminal: Terminal::new(quiet),
            json: common.json,
            as_of,
            progress: bar::progress(quiet),
            threads,
        })
    }

    /// Prints a document for programs.
    ///
    /// # Errors
    /// Gives a fault of kithbag's own when the document cannot be written as JSON.
    pub(super) fn document(&self, document: &impl Serialize) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(document)
            .map_err(|error| Failure::fault(error.to_string()))?;
        self.terminal.document(&text);
        Ok(())
    }

    /// Prints concerns, worst first, each with what to do.
    pub(super) fn concerns(&self, concerns: &ConcernList) {
        let mut shown: BTreeMap<&str, usize> = BTreeMap::new();
        for concern in concerns.worst_first() {
            let count = shown.entry(&concern.code).or_default();
            *count = count.saturating_add(1);
            if *count <= MOST_OF_ONE_CODE {
                self.concern(concern);
            }
        }
        for (code, count) in shown.iter().filter(|(_, count)| **count > MOST_OF_ONE_CODE) {
            let more = count.saturating_sub(MOST_OF_ONE_CODE);
            self.terminal.say_styled(
                Style::Soft,
                &format!(
                    "          … and {more} more of this kind ({code}); --json lists them all"
                ),
            );
        }
    }

    fn concern(&self, concern: &Concern) {
        let place = concern.place.to_string();
        let lines = if place.is_empty() {
            vec![concern.what.clone()]
        } else {
            vec![place, concern.what.clone()]
        };
        for (index, line) in lines.iter().enumerate() {
            let label = if index == 0 {
                concern.severity.word()
            } else {
                ""
            };
            self.terminal
                .say_styled(style_of(concern.severity), &format!("{label:<9} {line}"));
        }
        self.terminal
            .say_styled(Style::Soft, &format!("          → {}", concern.remedy));
    }

    /// Returns the numbers of concerns in words, for example "1 stop, 3 warnings, 2 questions".
    #[must_use]
    pub(super) fn counted(concerns: &ConcernList) -> String {
        let plural = |count: usize, word: &str| {
            format!("{count} {word}{}", if count == 1 { "" } else { "s" })
        };
        let words: Vec<String> = [
            Severity::Stop,
            Severity::Warning,
            Severity::Question,
            Severity::Note,
        ]
        .into_iter()
        .map(|severity| (concerns.count(severity), severity))
        .filter(|(count, _)| *count > 0)
        .map(|(count, severity)| plural(count, severity.word()))
        .collect();
        if words.is_empty() {
            "nothing to report".to_owned()
        } else {
            words.join(", ")
        }
    }
}
