//! Adds to a CSV file that a person has worked in, in its own dialect: the same letters, the same separator, the same line
//! ends; every other byte stays. [RFC4180]

use super::Fill;
use super::RefreshFault;
use super::Refreshed;
use super::SheetAdditions;
use super::edits::Edits;
use crate::format::sheet::Encoding;
use crate::format::sheet::SheetFault;
use crate::format::sheet::csv;
use crate::format::sheet::csv_write;
use crate::format::sheet::encoding;
use std::collections::BTreeMap;
use std::ops::Range;

/// Adds to a CSV file.
///
/// # Errors
/// Says why the file cannot be added to without risk.
pub fn refresh_csv(bytes: &[u8], additions: &SheetAdditions) -> Result<Refreshed, RefreshFault> {
    let name = &additions.sheet;
    let in_the_way = |what: &str| RefreshFault::InTheWay {
        sheet: name.clone(),
        what: what.to_owned(),
    };
    let before = read(name, bytes)?;
    if before.has_broken_letters {
        return Err(in_the_way("some letters cannot be read"));
    }
    if before.unclosed_quote.is_some() {
        return Err(in_the_way("a quotation mark is opened and never closed"));
    }
    let form = Form::of(bytes, before.encoding);
    let text = encoding::decode(bytes).text.into_owned();
    if form.encode(&text).as_deref() != Some(bytes) {
        return Err(in_the_way("its letters cannot be written back as they are"));
    }
    let dialect = Dialect::of(&text, before.separator);
    let mut edits = Edits::default();
    let filled = dialect.fill(&text, &before.table.headings, additions, &mut edits)?;
    let appended = dialect.append(&text, &before.table.headings, additions)?;
    edits.insert(text.len(), &appended);
    let new = edits.apply(&text);
    let bytes = form
        .encode(&new)
        .ok_or_else(|| in_the_way("its old kind of text has no place for some letters"))?;
    let after = read(name, &bytes)?;
    confirm(&before, &after, additions, filled.as_slice())?;
    let first = after
        .table
        .rows
        .get(before.table.rows.len())
        .map(|row| row.number);
    Ok(Refreshed {
        bytes,
        filled: filled.len(),
        appended: additions.rows.len(),
        first_new_rows: first.map(|row| (name.clone(), row)).into_iter().collect(),
    })
}

fn read(name: &str, bytes: &[u8]) -> Result<csv::Reading, RefreshFault> {
    csv::read(name, bytes).map_err(|fault: SheetFault| RefreshFault::Part {
        part: name.to_owned(),
        why: fault.to_string(),
    })
}

/// How the text is stored as bytes.
struct Form {
    encoding: Encoding,
    mark: Vec<u8>,
}

impl Form {
    fn of(bytes: &[u8], encoding: Encoding) -> Self {
        // [Unicode 16.0, 23.8] Byte-order marks.
        let marks: [&[u8]; 3] = [b"\xEF\xBB\xBF", b"\xFF\xFE", b"\xFE\xFF"];
        let mark = marks
            .into_iter()
            .find(|mark| bytes.starts_with(mark))
            .unwrap_or_default();
        Self {
            encoding,
            mark: mark.to_vec(),
        }
    }

    /// Returns the bytes, or nothing when a letter has no place in them.
    fn encode(&self, text: &str) -> Option<Vec<u8>> {
        let mut bytes = self.mark.clone();
        match self.encoding {
            Encoding::Utf8 | Encoding::Utf8Marked => bytes.extend_from_slice(text.as_bytes()),
            Encoding::Utf16Little => bytes.extend(text.encode_utf16().flat_map(u16::to_le_bytes)),
            Encoding::Utf16Big => bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes)),
            Encoding::Windows1252 => {
                let (encoded, _, lost) = encoding_rs::WINDOWS_1252.encode(text);
                if lost {
                    return None;
                }
                bytes.extend_from_slice(&encoded);
            }
        }
        Some(bytes)
    }
}

/// How the rows are written, and where they are.
struct Dialect {
    separator: char,
    line_end: &'static str,
    /// The fields of each record, quotes included, and where the record's line end begins.
    records: Vec<(Vec<Range<usize>>, usize)>,
}

impl Dialect {
    fn of(text: &str, separator: char) -> Self {
        let line_end = match (
            text.contains("\r\n"),
            text.contains('\n'),
            text.contains('\r'),
        ) {
            (false, true, _) => "\n",
            (false, false, true) => "\r",
            _ => "\r\n",
        };
        Self {
            separator,
            line_end,
            records: records(text, separator),
        }
    }

