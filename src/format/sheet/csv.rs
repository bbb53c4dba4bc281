//! Reading CSV in the forms in which spreadsheets save it. [RFC4180]
//!
//! Looser than the standard: `;` and tab may separate, any of CRLF, LF and CR ends a row, rows may have unequal lengths, a first line
//! `sep=;` is understood, and text after a closing quote is kept.

use super::Budget;
use super::Cell;
use super::MAX_COLUMNS;
use super::MAX_ROWS;
use super::SheetFault;
use super::Table;
use super::TableRow;
use super::csv_write;
use super::encoding;
use super::encoding::Encoding;

/// A CSV file as a table, and how it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// The table.
    pub table: Table,
    /// How its letters are stored.
    pub encoding: Encoding,
    /// Whether some bytes were no letters and stand as `\u{FFFD}`.
    pub has_broken_letters: bool,
    /// What separates its cells: `,` or `;` or tab.
    pub separator: char,
    /// The row in which a quote was opened and never closed: what follows it is one cell.
    pub unclosed_quote: Option<u32>,
}

/// What may separate cells, the likeliest first.
const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// How much of a file is looked at to tell what separates its cells.
const LOOKED_AT: usize = 64 * 1024;

/// Reads a CSV file. `name` becomes the name of the table.
///
/// # Errors
/// Says when it holds more than kithbag will keep in memory, or is no text.
pub fn read(name: &str, bytes: &[u8]) -> Result<Reading, SheetFault> {
    if bytes.starts_with(b"PK\x03\x04") {
        return Err(SheetFault::NotASheet {
            found: "a workbook or zip with the name of a CSV file",
        });
    }
    let decoded = encoding::decode(bytes);
    let (declared, text) = declared_separator(&decoded.text);
    let separator = declared.unwrap_or_else(|| likely_separator(text));
    let mut budget = Budget::default();
    let mut rows = Vec::new();
    let mut records = Records::new(text, separator);
    while let Some(cells) = records.next_record() {
        let cells: Vec<Cell> = cells
            .into_iter()
            .map(|cell| Cell::text(csv_write::unguard(cell)))
            .collect();
        if cells.len() > MAX_COLUMNS {
            return Err(SheetFault::TooBig {
                what: "columns",
                limit: MAX_COLUMNS,
            });
        }
        if records.row > MAX_ROWS {
            return Err(SheetFault::TooBig {
                what: "rows",
                limit: usize::try_from(MAX_ROWS).unwrap_or(usize::MAX),
            });
        }
        budget.spend(cells.len(), cells.iter().map(|cell| cell.text.len()).sum())?;
        rows.push(TableRow {
            number: records.row,
            cells,
        });
    }
    Ok(Reading {
        unclosed_quote: records.unclosed_quote,
        table: Table::from_rows(name, rows),
        encoding: decoded.encoding,
        has_broken_letters: decoded.has_broken_letters,
        separator,
    })
}

/// Understands a first line `sep=;`, which some spreadsheets write and no row number counts.
fn declared_separator(text: &str) -> (Option<char>, &str) {
    let declared = text.strip_prefix("sep=").and_then(|rest| {
        let separator = rest.chars().next().filter(|c| SEPARATORS.contains(c))?;
        let rest = rest.strip_prefix(separator)?;
        let rest = rest
            .strip_prefix("\r\n")
            .or_else(|| rest.strip_prefix('\n'))?;
        Some((separator, rest))
    });
    declared.map_or((None, text), |(separator, rest)| (Some(separator), rest))
}

/// Tries every separator on the first rows: the right one stands where quotes close, and it makes many columns, and as many in each
/// row as in the headings.
fn likely_separator(text: &str) -> char {
    let mut end = text.len().min(LOOKED_AT);
    while !text.is_char_boundary(end) {
        end = end.saturating_sub(1);
    }
    let head = text.get(..end).unwrap_or(text);
    let mut best = (Fit::default(), ',');
    for separator in SEPARATORS {
        let fit = fit(head, separator);
        if fit > best.0 {
            best = (fit, separator);
        }
    }
    best.1
}

/// How well a separator fits; the greater, the better.
#[derive(Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Fit {
    /// Whether every quote that opens a heading closes before a separator, as in all that programs write. Cells full of `;` must
    /// not outdo that.
    closes: bool,
    /// The columns of the headings times the rows as wide as they, times the share of such rows.
    alike: usize,
}

