use super::*;
use calamine::Reader;
use rust_xlsxwriter::Format;
use rust_xlsxwriter::Formula;
use rust_xlsxwriter::Table;
use rust_xlsxwriter::Workbook;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::io::Read;
use std::io::Write;

fn parts_of(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..archive.len())
        .map(|index| {
            let mut entry = archive.by_index(index).unwrap();
            let mut content = Vec::new();
            entry.read_to_end(&mut content).unwrap();
            (entry.name().unwrap().into_owned(), content)
        })
        .collect()
}

fn with_part(bytes: &[u8], name: &str, change: impl Fn(&str) -> String) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (part, content) in parts_of(bytes) {
        let options = zip::write::SimpleFileOptions::default();
        writer.start_file(&part, options).unwrap();
        if part == name {
            let text = String::from_utf8(content).unwrap();
            writer.write_all(change(&text).as_bytes()).unwrap();
        } else {
            writer.write_all(&content).unwrap();
        }
    }
    writer.finish().unwrap().into_inner()
}

/// A workbook such as a person might have made of ours: own column in the middle, own sheet, a formula, a colour.
fn worked_in() -> Workbook {
    let mut book = Workbook::new();
    let marked = Format::new()
        .set_background_color(0xFF_FF_00)
        .set_num_format("@");
    let sheet = book.add_worksheet();
    sheet.set_name("Scans").unwrap();
    for (column, heading) in [
        (0, "Portrait no.*"),
        (1, "My own"),
        (2, "Pixels"),
        (3, "File name now"),
    ] {
        sheet.write_string(0, column, heading).unwrap();
    }
    sheet
        .write_string_with_format(1, 0, "A-001", &marked)
        .unwrap();
    sheet.write_string(1, 1, "see letter & tag <1>").unwrap();
    sheet.write_blank(1, 2, &marked).unwrap();
    sheet.write_string(1, 3, "a.jpg").unwrap();
    sheet.write_string(2, 0, "A-002").unwrap();
    sheet
        .write_formula(2, 1, Formula::new("=1+1").set_result("2"))
        .unwrap();
    sheet.write_string(2, 2, "typed by hand").unwrap();
    sheet.write_string(2, 3, "b.jpg").unwrap();
    let own = book.add_worksheet();
    own.set_name("Shopping").unwrap();
    own.write_string(0, 0, "frame wire").unwrap();
    book
}

fn additions() -> SheetAdditions {
    let fill = |row, text: &str| Fill {
        row,
        heading: "Pixels".to_owned(),
        text: text.to_owned(),
    };
    SheetAdditions {
        sheet: "Scans".to_owned(),
        fills: vec![fill(2, "40 × 30"), fill(3, "never")],
        rows: vec![
            vec![
                ("File name now".to_owned(), "c & d <e>.jpg".to_owned()),
                ("Portrait no.*".to_owned(), "P-001".to_owned()),
            ],
            vec![(
                "File name now".to_owned(),
                " two\nlines\u{1} _x0041_".to_owned(),
            )],
        ],
    }
}

#[test]
fn blank_cells_are_filled_rows_appended_and_all_else_stays() {
    let before = worked_in().save_to_buffer().unwrap();
    let done = refresh(&before, &[additions()]).unwrap();
    assert_eq!((done.filled, done.appended), (1, 2));
    assert_eq!(done.first_new_rows, [("Scans".to_owned(), 4)]);
    let (old, new) = (parts_of(&before), parts_of(&done.bytes));
    assert_eq!(
        old.keys().collect::<Vec<_>>(),
        new.keys().collect::<Vec<_>>()
    );
    for (name, content) in &old {
        if name != "xl/worksheets/sheet1.xml" {
            assert_eq!(Some(content), new.get(name), "{name}");
        }
    }
    let old = String::from_utf8(old["xl/worksheets/sheet1.xml"].clone()).unwrap();
    let new = String::from_utf8(new["xl/worksheets/sheet1.xml"].clone()).unwrap();
    let (filled, untouched) = (
        "<c r=\"C2\" s=\"1\" t=\"inlineStr\"><is><t xml:space=\"preserve\">40 × 30</t></is></c>",
        "<c r=\"C2\" s=\"1\"/>",
    );
    assert!(new.contains(filled) && old.contains(untouched), "{new}");
    let start = new.find("<row r=\"4\"").unwrap();
    let end = new.find("</sheetData>").unwrap();
    let undone = format!("{}{}", &new[..start], &new[end..])
        .replace(filled, untouched)
        .replace("A1:D5", "A1:D3");
    assert_eq!(undone, old, "nothing else changed");
}