    /// Fills blank cells and returns which were filled.
    fn fill<'f>(
        &self,
        text: &str,
        headings: &[String],
        additions: &'f SheetAdditions,
        edits: &mut Edits,
    ) -> Result<Vec<&'f Fill>, RefreshFault> {
        let mut filled = Vec::new();
        for fill in additions.fills.iter().filter(|fill| !fill.text.is_empty()) {
            let column = column(headings, &fill.heading, additions)?;
            let index = usize::try_from(fill.row)
                .unwrap_or(usize::MAX)
                .checked_sub(1);
            let Some((fields, end)) = index.and_then(|index| self.records.get(index)) else {
                continue;
            };
            let quoted = quoted(&fill.text);
            match fields.get(column) {
                Some(range) if is_blank(text.get(range.clone())) => {
                    edits.replace(range.clone(), quoted);
                }
                Some(_) => continue,
                None => {
                    // The row is shorter than the headings; later fills of the same row go on from here.
                    let already = filled
                        .iter()
                        .filter(|one: &&&Fill| one.row == fill.row)
                        .filter_map(|one| column_of(headings, &one.heading))
                        .filter(|one| *one >= fields.len())
                        .max()
                        .map_or(fields.len(), |last| last.saturating_add(1));
                    let Some(missing) = column.checked_sub(already) else {
                        continue;
                    };
                    let separators = self.separator.to_string().repeat(missing.saturating_add(1));
                    edits.insert(*end, &format!("{separators}{quoted}"));
                }
            }
            filled.push(fill);
        }
        Ok(filled)
    }

    /// Returns the new rows as text.
    fn append(
        &self,
        text: &str,
        headings: &[String],
        additions: &SheetAdditions,
    ) -> Result<String, RefreshFault> {
        let mut out = String::new();
        if !additions.rows.is_empty() && !text.is_empty() && !text.ends_with(['\n', '\r']) {
            out.push_str(self.line_end);
        }
        for row in &additions.rows {
            let mut cells = vec![String::new(); headings.len()];
            for (heading, content) in row {
                let at = column(headings, heading, additions)?;
                if let Some(cell) = cells.get_mut(at)
                    && !content.is_empty()
                {
                    *cell = quoted(content);
                }
            }
            out.push_str(&cells.join(&self.separator.to_string()));
            out.push_str(self.line_end);
        }
        Ok(out)
    }
}

fn column_of(headings: &[String], heading: &str) -> Option<usize> {
    headings.iter().position(|one| one.trim() == heading.trim())
}

fn column(
    headings: &[String],
    heading: &str,
    additions: &SheetAdditions,
) -> Result<usize, RefreshFault> {
    column_of(headings, heading).ok_or_else(|| RefreshFault::NoHeading {
        sheet: additions.sheet.clone(),
        heading: heading.to_owned(),
    })
}

/// A field of nothing, or of a pair of quotes around nothing.
fn is_blank(field: Option<&str>) -> bool {
    field.is_some_and(|field| field.is_empty() || field == "\"\"")
}

fn quoted(text: &str) -> String {
    // A cell that a spreadsheet would take for a formula gets an apostrophe, as in all CSV of ours.
    let guarded = format!("'{text}");
    let safe = if csv_write::is_guarded(&guarded) {
        &guarded
    } else {
        text
    };
    format!("\"{}\"", safe.replace('"', "\"\""))
}

/// Returns the fields of every record with their quotes, and where each record's line end begins. A first line `sep=;` is no
/// record.
fn records(text: &str, separator: char) -> Vec<(Vec<Range<usize>>, usize)> {
    let mut found = Vec::new();
    let mut fields = Vec::new();
    let mut characters = text.char_indices().peekable();
    let mut start = 0;
    let mut in_quotes = false;
    while let Some((at, character)) = characters.next() {
        let after = at.saturating_add(character.len_utf8());
        match character {
            '"' if in_quotes => in_quotes = characters.next_if(|(_, next)| *next == '"').is_some(),
            '"' if at == start => in_quotes = true,
            _ if in_quotes => {}
            '\n' | '\r' => {
                let mut next = after;
                if character == '\r' && characters.next_if(|(_, next)| *next == '\n').is_some() {
                    next = next.saturating_add(1);
                }
                fields.push(start..at);
                found.push((std::mem::take(&mut fields), at));
                start = next;
            }
            c if c == separator => {
                fields.push(start..at);
                start = after;
            }
            _ => {}
        }
    }
    if start < text.len() || !fields.is_empty() {
        fields.push(start..text.len());
        found.push((fields, text.len()));
    }
    if text.starts_with("sep=") && !found.is_empty() {
        found.remove(0);
    }
    found
}

