//! Dates in the plain words that people type.
//!
//! What is read, beside EDTF itself: `c. 1895`, `about 1895`, `1890s`, `before 1901`, `after 1880`, `by 1900`, `1900 or later`,
//! `between 1890 and 1900`, `from 1890 to 1900`, `1890 or 1891`, `summer 1902`, `early 1890s`, `19th century`, `3 May 1893`,
//! `May 3, 1893`, `probably 1893`, `1893 (?)`, `23/5/1893`. What can mean two things is never guessed but asked back.

use super::DateFault;
use super::Edtf;
use super::Estimated;
use super::day::Bound;
use super::day::Day;
use super::parse;
use super::words::MONTHS;

mod core;
mod part;
mod token;

use core::Core;
use token::Token;
use token::tokens;

/// Reads EDTF, or else plain words.
pub(super) fn read(text: &str) -> Result<Edtf, DateFault> {
    let Err(fault) = parse::expression(text) else {
        return Edtf::parse(text);
    };
    let plain = Reader {
        tokens: tokens(text),
        at: 0,
        length: text.chars().count(),
    }
    .whole();
    plain.map_err(|of_words| {
        if of_words.explains || !looks_like_edtf(text) {
            of_words.fault
        } else {
            fault
        }
    })
}

/// Tells whether somebody who wrote this had EDTF in mind.
fn looks_like_edtf(text: &str) -> bool {
    text.chars()
        .all(|one| one.is_ascii_digit() || "XYEST-+/?~%[]{},.:Zux".contains(one))
}

/// A fault, and whether it explains more than EDTF's own would.
struct PlainFault {
    fault: DateFault,
    explains: bool,
}

type Read<T> = Result<T, PlainFault>;

struct Reader {
    tokens: Vec<Token>,
    at: usize,
    length: usize,
}

impl Reader {
    fn peek(&self) -> Option<&Token> {
        self.tokens.get(self.at)
    }

    fn advance(&mut self) {
        self.at = self.at.saturating_add(1);
    }

    /// Takes the next words if they are these.
    fn take(&mut self, words: &[&str]) -> bool {
        let end = self.at.saturating_add(words.len());
        let there = self.tokens.get(self.at..end).is_some_and(|next| {
            next.iter()
                .zip(words)
                .all(|(token, word)| token.text == *word)
        });
        if there {
            self.at = end;
        }
        there
    }

    /// Takes the first of several wordings.
    fn take_any(&mut self, wordings: &[&[&str]]) -> bool {
        wordings.iter().any(|words| self.take(words))
    }

    fn fault(&self, why: impl Into<String>) -> PlainFault {
        self.fault_at(self.at, why, false)
    }

    fn fault_at(&self, at: usize, why: impl Into<String>, explains: bool) -> PlainFault {
        let start = self.tokens.get(at).map_or(self.length, |token| token.start);
        PlainFault {
            fault: DateFault {
                why: why.into(),
                position: start.saturating_add(1),
            },
            explains,
        }
    }

    fn whole(mut self) -> Read<Edtf> {
        if self.take_any(&[
            &["undated"],
            &["unknown"],
            &["n", ".", "d", "."],
            &["no", "date"],
        ]) {
            return Err(self.fault_at(0, "write nk where a date is not known", true));
        }
        let bracketed = self.take(&["["]);
        let text = self.phrase()?;
        if bracketed {
            self.take(&["]"]);
        }
        self.take(&["."]);
        if self.peek().is_some() {
            return Err(self.fault("this cannot be read as part of a date"));
        }
        Edtf::parse(&text).map_err(|fault| PlainFault {
            fault: DateFault {
                position: 1,
                ..fault
            },
            explains: true,
        })
    }

    fn phrase(&mut self) -> Read<String> {
        self.take_any(&[&["in"], &["on"], &["dated"], &["made"], &["taken"]]);
        if self.take_any(&[
            &["before"],
            &["bef", "."],
            &["bef"],
            &["earlier", "than"],
            &["prior", "to"],
        ]) {
            let core = self.core()?;
            return self.range(Bound::Open, core.earliest.map(Day::previous), &core, false);
        }
        if self.take_any(&[&["after"], &["aft", "."], &["aft"], &["later", "than"]]) {
            let core = self.core()?;
            return self.range(core.latest.map(Day::next), Bound::Open, &core, true);
        }
        if self.take_any(&[
            &["by"],
            &["not", "after"],
            &["not", "later", "than"],
            &["no", "later", "than"],
            &["until"],
            &["till"],
        ]) {
            let core = self.core()?;
            return Ok(format!("[..{}]", core.marked()));
        }
        if self.take_any(&[
            &["since"],
            &["not", "before"],
            &["not", "earlier", "than"],
            &["no", "earlier", "than"],
        ]) {
            let core = self.core()?;
            return Ok(format!("[{}..]", core.marked()));
        }
        if self.take_any(&[&["between"], &["bet", "."], &["bet"]]) {
            let first = self.core()?;
            if !self.take_any(&[&["and"], &["&"]]) {
                return Err(self.fault("“between” needs “and” with a second date"));
            }
            let last = self.core()?;
            return self.between(&first, &last);
        }
        if self.take(&["from"]) {
            return self.span();
        }
        let first = self.core()?;
        self.continued(&first)
    }