#[test]
fn what_was_added_reads_back() {
    let before = worked_in().save_to_buffer().unwrap();
    let done = refresh(&before, &[additions()]).unwrap();
    let mut book = calamine::Xlsx::new(Cursor::new(done.bytes)).unwrap();
    let range = book.worksheet_range("Scans").unwrap();
    let cell = |row, column| range.get_value((row, column)).unwrap().to_string();
    assert_eq!(cell(1, 1), "see letter & tag <1>");
    assert_eq!(cell(1, 2), "40 × 30");
    assert_eq!(cell(2, 2), "typed by hand");
    assert_eq!(cell(3, 3), "c & d <e>.jpg");
    assert_eq!(cell(3, 0), "P-001");
    assert!(cell(4, 3).starts_with(" two\nlines"));
}

#[test]
fn doing_it_twice_changes_nothing_that_was_added() {
    let before = worked_in().save_to_buffer().unwrap();
    let once = refresh(&before, &[additions()]).unwrap();
    let fills = SheetAdditions {
        rows: Vec::new(),
        ..additions()
    };
    let twice = refresh(&once.bytes, &[fills]).unwrap();
    assert_eq!(twice.filled, 0);
    assert_eq!(parts_of(&once.bytes), parts_of(&twice.bytes));
}

#[test]
fn same_input_same_bytes() {
    let before = worked_in().save_to_buffer().unwrap();
    assert_eq!(
        refresh(&before, &[additions()]).unwrap(),
        refresh(&before, &[additions()]).unwrap()
    );
}

#[test]
fn formatted_empty_rows_are_used_first() {
    let mut book = worked_in();
    let text = Format::new().set_num_format("@");
    let sheet = book.worksheet_from_index(0).unwrap();
    for row in 3..10 {
        sheet.write_blank(row, 0, &text).unwrap();
    }
    let before = book.save_to_buffer().unwrap();
    let done = refresh(&before, &[additions()]).unwrap();
    let new = String::from_utf8(parts_of(&done.bytes)["xl/worksheets/sheet1.xml"].clone()).unwrap();
    assert_eq!(new.matches("<row r=\"4\"").count(), 1);
    assert!(
        new.contains("<c r=\"A4\" s=\"2\" t=\"inlineStr\">"),
        "{new}"
    );
}

#[test]
fn a_table_grows_and_totals_refuse() {
    for totals in [false, true] {
        let mut book = Workbook::new();
        let sheet = book.add_worksheet();
        sheet.set_name("Scans").unwrap();
        let columns: Vec<rust_xlsxwriter::TableColumn> =
            ["Portrait no.*", "Pixels", "File name now"]
                .map(|heading| rust_xlsxwriter::TableColumn::new().set_header(heading))
                .into();
        let table = Table::new().set_columns(&columns).set_total_row(totals);
        sheet.write_string(1, 0, "A-001").unwrap();
        sheet.write_string(3, 2, "last").unwrap();
        sheet.add_table(0, 0, 3, 2, &table).unwrap();
        let before = book.save_to_buffer().unwrap();
        let outcome = refresh(&before, &[additions()]);
        if totals {
            assert!(
                matches!(outcome, Err(RefreshFault::InTheWay { .. })),
                "{outcome:?}"
            );
            continue;
        }
        let table =
            String::from_utf8(parts_of(&outcome.unwrap().bytes)["xl/tables/table1.xml"].clone())
                .unwrap();
        assert_eq!(table.matches("ref=\"A1:C6\"").count(), 2, "{table}");
    }
}

