//! Takes pictures and drawings out of the cells of an Open Document sheet.
//!
//! A picture that is fastened to a cell stands inside it, with its title and description as text [ISO 26300-1 10.4.2, 10.3.17, 10.3.18]:
//! a reader that gathers the texts of a cell would take them for words of the person.

use super::repeats::next_tag;
use std::ops::Range;

/// Returns a content part without its drawings; unchanged if one of them never ends, which the reader that follows will tell.
pub(super) fn taken_out(content: Vec<u8>) -> Vec<u8> {
    let Some(drawings) = drawings(&content).filter(|found| !found.is_empty()) else {
        return content;
    };
    let mut kept = Vec::with_capacity(content.len());
    let mut copied = 0;
    for drawing in drawings {
        kept.extend_from_slice(content.get(copied..drawing.start).unwrap_or_default());
        copied = drawing.end;
    }
    kept.extend_from_slice(content.get(copied..).unwrap_or_default());
    kept
}

/// Finds the drawings from beginning to end, outermost ones only.
fn drawings(content: &[u8]) -> Option<Vec<Range<usize>>> {
    let place_before = |rest: &[u8]| content.len().saturating_sub(rest.len());
    let mut found = Vec::new();
    let mut rest = content;
    while let Some((tag, after)) = next_tag(rest) {
        rest = after;
        if !tag.starts_with(b"draw:") {
            continue;
        }
        // With both angle brackets.
        let length = tag.len().saturating_add(2);
        let start = place_before(after).saturating_sub(length);
        if !tag.ends_with(b"/") {
            rest = after_end_of(name_of(tag), after)?;
        }
        found.push(start..place_before(rest));
    }
    Some(found)
}

/// Returns what follows the end of an element whose start was just read.
fn after_end_of<'a>(name: &[u8], mut rest: &'a [u8]) -> Option<&'a [u8]> {
    let mut open = 1_usize;
    while open > 0 {
        let (tag, after) = next_tag(rest)?;
        rest = after;
        if tag
            .strip_prefix(b"/")
            .is_some_and(|end| name_of(end) == name)
        {
            open = open.saturating_sub(1);
        } else if name_of(tag) == name && !tag.ends_with(b"/") {
            open = open.saturating_add(1);
        }
    }
    Some(rest)
}

fn name_of(tag: &[u8]) -> &[u8] {
    let length = tag
        .iter()
        .take_while(|byte| !byte.is_ascii_whitespace() && **byte != b'/')
        .count();
    tag.get(..length).unwrap_or(tag)
}

#[cfg(test)]
mod tests {
    use super::taken_out;

    fn out(content: &str) -> String {
        String::from_utf8(taken_out(content.as_bytes().to_vec())).expect("letters")
    }

    #[test]
    fn drawings_go_and_everything_else_stays() {
        // The form in which LibreOffice 7.4 saves a picture that is fastened to a cell.
        let cell = r#"<table:table-cell office:value-type="string"><text:p>A-001</text:p>"#;
        let frame = r#"<draw:frame draw:name="a > b"><draw:image xlink:href="p.jpg"><text:p/></draw:image><svg:desc>Small picture of A-001</svg:desc></draw:frame>"#;
        let end = "</table:table-cell>";
        assert_eq!(
            out(&format!("{cell}{frame}{end}{frame}")),
            format!("{cell}{end}")
        );
        let group = format!("<draw:g><draw:g/><draw:g><text:p>x</text:p></draw:g>{frame}</draw:g>");
        assert_eq!(
            out(&format!("{cell}{group}<draw:line/>{end}")),
            format!("{cell}{end}")
        );
    }

    #[test]
    fn a_part_without_drawings_or_with_a_broken_one_is_unchanged() {
        for content in [
            "",
            "<text:p>draw: a line</text:p>",
            "<text:p><draw:frame>x</text:p>",
        ] {
            assert_eq!(out(content), content);
        }
    }
}
