//! Counts the cells that an Open Document sheet spreads out to.
//!
//! One cell can say that it stands sixteen thousand times in its row [ISO 26300-1 19.675]: a megabyte of XML can spread out to more cells
//! than fit into memory. So they are counted before the sheet is read.

use super::MAX_CELLS;
use super::SheetFault;

const CELL: &[u8] = b"table:table-cell";
const COVERED_CELL: &[u8] = b"table:covered-table-cell";
const ROW: &[u8] = b"table:table-row";
const COLUMNS_REPEATED: &[u8] = b"table:number-columns-repeated";

/// Refuses a content part whose cells, spread out, are more than kithbag will hold.
pub(super) fn refuse_too_many(content: &[u8]) -> Result<(), SheetFault> {
    let mut total = 0_usize;
    let mut empty = 0_usize;
    let mut rest = content;
    while let Some((tag, after)) = next_tag(rest) {
        rest = after;
        if is_named(tag, CELL) || is_named(tag, COVERED_CELL) {
            let times = repeated(tag);
            if is_empty_cell(tag, rest) {
                empty = empty.saturating_add(times);
            } else {
                // Empty cells are only spread out when a filled one follows.
                total = total.saturating_add(empty).saturating_add(times);
                empty = 0;
            }
            if total > MAX_CELLS {
                return Err(SheetFault::TooBig {
                    what: "cells",
                    limit: MAX_CELLS,
                });
            }
        } else if is_named(tag, ROW) {
            empty = 0;
        }
    }
    Ok(())
}

/// Returns the text between the next `<` and `>`, and what follows.
pub(super) fn next_tag(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let start = bytes
        .iter()
        .position(|byte| *byte == b'<')?
        .saturating_add(1);
    let inside = bytes.get(start..)?;
    let mut quote = None;
    let end = inside.iter().position(|byte| match (quote, *byte) {
        (None, b'>') => true,
        (None, b'"' | b'\'') => {
            quote = Some(*byte);
            false
        }
        (Some(open), byte) => {
            if open == byte {
                quote = None;
            }
            false
        }
        _ => false,
    })?;
    Some((inside.get(..end)?, inside.get(end.saturating_add(1)..)?))
}

fn is_named(tag: &[u8], name: &[u8]) -> bool {
    tag.strip_prefix(name).is_some_and(|rest| {
        rest.first()
            .is_none_or(|byte| !byte.is_ascii_alphanumeric() && *byte != b'-')
    })
}

fn repeated(tag: &[u8]) -> usize {
    let value = tag
        .windows(COLUMNS_REPEATED.len())
        .position(|window| window == COLUMNS_REPEATED)
        .and_then(|at| tag.get(at.saturating_add(COLUMNS_REPEATED.len())..))
        .unwrap_or_default();
    let digits: Vec<u8> = value
        .iter()
        .copied()
        .skip_while(|byte| matches!(byte, b'=' | b'"' | b'\'') || byte.is_ascii_whitespace())
        .take_while(u8::is_ascii_digit)
        .collect();
    let number = std::str::from_utf8(&digits).unwrap_or_default();
    match number.parse() {
        Ok(times) => times,
        Err(_) if number.is_empty() => 1,
        Err(_) => usize::MAX,
    }
}

/// Tells whether a cell holds neither value nor text.
fn is_empty_cell(tag: &[u8], after: &[u8]) -> bool {
    let has_value = tag.windows(7).any(|window| window == b"office:")
        || tag.windows(13).any(|window| window == b"table:formula");
    !has_value && (tag.ends_with(b"/") || after.starts_with(b"</"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn content(cell: &str, rows: usize) -> Vec<u8> {
        let row = format!("<table:table-row>{cell}</table:table-row>");
        row.repeat(rows).into_bytes()
    }

    #[test]
    fn counts_what_a_sheet_spreads_out_to() {
        let text = r#"<table:table-cell office:value-type="string" table:number-columns-repeated="16384"><text:p>x</text:p></table:table-cell>"#;
        assert!(refuse_too_many(&content(text, 1_000)).is_ok());
        assert!(refuse_too_many(&content(text, 1_300)).is_err());
    }

    #[test]
    fn empty_cells_count_only_before_filled_ones() {
        let trailing = r#"<table:table-cell table:number-columns-repeated="16384"/>"#;
        assert!(refuse_too_many(&content(trailing, 5_000)).is_ok());
        let leading = format!("{trailing}<table:table-cell><text:p>x</text:p></table:table-cell>");
        assert!(refuse_too_many(&content(&leading, 1_300)).is_err());
    }

    #[test]
    fn a_number_beyond_all_bounds_is_too_many() {
        let cell = r#"<table:table-cell office:value="1" table:number-columns-repeated="99999999999999999999999"/>"#;
        assert!(refuse_too_many(&content(cell, 1)).is_err());
    }
}
