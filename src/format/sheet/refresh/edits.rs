//! Edits to a text by position, and the few pieces of XML that they need.

use roxmltree::Node;
use std::collections::BTreeMap;
use std::ops::Range;

/// Returns the prefix of an element as it is written, with its colon.
pub(super) fn prefix_of<'t>(text: &'t str, node: Node<'_, '_>) -> &'t str {
    let opening = text.get(node.range()).unwrap_or_default();
    let name = opening
        .trim_start_matches('<')
        .split(|c: char| c.is_whitespace() || c == '>' || c == '/')
        .next()
        .unwrap_or_default();
    name.find(':')
        .and_then(|colon| name.get(..=colon))
        .unwrap_or("")
}

/// Puts text before the closing tag of an element, opening it when it was written as `<x/>`.
pub(super) fn append_children(text: &str, node: Node<'_, '_>, added: &str, edits: &mut Edits) {
    let range = node.range();
    let whole = text.get(range.clone()).unwrap_or_default();
    if whole.ends_with("/>") && node.first_child().is_none() {
        let prefix = prefix_of(text, node);
        let name = node.tag_name().name();
        let slash = range.end.saturating_sub(2);
        edits.replace(slash..range.end, format!(">{added}</{prefix}{name}>"));
        return;
    }
    let closing = whole.rfind("</").unwrap_or(whole.len());
    edits.insert(range.start.saturating_add(closing), added);
}

/// Returns a text for XML; characters that XML cannot hold are written as the format prescribes. [ECMA-376-1 22.9.2.19]
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (at, character) in text.char_indices() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\t' | '\n' => out.push(character),
            '_' if text.get(at..).is_some_and(looks_escaped) => out.push_str("_x005F_"),
            control if u32::from(control) < 0x20 || matches!(control, '\u{FFFE}' | '\u{FFFF}') => {
                out.push_str(&format!("_x{:04X}_", u32::from(control)));
            }
            other => out.push(other),
        }
    }
    out
}

fn looks_escaped(rest: &str) -> bool {
    let mut bytes = rest.bytes();
    bytes.next() == Some(b'_')
        && bytes.next() == Some(b'x')
        && bytes.by_ref().take(4).filter(u8::is_ascii_hexdigit).count() == 4
        && bytes.next() == Some(b'_')
}

/// Edits to a text, applied together.
#[derive(Default)]
pub(super) struct Edits {
    edits: BTreeMap<(usize, usize), String>,
}

impl Edits {
    /// Puts text at a position; several at one position follow each other.
    pub(super) fn insert(&mut self, at: usize, text: &str) {
        self.edits.entry((at, at)).or_default().push_str(text);
    }

    pub(super) fn replace(&mut self, range: Range<usize>, text: String) {
        self.edits.insert((range.start, range.end), text);
    }

    /// Returns the text with all edits made.
    pub(super) fn apply(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let mut done = 0;
        for ((start, end), new) in &self.edits {
            out.push_str(text.get(done..*start).unwrap_or_default());
            out.push_str(new);
            done = *end;
        }
        out.push_str(text.get(done..).unwrap_or_default());
        out
    }
}
