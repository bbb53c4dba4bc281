//! A paper as plain text: UTF-8 with a mark at the start and CRLF, so that the oldest text programs show it right; lines short
//! enough for a narrow window and for printing.

use super::Paper;
use super::Part;

/// Longest line in characters.
const WIDTH: usize = 76;

/// Returns a paper as plain text.
#[must_use]
pub fn text(paper: &Paper) -> String {
    let mut lines = Vec::new();
    underlined(&paper.title, '=', &mut lines);
    let mut before: Option<&Part> = None;
    for part in &paper.parts {
        if is_apart(before, part) {
            lines.push(String::new());
        }
        write(part, &mut lines);
        before = Some(part);
    }
    let mut text = String::from("\u{feff}");
    for line in lines {
        text.push_str(line.trim_end());
        text.push_str("\r\n");
    }
    text
}

/// Points, facts and blanks of one list stand close together.
fn is_apart(before: Option<&Part>, part: &Part) -> bool {
    !matches!(
        (before, part),
        (Some(Part::Point(_)), Part::Point(_))
            | (Some(Part::Fact(..)), Part::Fact(..))
            | (Some(Part::Heading(_)), _)
    )
}

fn write(part: &Part, lines: &mut Vec<String>) {
    match part {
        Part::Heading(words) => underlined(words, '-', lines),
        Part::Text(words) => wrapped(words, "", "", lines),
        Part::Point(words) => wrapped(words, "  - ", "    ", lines),
        Part::Fact(what, says) => wrapped(&format!("{what}: {says}"), "  ", "    ", lines),
        Part::Question {
            asked,
            known,
            lines: room,
        } => {
            wrapped(asked, "", "", lines);
            for line in known {
                wrapped(line, "    ", "      ", lines);
            }
            for _ in 0..*room {
                lines.push(format!("    {}", "_".repeat(WIDTH.saturating_sub(4))));
            }
        }
        Part::Blank(what) => {
            let room = WIDTH.saturating_sub(what.chars().count()).saturating_sub(2);
            lines.push(format!("{what}: {}", "_".repeat(room.max(20))));
        }
        Part::Cut => lines.push("- ".repeat(WIDTH / 2)),
    }
}

fn underlined(words: &str, with: char, lines: &mut Vec<String>) {
    let start = lines.len();
    wrapped(words, "", "", lines);
    let longest = lines
        .iter()
        .skip(start)
        .map(|line| line.chars().count())
        .max();
    lines.push(with.to_string().repeat(longest.unwrap_or_default()));
}

/// Breaks words into lines; a word longer than a line stays whole.
fn wrapped(words: &str, first: &str, other: &str, lines: &mut Vec<String>) {
    let mut line = first.to_owned();
    let mut is_empty = true;
    for word in words.split_whitespace() {
        let length = line.chars().count().saturating_add(word.chars().count());
        if !is_empty && length >= WIDTH {
            lines.push(std::mem::replace(&mut line, other.to_owned()));
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
        is_empty = false;
    }
    lines.push(line);
}