fn fit(head: &str, separator: char) -> Fit {
    let mut records = Records::new(head, separator);
    let (mut width, mut alike, mut all) = (0_usize, 0_usize, 0_usize);
    let mut closes = true;
    while let Some(cells) = records.next_record() {
        if cells.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if width == 0 {
            width = cells.len();
            closes = !records.has_text_after_quote;
        }
        all = all.saturating_add(1);
        alike = alike.saturating_add(usize::from(cells.len() == width));
    }
    if width < 2 {
        return Fit::default();
    }
    let product = width.saturating_mul(alike).saturating_mul(alike);
    Fit {
        closes,
        alike: product.checked_div(all).unwrap_or_default(),
    }
}

/// Walks over the records of a CSV text. All signs that mean something are single bytes, which stand in no longer letter of UTF-8.
struct Records<'a> {
    /// What is not read yet.
    rest: &'a str,
    separator: u8,
    row: u32,
    /// The cells of the last record: as many are likely to come.
    width: usize,
    unclosed_quote: Option<u32>,
    /// Whether a cell of the last record goes on after its closing quote.
    has_text_after_quote: bool,
}

/// How a cell ended.
enum End {
    Cell,
    Record,
    Text,
}

impl<'a> Records<'a> {
    fn new(text: &'a str, separator: char) -> Self {
        Self {
            rest: text,
            separator: u8::try_from(separator).unwrap_or(b','),
            row: 0,
            width: 0,
            unclosed_quote: None,
            has_text_after_quote: false,
        }
    }

    fn next_record(&mut self) -> Option<Vec<String>> {
        if self.rest.is_empty() {
            return None;
        }
        self.row = self.row.saturating_add(1);
        self.has_text_after_quote = false;
        let mut cells = Vec::with_capacity(self.width);
        loop {
            let (cell, end) = self.next_cell();
            cells.push(cell);
            // One column more than allowed is enough to be refused; no need to gather the others.
            if !matches!(end, End::Cell) || cells.len() > MAX_COLUMNS {
                self.width = cells.len();
                return Some(cells);
            }
        }
    }

    fn next_cell(&mut self) -> (String, End) {
        let quoted = self.rest.strip_prefix('"');
        let mut cell = String::new();
        if let Some(after) = quoted {
            self.rest = after;
            self.quoted(&mut cell);
        }
        let ends = memchr::memchr3(self.separator, b'\n', b'\r', self.rest.as_bytes());
        let text = self.take(ends.unwrap_or(self.rest.len()));
        self.has_text_after_quote |= quoted.is_some() && !text.trim().is_empty();
        cell.push_str(text);
        (cell, self.end())
    }

    /// Reads the sign that ends a cell.
    fn end(&mut self) -> End {
        let sign = self.take(1);
        match sign {
            "" => End::Text,
            "\r" => {
                self.rest = self.rest.strip_prefix('\n').unwrap_or(self.rest);
                End::Record
            }
            "\n" => End::Record,
            _ => End::Cell,
        }
    }

    /// Reads on to the closing quote. Two quotes are one that belongs to the text. [RFC4180 2.7]
    fn quoted(&mut self, cell: &mut String) {
        loop {
            let Some(quote) = memchr::memchr(b'"', self.rest.as_bytes()) else {
                self.unclosed_quote.get_or_insert(self.row);
                cell.push_str(self.take(self.rest.len()));
                return;
            };
            cell.push_str(self.take(quote));
            self.take(1);
            let Some(after) = self.rest.strip_prefix('"') else {
                return;
            };
            self.rest = after;
            cell.push('"');
        }
    }

