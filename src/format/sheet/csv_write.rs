//! Writing CSV that every common spreadsheet opens as text: UTF-8 with a mark, comma, every cell quoted, CRLF. [RFC4180 2]
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line end for a formula, and a formula can call programs
//! and send data away. Such a cell is written with an apostrophe before it. So that reading gives back the very same text, a cell
//! that begins with apostrophes before such a sign gets one more too, and reading takes exactly one away.

use super::Table;

/// Signs that make a spreadsheet take a cell for a formula, full-width forms included. [OWASP "CSV Injection"]
const FORMULA_SIGNS: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];

/// Writes a table as CSV. Every row is as long as the headings, or longer if it has more cells.
#[must_use]
pub fn write(table: &Table) -> Vec<u8> {
    // The mark keeps accents whole in spreadsheets that would else guess another encoding.
    let mut text = String::from("\u{FEFF}");
    let width = table.headings.len();
    write_row(&mut text, table.headings.iter().map(String::as_str));
    for row in &table.rows {
        let length = width.max(row.cells.len());
        write_row(&mut text, (0..length).map(|column| row.text(column)));
    }
    text.into_bytes()
}

fn write_row<'a>(text: &mut String, cells: impl Iterator<Item = &'a str>) {
    for (index, cell) in cells.enumerate() {
        if index > 0 {
            text.push(',');
        }
        text.push('"');
        if needs_guard(cell) {
            text.push('\'');
        }
        for c in cell.chars() {
            if c == '"' {
                text.push('"');
            }
            text.push(c);
        }
        text.push('"');
    }
    text.push_str("\r\n");
}

/// Tells whether a cell would be taken for a formula, or would after its apostrophes.
fn needs_guard(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(FORMULA_SIGNS)
}

/// Tells whether an apostrophe stands before a cell to keep it from being a formula.
#[must_use]
pub fn is_guarded(cell: &str) -> bool {
    cell.starts_with('\'') && needs_guard(cell)
}

/// Takes away the apostrophe that keeps a cell from being a formula.
pub(super) fn unguard(mut cell: String) -> String {
    if is_guarded(&cell) {
        cell.remove(0);
    }
    cell
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::sheet::Cell;
    use crate::format::sheet::TableRow;
    use crate::format::sheet::csv;
    use proptest::prelude::*;

    fn table(headings: &[&str], rows: &[&[&str]]) -> Table {
        Table {
            name: "test".to_owned(),
            headings: headings.iter().map(|text| (*text).to_owned()).collect(),
            rows: rows
                .iter()
                .zip(2..)
                .map(|(cells, number)| TableRow {
                    number,
                    cells: cells.iter().map(|text| Cell::text(*text)).collect(),
                })
                .collect(),
        }
    }

    #[test]
    fn is_marked_quoted_and_ends_rows_with_both_signs() {
        let bytes = write(&table(&["a", "b"], &[&["x \"y\"", ""], &["Zoë"]]));
        assert_eq!(
            bytes,
            "\u{FEFF}\"a\",\"b\"\r\n\"x \"\"y\"\"\",\"\"\r\n\"Zoë\",\"\"\r\n".as_bytes()
        );
    }

    #[test]
    fn no_cell_is_a_formula() {
        for sign in FORMULA_SIGNS {
            let cell = format!("{sign}cmd|' /C calc'!A0");
            let bytes = write(&table(&["a"], &[&[&cell]]));
            let text = String::from_utf8(bytes).expect("UTF-8");
            assert!(text.contains(&format!("\"'{sign}")), "{cell:?}");
        }
        assert!(!needs_guard("'tis"));
        assert!(!needs_guard("6-18"));
    }

    proptest! {
        #[test]
        fn reading_gives_back_what_was_written(
            rows in prop::collection::vec(prop::collection::vec("['=+@\t\r\n\",;\\-aZë＝\u{202E}\u{1}]{0,6}", 3), 0..5)
        ) {
            let rows: Vec<Vec<String>> = rows
                .into_iter()
                .map(|mut row| { row.push("end".to_owned()); row })
                .collect();
            let borrowed: Vec<Vec<&str>> = rows.iter().map(|row| row.iter().map(String::as_str).collect()).collect();
            let slices: Vec<&[&str]> = borrowed.iter().map(Vec::as_slice).collect();
            let before = table(&["=a", "b;c", "'+d", "e"], &slices);
            let reading = csv::read("test", &write(&before)).expect("a table");
            prop_assert_eq!(reading.table, before);
            prop_assert_eq!(reading.separator, ',');
            prop_assert_eq!(reading.unclosed_quote, None);
        }
    }
}
