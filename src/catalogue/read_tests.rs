use super::*;
use crate::catalogue::columns::SHEETS;
use crate::catalogue::csv_files;
use crate::catalogue::tables;
use crate::format::sheet::Cell;
use crate::format::sheet::TableRow;
use rust_xlsxwriter::Workbook;
use std::fs;
use std::io::Cursor;
use std::io::Write;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

/// The three portraits of an invented chapel, with every kind of column and letters beyond ASCII: a blank line between sheets, the
/// name of the sheet first, `|` between cells.
const CATALOGUE: &str = "\
Collection
Name of the collection *|Kept by *|The story
The Trevanick pair|Zoë Ångström|Given away when the vestry was cleared.⏎Two carts.

Portraits
Portrait no. *|What it is *|Lot no. *|Height|Width|Units|Number on it|Glass|Sitting made|My shelf
A-001|large crayon portrait|L-1|20|14|in|no. 6-18|convex|open/1884|top
A-002|large crayon portrait|L-1|20|14|in|no. 6-19|nk|about 1895|
A-003|other|L-1||||na|convex||=1+1

Words found
Portrait no. *|Part *|The words exactly *
A-001|label|E. Marrack – Petrel
A-003|label|“hang from both⏎rings”; 2½ × 4

Who is it
Portrait no. *|Person no. or unknown man *|How sure *|Reasons for
A-001|P-01|possible|the label ; the ship
A-001|unknown man|suggested|

People
Person no. *|Name as best known *|Born|Died
P-01|Edwin Marrack|1831|1884";

fn catalogue() -> Vec<Table> {
    CATALOGUE.split("\n\n").map(sheet_of_text).collect()
}

fn sheet_of_text(text: &str) -> Table {
    let mut lines = text.lines();
    let name = lines.next().expect("a name");
    let rows = lines.zip(1..).map(|(line, number)| TableRow {
        number,
        cells: line
            .split('|')
            .map(|cell| Cell::text(cell.replace('⏎', "\n")))
            .collect(),
    });
    Table::from_rows(name, rows)
}

fn record() -> Collection {
    intake::from_tables(&catalogue()).0
}

fn xlsx(sheets: &[Table]) -> Vec<u8> {
    let mut book = Workbook::new();
    for table in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(&table.name).expect("a name");
        for (column, heading) in (0..).zip(&table.headings) {
            sheet.write_string(0, column, heading).expect("a cell");
        }
        for row in &table.rows {
            for (column, cell) in (0..).zip(&row.cells) {
                sheet
                    .write_string(row.number.saturating_sub(1), column, &cell.text)
                    .expect("a cell");
            }
        }
    }
    book.save_to_buffer().expect("a workbook")
}

fn escaped(text: &str) -> String {
    let plain = text.replace('&', "&amp;").replace('<', "&lt;");
    plain
        .split('\n')
        .map(|line| format!("<text:p>{line}</text:p>"))
        .collect()
}

fn ods(sheets: &[Table]) -> Vec<u8> {
    let row_of = |cells: &[&str]| {
        let cells: String = cells
            .iter()
            .map(|text| {
                if text.is_empty() {
                    "<table:table-cell/>".to_owned()
                } else {
                    format!(
                        r#"<table:table-cell office:value-type="string">{}</table:table-cell>"#,
                        escaped(text)
                    )
                }
            })
            .collect();
        format!("<table:table-row>{cells}</table:table-row>")
    };
    let tables: String = sheets
        .iter()
        .map(|table| {
            let headings: Vec<&str> = table.headings.iter().map(String::as_str).collect();
            let rows: String = table
                .rows
                .iter()
                .map(|row| {
                    let cells: Vec<&str> =
                        row.cells.iter().map(|cell| cell.text.as_str()).collect();
                    row_of(&cells)
                })
                .collect();
            format!(
                r#"<table:table table:name="{}">{}{rows}</table:table>"#,
                table.name,
                row_of(&headings)
            )
        })
        .collect();
    let content = format!(
        r#"<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"#
    );
    let manifest = r#"<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>"#;
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, part) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", &content),
        ("META-INF/manifest.xml", manifest),
    ] {
        let stored =
            SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
        writer.start_file(name, stored).expect("a part");
        writer.write_all(part.as_bytes()).expect("its bytes");
    }
    writer.finish().expect("a zip").into_inner()
}