    /// Reads what follows "from".
    fn span(&mut self) -> Read<String> {
        let first = self.core()?;
        if self.take_any(&[&["on"], &["onwards"], &["onward"]]) {
            return Ok(format!("{}/..", first.marked()));
        }
        if !self.take_any(&[&["to"], &["until"], &["till"], &["-"]]) {
            return Err(self.fault("“from” needs “to” with a second date, or “on”"));
        }
        let last = self.core()?;
        Ok(format!("{}/{}", first.marked(), last.marked()))
    }

    /// Reads what can follow a date that stands first.
    fn continued(&mut self, first: &Core) -> Read<String> {
        if self.take_any(&[&["or", "earlier"], &["or", "before"], &["and", "earlier"]]) {
            return Ok(format!("[..{}]", first.marked()));
        }
        if self.take_any(&[
            &["or", "later"],
            &["or", "after"],
            &["and", "later"],
            &["onwards"],
        ]) {
            return Ok(format!("[{}..]", first.marked()));
        }
        let at = self.at;
        if self.take_any(&[&["to"], &["-"], &["/"]]) {
            return Err(self.two_meanings(at, first));
        }
        let mut members = vec![first.member()];
        while self.take_any(&[&[",", "or"], &["or"], &[","]]) {
            members.push(self.core()?.member());
        }
        Ok(if members.len() == 1 {
            first.marked()
        } else {
            format!("[{}]", members.join(","))
        })
    }

    /// "1890-1900" is one moment in those years for one person, and all those years for another.
    fn two_meanings(&mut self, at: usize, first: &Core) -> PlainFault {
        let first = &first.as_typed;
        let short = self
            .peek()
            .filter(|token| token.is_number() && token.text.len() == 2)
            .map(|token| token.text.clone());
        let last = match (short, first.get(..2), first.get(2..)) {
            // "1893-94".
            (Some(short), Some(hundreds), Some(tens))
                if first.len() == 4 && short.as_str() > tens =>
            {
                format!("{hundreds}{short}")
            }
            _ => match self.core() {
                Ok(last) => last.as_typed,
                Err(_) => return self.fault_at(at, "this cannot be read as part of a date", false),
            },
        };
        self.fault_at(
            at,
            format!(
                "this can mean two things: write “between {first} and {last}” for one moment in that time, or “from {first} to {last}” for the whole of it"
            ),
            true,
        )
    }

    fn between(&self, first: &Core, last: &Core) -> Read<String> {
        if first.unit == last.unit && !first.is_set && !last.is_set {
            return Ok(format!("[{}..{}]", first.marked(), last.marked()));
        }
        let about = Estimated {
            earliest: first.approximate,
            latest: last.approximate,
        };
        Edtf::between_about(first.earliest, last.latest, about)
            .map(|date| date.to_string())
            .ok_or_else(|| self.fault_at(0, "these two dates cannot be joined", true))
    }

    fn range(&self, earliest: Bound, latest: Bound, core: &Core, from: bool) -> Read<String> {
        let about = Estimated {
            earliest: core.approximate && from,
            latest: core.approximate && !from,
        };
        Edtf::between_about(earliest, latest, about)
            .map(|date| date.to_string())
            .ok_or_else(|| self.fault_at(0, "this cannot be read as a date", true))
    }
}

/// Returns the number of a month from its name or the first letters of it.
fn month_number(word: &str) -> Option<u8> {
    let long_enough = word.len() >= 3;
    let position = MONTHS.iter().position(|name| {
        let name = name.to_lowercase();
        long_enough
            && (name == word
                || name.get(..3) == Some(word)
                || (word == "sept" && name == "september"))
    })?;
    u8::try_from(position.saturating_add(1)).ok()
}
