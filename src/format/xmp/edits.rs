//! Cuts and insertions in a text, collected first and done at once, so that every position means the text as it was.

use std::ops::Range;

/// Changes to a text.
#[derive(Debug)]
pub(super) struct Edits<'a> {
    text: &'a str,
    changes: Vec<Change>,
}

#[derive(Debug)]
struct Change {
    range: Range<usize>,
    text: String,
}

impl<'a> Edits<'a> {
    pub(super) const fn new(text: &'a str) -> Self {
        Self {
            text,
            changes: Vec::new(),
        }
    }

    /// Takes a part out together with the white space before it.
    pub(super) fn cut(&mut self, range: Range<usize>) {
        let before = self.text.get(..range.start).unwrap_or_default();
        let start = before.trim_end().len();
        self.changes.push(Change {
            range: start..range.end,
            text: String::new(),
        });
    }

    /// Tells whether a part is taken out.
    pub(super) fn is_cut(&self, range: &Range<usize>) -> bool {
        self.changes.iter().any(|change| {
            change.text.is_empty()
                && change.range.start <= range.start
                && range.end <= change.range.end
        })
    }

    /// Puts text at the end of an element's content, after everything that is there. An element that was closed in its own
    /// tag is opened; `indent` then comes before its new closing tag.
    pub(super) fn put_inside(&mut self, element: Range<usize>, text: &str, indent: &str) {
        let whole = self.text.get(element.clone()).unwrap_or_default();
        if let Some(opening) = whole.strip_suffix("/>") {
            let name: String = opening
                .chars()
                .skip(1)
                .take_while(|one| !one.is_whitespace())
                .collect();
            let start = element.start.saturating_add(opening.len());
            self.changes.push(Change {
                range: start..element.end,
                text: format!(">{text}{indent}</{name}>"),
            });
            return;
        }
        let content = whole.rfind("</").unwrap_or(whole.len());
        let end = whole.get(..content).unwrap_or_default().trim_end().len();
        let at = element.start.saturating_add(end);
        self.changes.push(Change {
            range: at..at,
            text: text.to_owned(),
        });
    }

    /// Makes all changes and returns what `part` has become.
    pub(super) fn apply_to(mut self, part: Range<usize>) -> String {
        // Of changes that begin together the longest goes first, and swallows what lies within it.
        self.changes.sort_by(|one, other| {
            let order = one.range.start.cmp(&other.range.start);
            order.then(other.range.end.cmp(&one.range.end))
        });
        let mut out = String::with_capacity(part.len());
        let mut done = part.start;
        for change in &self.changes {
            if change.range.start < done || change.range.end > part.end {
                continue;
            }
            out.push_str(self.text.get(done..change.range.start).unwrap_or_default());
            out.push_str(&change.text);
            done = change.range.end;
        }
        out.push_str(self.text.get(done..part.end).unwrap_or_default());
        out
    }
}