/// Our CSV files as another spreadsheet would save them: only cells that need it in quotes.
fn resaved(
    sheets: &[Table],
    separator: char,
    encode: impl Fn(&str) -> Vec<u8>,
) -> Vec<(String, Vec<u8>)> {
    let quoted = |text: &str| {
        if text.contains([separator, '"', '\n']) {
            format!("\"{}\"", text.replace('"', "\"\""))
        } else {
            text.to_owned()
        }
    };
    let line = |cells: Vec<String>| cells.join(&separator.to_string()) + "\r\n";
    sheets
        .iter()
        .map(|table| {
            let mut text = line(table.headings.iter().map(|cell| quoted(cell)).collect());
            for row in &table.rows {
                let cells = (0..table.headings.len()).map(|column| quoted(row.text(column)));
                text.push_str(&line(cells.collect()));
            }
            let plan = heading::sheet_named(&table.name).expect("a sheet");
            (plan.file_name.to_owned(), encode(&text))
        })
        .collect()
}

fn folder_with(files: &[(String, Vec<u8>)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join(FOLDER)).expect("a folder");
    for (name, bytes) in files {
        fs::write(folder.path().join(FOLDER).join(name), bytes).expect("a file");
    }
    folder
}

fn utf_16(text: &str) -> Vec<u8> {
    let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
    units.flat_map(u16::to_le_bytes).collect()
}

fn utf_8(text: &str) -> Vec<u8> {
    text.as_bytes().to_vec()
}

fn western(text: &str) -> Vec<u8> {
    encoding_rs::WINDOWS_1252.encode(text).0.into_owned()
}

#[test]
fn a_workbook_of_either_form_gives_the_same_record() {
    for (name, bytes, form) in [
        (WORKBOOK, xlsx(&catalogue()), CatalogueForm::Xlsx),
        (OPEN_WORKBOOK, ods(&catalogue()), CatalogueForm::Ods),
        (WORKBOOK, xlsx(&tables(&record())), CatalogueForm::Xlsx),
        (OPEN_WORKBOOK, ods(&tables(&record())), CatalogueForm::Ods),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join(name), bytes).expect("a file");
        let reading = read(folder.path()).expect("a catalogue");
        assert_eq!(reading.collection, record(), "{name}");
        assert_eq!(reading.source.form, form);
        assert_eq!(reading.source.files, [name]);
    }
}

#[test]
fn csv_in_every_dialect_gives_the_same_record() {
    let encoders: [fn(&str) -> Vec<u8>; 3] = [utf_8, utf_16, western];
    for separator in [',', ';', '\t'] {
        for encode in encoders {
            let folder = folder_with(&resaved(&catalogue(), separator, encode));
            let reading = read(folder.path()).expect("a catalogue");
            assert_eq!(reading.collection, record(), "{separator:?}");
            let is_ours = separator == ',' && encode("é") == utf_8("é");
            assert_eq!(
                reading.concerns.has("csv-separator") || reading.concerns.has("csv-encoding"),
                !is_ours
            );
        }
    }
    let reading = read(folder_with(&csv_files(&record())).path()).expect("a catalogue");
    assert_eq!(reading.collection, record());
    assert_eq!(reading.source.form, CatalogueForm::CsvFolder);
    assert_eq!(reading.source.files.len(), SHEETS.len());
}

#[test]
fn a_sheet_that_a_spreadsheet_damaged_is_told_with_file_row_and_column() {
    let mut damaged = catalogue();
    let portraits = &mut damaged[1];
    portraits.rows[0].cells[6] = Cell::text("18-Jun");
    portraits.rows[1].cells[6] = Cell::text("1.90E+03");
    portraits.rows[1].cells[8] = Cell::text("46095");
    damaged[0].rows[0].cells[1] = Cell::text("ZoÃ« Ã…ngstrÃ¶m");
    let folder = folder_with(&resaved(&damaged, ';', utf_8));
    let concerns = read(folder.path()).expect("a catalogue").concerns;
    let found: Vec<(String, u32, String, String)> = concerns
        .iter()
        .filter_map(|one| {
            let place = one.place.clone();
            Some((one.code.to_string(), place.row?, place.column?, place.file?))
        })
        .filter(|(code, ..)| code != "date-not-read")
        .collect();
    let expected = [
        ("garbled-letters", 2, "Kept by", "catalogue/collection.csv"),
        (
            "became-a-date",
            2,
            "Number on it",
            "catalogue/portraits.csv",
        ),
        (
            "became-an-exponent",
            3,
            "Number on it",
            "catalogue/portraits.csv",
        ),
        (
            "serial-number",
            3,
            "Sitting made",
            "catalogue/portraits.csv",
        ),
    ]
    .map(|(code, row, column, file)| (code.to_owned(), row, column.to_owned(), file.to_owned()));
    assert_eq!(found, expected);
}