/// Reads the new file as any other and makes sure that every cell is what it was, or what was filled in.
fn confirm(
    before: &csv::Reading,
    after: &csv::Reading,
    additions: &SheetAdditions,
    filled: &[&Fill],
) -> Result<(), RefreshFault> {
    let fault = |row: u32| RefreshFault::InTheWay {
        sheet: additions.sheet.clone(),
        what: format!("row {row} would not survive"),
    };
    let (old, new) = (&before.table, &after.table);
    let expected_rows = old.rows.len().saturating_add(additions.rows.len());
    if old.headings != new.headings || new.rows.len() != expected_rows {
        return Err(fault(1));
    }
    let filled: BTreeMap<(u32, usize), &str> = filled
        .iter()
        .filter_map(|fill| {
            let column = column_of(&old.headings, &fill.heading)?;
            Some(((fill.row, column), fill.text.as_str()))
        })
        .collect();
    for (was, is) in old.rows.iter().zip(&new.rows) {
        let width = was.cells.len().max(is.cells.len());
        let same = (0..width).all(|column| {
            let wanted = filled
                .get(&(was.number, column))
                .copied()
                .unwrap_or_else(|| was.text(column));
            is.text(column) == wanted
        });
        if !same || was.number != is.number {
            return Err(fault(was.number));
        }
    }
    let added = new.rows.iter().skip(old.rows.len());
    for (is, wanted) in added.zip(&additions.rows) {
        let same = wanted.iter().all(|(heading, text)| {
            column_of(&old.headings, heading).is_some_and(|column| is.text(column) == text)
        });
        if !same {
            return Err(fault(is.number));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn additions() -> SheetAdditions {
        let fill = |row, heading: &str, text: &str| Fill {
            row,
            heading: heading.to_owned(),
            text: text.to_owned(),
        };
        SheetAdditions {
            sheet: "Scans".to_owned(),
            fills: vec![
                fill(2, "Pixels", "40"),
                fill(3, "Pixels", "never"),
                fill(5, "Pixels", "50"),
                fill(5, "Checksum", "ab"),
            ],
            rows: vec![vec![
                ("File".to_owned(), "-Zoë \"x\".jpg".to_owned()),
                ("Checksum".to_owned(), "cd".to_owned()),
            ]],
        }
    }

    fn refreshed(text: &str) -> String {
        let done = refresh_csv(text.as_bytes(), &additions()).unwrap();
        String::from_utf8(done.bytes).unwrap()
    }

    #[test]
    fn semicolons_short_rows_and_line_ends_stay() {
        let before =
            "File;Own;Pixels;Checksum\na.jpg;\"two\nlines\";;x\nb.jpg;;typed;y\n\nc.jpg;z\n";
        assert_eq!(
            refreshed(before),
            "File;Own;Pixels;Checksum\na.jpg;\"two\nlines\";\"40\";x\nb.jpg;;typed;y\n\nc.jpg;z;\"50\";\"ab\"\n\"'-Zoë \"\"x\"\".jpg\";;;\"cd\"\n"
        );
    }

    #[test]
    fn a_missing_last_line_end_is_added_and_the_mark_stays() {
        let before = "\u{FEFF}\"File\",\"Pixels\",\"Checksum\"\r\n\"a\",\"\",\"\"";
        let after = refreshed(before);
        assert!(after.starts_with(
            "\u{FEFF}\"File\",\"Pixels\",\"Checksum\"\r\n\"a\",\"40\",\"\"\r\n\"'-Zoë"
        ));
    }

    #[test]
    fn a_declared_separator_counts_as_no_row() {
        let after = refreshed("sep=;\r\nFile;Pixels;Checksum\r\na;;\r\n");
        assert!(after.starts_with("sep=;\r\nFile;Pixels;Checksum\r\na;\"40\";\r\n"));
    }

    #[test]
    fn old_letters_stay_and_strange_ones_are_refused() {
        let (before, _, _) =
            encoding_rs::WINDOWS_1252.encode("File;Pixels;Checksum\r\nZoë.jpg;;\r\n");
        let done = refresh_csv(&before, &additions()).unwrap();
        assert!(
            done.bytes
                .starts_with(b"File;Pixels;Checksum\r\nZo\xEB.jpg;\"40\";\r\n\"'-Zo\xEB")
        );
        let mut strange = additions();
        strange.rows = vec![vec![("File".to_owned(), "Ωmega.jpg".to_owned())]];
        assert!(matches!(
            refresh_csv(&before, &strange),
            Err(RefreshFault::InTheWay { .. })
        ));
    }

    #[test]
    fn sixteen_bits_both_ways() {
        let text = "File\tPixels\tChecksum\r\na\t\t\r\n";
        for big in [false, true] {
            let pairs = |unit: u16| {
                if big {
                    unit.to_be_bytes()
                } else {
                    unit.to_le_bytes()
                }
            };
            let mut before: Vec<u8> = pairs(0xFEFF).to_vec();
            before.extend(text.encode_utf16().flat_map(pairs));
            let done = refresh_csv(&before, &additions()).unwrap();
            let wanted: Vec<u8> = "a\t\"40\"\t".encode_utf16().flat_map(pairs).collect();
            assert!(
                done.bytes
                    .windows(wanted.len())
                    .any(|window| window == wanted)
            );
            assert_eq!(done.first_new_rows, [("Scans".to_owned(), 3)]);
        }
    }

    #[test]
    fn what_cannot_be_kept_is_refused() {
        for text in ["File;Pixels;Checksum\n\"a;;\n", "File;Pixels\na;\n"] {
            assert!(
                refresh_csv(text.as_bytes(), &additions()).is_err(),
                "{text}"
            );
        }
        assert!(refresh_csv(b"PK\x03\x04", &additions()).is_err());
    }

    #[test]
    fn a_cut_file_never_panics() {
        let before = "File;Own;Pixels;Checksum\r\na.jpg;\"two\nlines\";;x\r\n";
        for length in 0..before.len() {
            let _ = refresh_csv(&before.as_bytes()[..length], &additions());
        }
    }
}