    /// Reads so many bytes, or nothing when the text ends before.
    fn take(&mut self, length: usize) -> &'a str {
        let (taken, rest) = self.rest.split_at_checked(length).unwrap_or(("", ""));
        self.rest = rest;
        taken
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str) -> Vec<(u32, Vec<String>)> {
        let reading = read("test", text.as_bytes()).expect("a table");
        std::iter::once((0, reading.table.headings.clone()))
            .chain(reading.table.rows.into_iter().map(|row| {
                let cells = row.cells.into_iter().map(|cell| cell.text).collect();
                (row.number, cells)
            }))
            .collect()
    }

    fn cells(texts: &[&str]) -> Vec<String> {
        texts.iter().map(|text| (*text).to_owned()).collect()
    }

    // [RFC4180 2.1 to 2.7] The standard's own examples.
    #[test]
    fn reads_the_examples_of_the_standard() {
        for text in [
            "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
            "aaa,bbb,ccc\r\nzzz,yyy,xxx",
            "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx",
        ] {
            assert_eq!(
                table(text),
                [
                    (0, cells(&["aaa", "bbb", "ccc"])),
                    (2, cells(&["zzz", "yyy", "xxx"]))
                ]
            );
        }
        assert_eq!(
            table("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"),
            [
                (0, cells(&["aaa", "b\r\nbb", "ccc"])),
                (2, cells(&["zzz", "yyy", "xxx"]))
            ]
        );
        assert_eq!(
            table("\"aaa\",\"b\"\"bb\",\"ccc\""),
            [(0, cells(&["aaa", "b\"bb", "ccc"]))]
        );
    }

    #[test]
    fn counts_rows_as_a_spreadsheet_does() {
        let text = "\n\na;b\n\n\"one\ntwo\";2\r\n;;\r3;4";
        assert_eq!(
            table(text),
            [
                (0, cells(&["a", "b"])),
                (5, cells(&["one\ntwo", "2"])),
                (7, cells(&["3", "4"]))
            ]
        );
    }

    #[test]
    fn tells_what_separates_cells() {
        let separator = |text: &str| read("test", text.as_bytes()).expect("a table").separator;
        assert_eq!(separator("a,b\n1,2"), ',');
        assert_eq!(separator("a;b\n1;2"), ';');
        assert_eq!(separator("a\tb\n1\t2"), '\t');
        assert_eq!(separator("only\none"), ',');
        assert_eq!(separator("sep=;\na,b;c\n1;2"), ';');
        assert_eq!(
            separator("Born (when, where);Died (when, where)\n1831, here;1884, there\n1840;1901"),
            ';'
        );
        assert_eq!(
            separator("no,words,more\n1,a ; b ; c,2\n2,\"x;y;z\",3"),
            ','
        );
    }

    #[test]
    fn a_quote_that_is_never_closed_is_named_and_nothing_is_lost() {
        let reading = read("test", b"a,b\n1,2\n3,\"four\n5,6").expect("a table");
        assert_eq!(reading.unclosed_quote, Some(3));
        assert_eq!(reading.table.rows[1].text(1), "four\n5,6");
    }

    #[test]
    fn text_after_a_closing_quote_is_kept() {
        assert_eq!(table("\"a\"b,c\n"), [(0, cells(&["ab", "c"]))]);
        assert_eq!(table("a\"b\",c\n"), [(0, cells(&["a\"b\"", "c"]))]);
    }

    #[test]
    fn cut_at_every_byte_it_reads_or_refuses() {
        let whole = "no;words\r\n1;\"Zoë \"\"x\"\"\r\nhere\"\r\n2;b\r\n".as_bytes();
        for end in 0..whole.len() {
            let reading = read("test", &whole[..end]).expect("a table");
            assert!(reading.table.rows.len() <= 2);
        }
        assert!(read("test", b"PK\x03\x04rest").is_err());
    }

    #[test]
    fn too_many_columns_are_refused() {
        let wide = ",".repeat(MAX_COLUMNS);
        assert!(matches!(
            read("test", wide.as_bytes()),
            Err(SheetFault::TooBig {
                what: "columns",
                ..
            })
        ));
    }

    // Else a sheet of our own, with a catalogue pasted into one cell, would fall apart.
    #[test]
    fn the_separator_stands_where_quotes_close() {
        let text = "\"a\",\"b;c;d;e\"\r\n\"1\",\"2;3;4;5\"\r\n\"1\"\r\n";
        let reading = read("test", text.as_bytes()).expect("a table");
        assert_eq!(reading.separator, ',');
        assert_eq!(reading.table.headings, cells(&["a", "b;c;d;e"]));
        let text = "\"a,b,c\";\"d\"\r\n\"1,2,3\";\"4\"\r\n\"1\"\r\n";
        let reading = read("test", text.as_bytes()).expect("a table");
        assert_eq!(reading.separator, ';');
        assert_eq!(reading.table.headings, cells(&["a,b,c", "d"]));
    }
}
