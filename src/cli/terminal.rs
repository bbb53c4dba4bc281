//! The only place that prints. Results go to standard output, words about the work to standard error; names from strangers'
//! disks are made harmless first, and a reader that stops listening ends the run quietly.

use crate::concern::Severity;
use std::io;
use std::io::IsTerminal;
use std::io::Write;

/// Where words go, and whether they may be coloured.
#[derive(Debug, Clone, Copy)]
pub struct Terminal {
    colour: bool,
    quiet: bool,
}

/// The few styles that are used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// As it is.
    Plain,
    /// Stands out.
    Strong,
    /// Stands back.
    Soft,
    /// All is well.
    Good,
    /// Look at this.
    Careful,
    /// Something is wrong.
    Bad,
}

impl Terminal {
    /// Looks at where the output goes: colour only on a terminal, and not when `NO_COLOR` is set.
    #[must_use]
    pub fn new(quiet: bool) -> Self {
        let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
        Self {
            colour: io::stdout().is_terminal() && !refused && !dumb,
            quiet,
        }
    }

    /// Prints one line of a result.
    pub fn say(&self, text: &str) {
        print_to(&mut io::stdout().lock(), &harmless(text));
    }

    /// Prints one line of a result unless `--quiet` was asked for.
    pub fn tell(&self, text: &str) {
        if !self.quiet {
            self.say(text);
        }
    }

    /// Prints one styled line of a result.
    pub fn say_styled(&self, style: Style, text: &str) {
        let safe = harmless(text);
        match self.escape(style) {
            Some(escape) => print_to(
                &mut io::stdout().lock(),
                &format!("\u{1b}[{escape}m{safe}\u{1b}[0m"),
            ),
            None => print_to(&mut io::stdout().lock(), &safe),
        }
    }

    /// Prints a document for programs exactly as it is.
    pub fn document(&self, text: &str) {
        print_to(&mut io::stdout().lock(), text);
    }

    /// Prints one line about a failure.
    pub fn complain(&self, text: &str) {
        print_to(&mut io::stderr().lock(), &harmless(text));
    }

    const fn escape(self, style: Style) -> Option<&'static str> {
        if !self.colour {
            return None;
        }
        match style {
            Style::Plain => None,
            Style::Strong => Some("1"),
            Style::Soft => Some("2"),
            Style::Good => Some("32"),
            Style::Careful => Some("33"),
            Style::Bad => Some("31"),
        }
    }
}

/// Returns the style of a severity.
#[must_use]
pub const fn style_of(severity: Severity) -> Style {
    match severity {
        Severity::Note => Style::Soft,
        Severity::Question => Style::Plain,
        Severity::Warning => Style::Careful,
        Severity::Stop => Style::Bad,
    }
}

fn print_to(stream: &mut impl Write, text: &str) {
    // A closed pipe is the reader's wish (`kithbag … | head`): there is nobody left to tell.
    let _ = writeln!(stream, "{text}").and_then(|()| stream.flush());
}

/// Replaces what a terminal would obey, or what would show a name in another order than it has: control characters, marks of
/// writing direction, and invisible characters.
#[must_use]
pub fn harmless(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        if character == '\n' || !obeyed(character) {
            safe.push(character);
        } else {
            safe.extend(character.escape_unicode());
        }
    }
    safe
}

fn obeyed(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{061C}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_command_the_terminal() {
        assert_eq!(harmless("a\u{1b}[31mb"), "a\\u{1b}[31mb");
        assert_eq!(harmless("gpj.\u{202e}exe"), "gpj.\\u{202e}exe");
        assert_eq!(harmless("Zoë — Łódź"), "Zoë — Łódź");
    }
}
