use super::*;
use rust_xlsxwriter::ExcelDateTime as WrittenDate;
use rust_xlsxwriter::Format;
use rust_xlsxwriter::Formula;
use rust_xlsxwriter::Workbook;
use std::io::Write;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn cell(text: &str, kind: Kind) -> Cell {
    Cell {
        text: text.to_owned(),
        kind,
    }
}

fn small_xlsx() -> Vec<u8> {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.set_name("Portraits").expect("a name");
    for (column, heading) in (0..).zip(["Portrait no. *", "Height", "Opened on", "Notes"]) {
        sheet.write_string(1, column, heading).expect("a cell");
    }
    let date = Format::new().set_num_format("yyyy-mm-dd");
    sheet.write_string(3, 0, "A-001").expect("a cell");
    sheet.write_number(3, 1, 20).expect("a cell");
    sheet
        .write_with_format(
            3,
            2,
            WrittenDate::from_ymd(2026, 3, 14).expect("a date"),
            &date,
        )
        .expect("a cell");
    sheet
        .write_string(3, 3, "two\nlines & <signs> Zoë")
        .expect("a cell");
    sheet.write_number(4, 1, 6.5).expect("a cell");
    sheet.write_boolean(4, 2, true).expect("a cell");
    sheet
        .write_formula(4, 3, Formula::new("1+1").set_result("2"))
        .expect("a cell");
    book.add_worksheet().set_name("Empty").expect("a name");
    book.save_to_buffer().expect("a workbook")
}

#[test]
fn reads_an_xlsx_with_what_each_cell_was() {
    let tables = read(&small_xlsx()).expect("a workbook");
    assert_eq!(tables.len(), 2);
    let table = &tables[0];
    assert_eq!(table.name, "Portraits");
    assert_eq!(
        table.headings,
        ["Portrait no. *", "Height", "Opened on", "Notes"]
    );
    assert_eq!(table.rows[0].number, 4);
    assert_eq!(
        table.rows[0].cells,
        [
            cell("A-001", Kind::Text),
            cell("20", Kind::Number),
            cell("2026-03-14", Kind::Date),
            cell("two\nlines & <signs> Zoë", Kind::Text),
        ]
    );
    assert_eq!(
        table.rows[1].cells,
        [
            cell("", Kind::Text),
            cell("6.5", Kind::Number),
            cell("TRUE", Kind::Boolean),
            cell("2", Kind::Formula),
        ]
    );
    assert!(tables[1].is_empty());
}

pub(super) fn ods_of(sheets: &str) -> Vec<u8> {
    let content = format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body><office:spreadsheet>{sheets}</office:spreadsheet></office:body></office:document-content>"#
    );
    let manifest = r#"<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/></manifest:manifest>"#;
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, part) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_str()),
        ("META-INF/manifest.xml", manifest),
    ] {
        writer.start_file(name, stored).expect("a part");
        writer.write_all(part.as_bytes()).expect("its bytes");
    }
    writer.finish().expect("a zip").into_inner()
}

const SMALL_ODS: &str = r#"<table:table table:name="Portraits"><table:table-column table:number-columns-repeated="4"/><table:table-row table:number-rows-repeated="2"><table:table-cell table:number-columns-repeated="16384"/></table:table-row><table:table-row><table:table-cell office:value-type="string"><text:p>Portrait no.</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>Height</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>Opened on</text:p></table:table-cell></table:table-row><table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="3"/></table:table-row><table:table-row><table:table-cell office:value-type="string"><text:p>A-001</text:p><text:p>second line</text:p></table:table-cell><table:table-cell office:value-type="float" office:value="20"><text:p>20</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-03-14"><text:p>14/03/26</text:p></table:table-cell></table:table-row><table:table-row table:number-rows-repeated="1048000"><table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table>"#;

#[test]
fn dates_before_1900_are_days_below_zero() {
    // What LibreOffice 7.4 writes into a workbook for these days, each counted from 30 December 1899 by Python's datetime.
    let date = Format::new().set_num_format("yyyy-mm-dd");
    let time = Format::new().set_num_format("hh:mm:ss");
    let cases = [
        (-12_506.0, &date, "1865-10-03"),
        (-12_505.75, &date, "1865-10-03T06:00:00"),
        (-1.0, &date, "1899-12-29"),
        (-115_858.0, &date, "1582-10-15"),
        (-1e300, &date, "-1"),
        (61.0, &date, "1900-03-01"),
        (0.25, &time, "06:00:00"),
    ];
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write_string(0, 0, "Opened on").expect("a cell");
    for (row, (days, format, _)) in (1..).zip(cases) {
        sheet
            .write_number_with_format(row, 0, days, format)
            .expect("a cell");
    }
    let tables = read(&book.save_to_buffer().expect("a workbook")).expect("a workbook");
    for (row, (_, _, expected)) in tables[0].rows.iter().zip(cases) {
        assert!(row.text(0).starts_with(expected), "{row:?} {expected}");
        assert_eq!(row.cells[0].kind, Kind::Date);
    }
}