#[test]
fn a_date_made_by_the_spreadsheet_is_told() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("Portraits").expect("a name");
    sheet.write_string(0, 0, "Portrait no.").expect("a cell");
    sheet.write_string(0, 1, "Number on it").expect("a cell");
    sheet.write_string(1, 0, "A-001").expect("a cell");
    let format = rust_xlsxwriter::Format::new().set_num_format("d-mmm");
    let date = rust_xlsxwriter::ExcelDateTime::from_ymd(2026, 6, 18).expect("a date");
    sheet
        .write_with_format(1, 1, date, &format)
        .expect("a cell");
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(
        folder.path().join(WORKBOOK),
        book.save_to_buffer().expect("a workbook"),
    )
    .expect("a file");
    let concerns = read(folder.path()).expect("a catalogue").concerns;
    let concern = concerns
        .iter()
        .find(|one| one.code == "became-a-date")
        .expect("a concern");
    assert_eq!(concern.place.row, Some(2));
    assert_eq!(concern.place.file.as_deref(), Some(WORKBOOK));
    assert!(concern.remedy.contains("“6-18”"));
}

#[test]
fn the_first_of_several_catalogues_is_read_and_the_question_asked() {
    let folder = folder_with(&csv_files(&record()));
    fs::write(folder.path().join(OPEN_WORKBOOK), ods(&catalogue())).expect("a file");
    fs::write(folder.path().join(".~lock.catalogue.ods#"), b"").expect("a file");
    fs::write(folder.path().join("catalogue 2026-11-25.xlsx"), b"earlier").expect("a file");
    let reading = read(folder.path()).expect("a catalogue");
    assert_eq!(reading.source.form, CatalogueForm::Ods);
    assert!(reading.concerns.has("several-catalogues"));
    assert!(reading.concerns.has("catalogue-open"));
}

#[test]
fn names_are_found_whatever_their_case() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("Catalogue.XLSX"), xlsx(&catalogue())).expect("a file");
    let reading = read(folder.path()).expect("a catalogue");
    assert_eq!(reading.source.files, ["Catalogue.XLSX"]);
}

#[test]
fn no_catalogue_and_broken_ones_are_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    assert!(matches!(
        read(folder.path()),
        Err(CatalogueError::NoCatalogue { .. })
    ));
    fs::create_dir(folder.path().join(FOLDER)).expect("a folder");
    fs::write(folder.path().join(FOLDER).join("a.jpg"), b"x").expect("a file");
    assert!(matches!(
        read(folder.path()),
        Err(CatalogueError::NoCatalogue { .. })
    ));
    fs::write(folder.path().join(WORKBOOK), b"PK\x03\x04").expect("a file");
    let fault = read(folder.path()).expect_err("a broken workbook");
    assert!(matches!(fault, CatalogueError::Sheet { .. }));
    assert_eq!(fault.as_concern().severity, Severity::Stop);
    assert!(read(&folder.path().join("nowhere")).is_err());
}

#[test]
fn a_broken_csv_file_stops_and_the_others_are_read() {
    let mut files = csv_files(&record());
    files[2].1 = b"PK\x03\x04 a workbook under a wrong name".to_vec();
    files.push(("columns.csv".to_owned(), dictionary::column_dictionary()));
    let reading = read(folder_with(&files).path()).expect("a catalogue");
    assert_eq!(reading.collection.portraits.len(), 3);
    let stops: Vec<&Concern> = reading
        .concerns
        .iter()
        .filter(|one| one.severity == Severity::Stop)
        .collect();
    assert_eq!(stops.len(), 1);
    assert_eq!(stops[0].place.file.as_deref(), Some("catalogue/scans.csv"));
    assert!(!reading.concerns.has("unknown-sheet"));
}