#[test]
fn what_is_not_safe_is_refused() {
    let before = worked_in().save_to_buffer().unwrap();
    let sheet = "xl/worksheets/sheet1.xml";
    let refused = |bytes: &[u8]| {
        refresh(bytes, &[additions()])
            .map(|done| done.filled)
            .unwrap_err()
    };
    let merged = with_part(&before, sheet, |text| {
        text.replace(
            "</sheetData>",
            "</sheetData><mergeCells count=\"1\"><mergeCell ref=\"A3:A4\"/></mergeCells>",
        )
    });
    assert!(matches!(refused(&merged), RefreshFault::InTheWay { .. }));
    let strict = with_part(&before, "xl/workbook.xml", |text| {
        text.replace(
            "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            "http://purl.oclc.org/ooxml/spreadsheetml/main",
        )
    });
    assert!(matches!(refused(&strict), RefreshFault::Variant { .. }));
    let macros = with_part(&before, "[Content_Types].xml", |text| {
        text.replace(
            "spreadsheetml.sheet.main",
            "ms-excel.sheet.macroEnabled.main",
        )
    });
    assert_eq!(refused(&macros), RefreshFault::Macros);
    assert_eq!(
        refused(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1rest"),
        RefreshFault::EncryptedOrOld
    );
    assert!(matches!(refused(b"nothing"), RefreshFault::NotXlsx { .. }));
    let renamed = with_part(&before, "xl/workbook.xml", |text| {
        text.replace("Scans", "Other")
    });
    assert!(matches!(refused(&renamed), RefreshFault::NoSheet { .. }));
    let headless = with_part(&before, "xl/sharedStrings.xml", |text| {
        text.replace("File name now", "Where")
    });
    assert!(
        matches!(refused(&headless), RefreshFault::NoHeading { heading, .. } if heading == "File name now")
    );
    let array = with_part(&before, sheet, |text| {
        text.replace("<f>1+1</f>", "<f t=\"array\" ref=\"B3:D9\">1+1</f>")
    });
    assert!(matches!(refused(&array), RefreshFault::InTheWay { .. }));
}

#[test]
fn prefixed_and_self_closed_elements_are_understood() {
    let before = worked_in().save_to_buffer().unwrap();
    let prefixed = with_part(&before, "xl/worksheets/sheet1.xml", |_| {
        "<x:worksheet xmlns:x=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><x:sheetData>\
         <x:row r=\"1\"><x:c r=\"A1\" t=\"inlineStr\"><x:is><x:t>File name now</x:t></x:is></x:c></x:row>\
         <x:row r=\"3\"/></x:sheetData></x:worksheet>"
            .to_owned()
    });
    let row = |text: &str| vec![("File name now".to_owned(), text.to_owned())];
    let additions = SheetAdditions {
        sheet: "Scans".to_owned(),
        fills: Vec::new(),
        rows: vec![row("a"), row("b")],
    };
    let done = refresh(&prefixed, &[additions]).unwrap();
    let new = String::from_utf8(parts_of(&done.bytes)["xl/worksheets/sheet1.xml"].clone()).unwrap();
    assert!(
        new.contains("<x:row r=\"2\"><x:c r=\"A2\" t=\"inlineStr\"><x:is>"),
        "{new}"
    );
    assert!(new.contains("<x:row r=\"3\"><x:c r=\"A3\""), "{new}");
    assert!(
        new.ends_with("</x:row></x:sheetData></x:worksheet>"),
        "{new}"
    );
}

#[test]
fn a_cut_workbook_never_panics() {
    let before = worked_in().save_to_buffer().unwrap();
    for length in (0..before.len()).step_by(7) {
        assert!(refresh(&before[..length], &[additions()]).is_err());
    }
}