#[test]
fn reads_an_ods_with_what_each_cell_was() {
    let tables = read(&ods_of(SMALL_ODS)).expect("a workbook");
    assert_eq!(tables.len(), 1);
    assert_eq!(tables[0].headings, ["Portrait no.", "Height", "Opened on"]);
    assert_eq!(tables[0].rows.len(), 1);
    assert_eq!(tables[0].rows[0].number, 7);
    assert_eq!(
        tables[0].rows[0].cells,
        [
            cell("A-001\nsecond line", Kind::Text),
            cell("20", Kind::Number),
            cell("2026-03-14", Kind::Date),
        ]
    );
}

#[test]
fn a_picture_in_a_cell_of_an_ods_adds_no_words_to_it() {
    let picture = r#"<draw:frame xmlns:draw="urn:oasis:names:tc:opendocument:xmlns:drawing:1.0" xmlns:svg="urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0"><draw:image><text:p/></draw:image><svg:desc>Small picture of A-001</svg:desc></draw:frame>"#;
    let with = SMALL_ODS.replace(
        "<text:p>second line</text:p>",
        &format!("<text:p>second line</text:p>{picture}"),
    );
    assert_ne!(with, SMALL_ODS);
    assert_eq!(read(&ods_of(&with)), read(&ods_of(SMALL_ODS)));
}

#[test]
fn a_far_away_cell_costs_no_memory() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write_string(0, 0, "heading").expect("a cell");
    sheet.write_string(1_048_575, 1_000, "far").expect("a cell");
    let tables = read(&book.save_to_buffer().expect("a workbook")).expect("tables");
    assert_eq!(tables[0].rows.len(), 1);
    assert_eq!(tables[0].rows[0].number, 1_048_576);
    assert_eq!(tables[0].rows[0].text(1_000), "far");

    let mut book = Workbook::new();
    book.add_worksheet()
        .write_string(0, 2_000, "too far")
        .expect("a cell");
    assert!(matches!(
        read(&book.save_to_buffer().expect("a workbook")),
        Err(SheetFault::TooBig {
            what: "columns",
            ..
        })
    ));
}

#[test]
fn foreign_files_are_refused_by_name() {
    assert!(matches!(read(b""), Err(SheetFault::NotASheet { .. })));
    assert!(matches!(
        read(b"\x89PNG"),
        Err(SheetFault::NotASheet { .. })
    ));
    let old = [COMPOUND_FILE, &[0; 600]].concat();
    assert!(matches!(read(&old), Err(SheetFault::OldForm { .. })));
}

#[test]
fn cut_at_many_places_it_is_refused() {
    for whole in [small_xlsx(), ods_of(SMALL_ODS)] {
        for end in (0..whole.len()).step_by(7) {
            assert!(read(&whole[..end]).is_err(), "cut at {end}");
        }
    }
}

/// Packs the parts of a workbook anew, with one part changed, so that checksums are right and only the reader can object.
fn with_part(zip: &[u8], name: &str, change: impl Fn(Vec<u8>) -> Vec<u8>) -> Vec<u8> {
    use std::io::Read;
    let mut archive = zip::ZipArchive::new(Cursor::new(zip)).expect("a zip");
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..archive.len() {
        let mut entry = archive.by_index(index).expect("a part");
        let entry_name = entry.name().expect("a name").into_owned();
        let mut part = Vec::new();
        entry.read_to_end(&mut part).expect("its bytes");
        if entry_name == name {
            part = change(part);
        }
        writer
            .start_file(entry_name.as_str(), SimpleFileOptions::default())
            .expect("a part");
        writer.write_all(&part).expect("its bytes");
    }
    writer.finish().expect("a zip").into_inner()
}

#[test]
fn broken_parts_are_read_or_refused_without_panic() {
    let xlsx = small_xlsx();
    let ods = ods_of(SMALL_ODS);
    let mut refused = 0;
    for (whole, name) in [
        (&xlsx, "xl/worksheets/sheet1.xml"),
        (&xlsx, "xl/sharedStrings.xml"),
        (&xlsx, "xl/styles.xml"),
        (&xlsx, "xl/workbook.xml"),
        (&xlsx, "xl/_rels/workbook.xml.rels"),
        (&ods, "content.xml"),
        (&ods, "META-INF/manifest.xml"),
    ] {
        for step in 0..60 {
            let cut = with_part(whole, name, |part| part[..part.len() * step / 60].to_vec());
            refused += usize::from(read(&cut).is_err());
            let flipped = with_part(whole, name, |mut part| {
                let at = part.len() * step / 60;
                part[at] = b"<>\"/0&9"[step % 7];
                part
            });
            refused += usize::from(read(&flipped).is_err());
        }
    }
    assert!(refused > 300, "{refused}");
}

#[test]
fn a_sheet_without_a_folder_is_read_or_refused_without_panic() {
    let odd = with_part(&small_xlsx(), "xl/_rels/workbook.xml.rels", |part| {
        let text = String::from_utf8(part).expect("XML");
        text.replace("worksheets/sheet1.xml", "sheet1.xml")
            .into_bytes()
    });
    assert!(read(&odd).is_err());
}
