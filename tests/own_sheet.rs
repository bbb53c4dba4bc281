//! Starting from a person's own sheet, through the program: what goes where is told, and nothing of the sheet is lost. The sheet and
//! everything in it is invented.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    reason = "a test may fail loudly"
)]

use kithbag::catalogue;
use kithbag::format::sheet::Cell;
use kithbag::format::sheet::Table;
use kithbag::format::sheet::TableRow;
use proptest::prelude::*;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::process::Output;

/// A title above the headings, a heading twice, a column without one, a date that is none, a number that a spreadsheet damaged.
const ROWS: [[&str; 8]; 7] = [
    ["Pictures from the vestry", "", "", "", "", "", "", ""],
    [
        "Picture",
        "Who",
        "When",
        "Studio",
        "Notes",
        "Notes",
        "",
        "Number on it",
    ],
    [
        "IMG_0001",
        "Edwin Marrack?",
        "c. 1890",
        "Hallowmere",
        "scuffed",
        "ask Wilmot",
        "gold frame",
        "18-Jun",
    ],
    [
        "img_0002.JPG",
        "Cora Lunt",
        "when the mill burned",
        "",
        "",
        "",
        "",
        "6-19",
    ],
    [
        "old/IMG_0003.jpg",
        "unknown child",
        "",
        "",
        "Zoë’s",
        "",
        "",
        "",
    ],
    ["IMG_0009.jpg", "", "1901", "", "lost?", "", "blue", ""],
    ["", "Thirza Marrack", "1880s", "", "no scan yet", "", "", ""],
];

/// Pictures of a few pixels: what they show plays no part here.
fn pictures(root: &Path) {
    for (at, name) in [
        "box/IMG_0001.jpg",
        "IMG_0002.jpg",
        "old/IMG_0003.jpg",
        "IMG_0004.jpg",
    ]
    .into_iter()
    .enumerate()
    {
        let path = root.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        let grey = u8::try_from(40 * at).unwrap();
        let picture = image::RgbImage::from_pixel(24, 16, image::Rgb([grey, 90, 120]));
        picture
            .save_with_format(path, image::ImageFormat::Jpeg)
            .unwrap();
    }
}

fn csv(separator: &str) -> String {
    let line = |row: &[&str; 8]| {
        let cells: Vec<String> = row.iter().map(|cell| format!("\"{cell}\"")).collect();
        cells.join(separator)
    };
    ROWS.iter().map(line).collect::<Vec<_>>().join("\r\n")
}

fn workbook() -> Vec<u8> {
    let mut workbook = rust_xlsxwriter::Workbook::new();
    let sheet = workbook.add_worksheet();
    for (at, row) in ROWS.iter().enumerate() {
        for (column, cell) in row.iter().enumerate() {
            let (at, column) = (u32::try_from(at).unwrap(), u16::try_from(column).unwrap());
            if !cell.is_empty() {
                sheet.write_string(at, column, *cell).unwrap();
            }
        }
    }
    let other = workbook.add_worksheet();
    other.set_name("Cousins").unwrap();
    other.write_string(0, 0, "Rosalind").unwrap();
    workbook.save_to_buffer().unwrap()
}

/// The same rows as an ODS workbook. [ISO 26300-1 3.2; ISO 26300-3 9.1]
fn open_document() -> Vec<u8> {
    use std::io::Write;
    let row = |row: &[&str; 8]| {
        let cells: Vec<String> = row
            .iter()
            .map(|cell| {
                if cell.is_empty() {
                    "<table:table-cell/>".to_owned()
                } else {
                    format!(
                        "<table:table-cell office:value-type=\"string\"><text:p>{cell}</text:p></table:table-cell>"
                    )
                }
            })
            .collect();
        format!("<table:table-row>{}</table:table-row>", cells.concat())
    };
    let content = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" office:version=\"1.3\"><office:body><office:spreadsheet><table:table table:name=\"Mine\">{}</table:table></office:spreadsheet></office:body></office:document-content>",
        ROWS.iter().map(row).collect::<String>()
    );
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, bytes) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", content.as_str()),
        (
            "META-INF/manifest.xml",
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?><manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\" manifest:version=\"1.3\"><manifest:file-entry manifest:full-path=\"/\" manifest:media-type=\"application/vnd.oasis.opendocument.spreadsheet\"/></manifest:manifest>",
        ),
    ] {
        zip.start_file(name, stored).unwrap();
        zip.write_all(bytes.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn survey(root: &Path, sheet: &Path, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .args(["survey", root.to_str().unwrap(), "--as-of", "2026-11-25"])
        .args(["--from", sheet.to_str().unwrap()])
        .args(more)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Every filled cell stands somewhere in the catalogue, with or without the ending or folder of a file's name.
fn assert_nothing_lost(root: &Path) {
    let collection = catalogue::read(root).unwrap().collection;
    let texts: Vec<String> = catalogue::tables(&collection)
        .into_iter()
        .flat_map(|table| table.rows)
        .flat_map(|row| row.cells)
        .map(|cell| cell.text)
        .collect();
    for cell in ROWS.iter().flatten().filter(|cell| !cell.is_empty()) {
        let is_heading = ROWS[1].contains(cell);
        let folded = cell.to_lowercase();
        assert!(
            is_heading
                || texts
                    .iter()
                    .any(|text| text.to_lowercase().contains(&folded)),
            "{cell} is lost"
        );
    }
}

#[test]
fn a_sheet_of_ones_own_becomes_the_catalogue_in_every_form() {
    let mut records = Vec::new();
    let forms: [(&str, Vec<u8>); 4] = [
        ("mine.csv", csv(",").into_bytes()),
        (
            "mine 2.csv",
            [b"\xEF\xBB\xBF".as_slice(), csv(";").as_bytes()].concat(),
        ),
        ("mine.xlsx", workbook()),
        ("mine.ods", open_document()),
    ];
    for (name, bytes) in forms {
        let work = tempfile::tempdir().unwrap();
        let root = work.path().join("scans");
        pictures(&root);
        let sheet = work.path().join(name);
        fs::write(&sheet, &bytes).unwrap();
        let output = survey(&root, &sheet, &["--sheets", "csv"]);
        let told = said(&output);
        assert_eq!(output.status.code(), Some(0), "{name}: {told}");
        assert_eq!(fs::read(&sheet).unwrap(), bytes, "the sheet is only read");
        for line in [
            "Picture       → “File name now” on “Scans”",
            "Who           → “Person no. or unknown man” on “Who is it”",
            "When          → “This print made” on “Portraits”",
            "Studio        → “Maker, if we know more” on “Portraits”",
            "Notes         → “Notes” on “Portraits”",
            "Notes         → kept as a column of your own, on “Portraits”",
            "column G      → kept as a column of your own, on “Portraits”",
            "“Pictures from the vestry”, above the headings, is now the title.",
            "new: 1 scan, 1 portrait",
        ] {
            assert!(told.contains(line), "{name}: {line}\n{told}");
        }
        // The row and the column are those of the person's own sheet.
        assert!(told.contains("row 3, column “Number on it”"), "{told}");
        assert!(told.contains("“6-18”"), "{told}");
        assert!(told.contains("when the mill burned"), "{told}");
        assert_nothing_lost(&root);
        let collection = catalogue::read(&root).unwrap().collection;
        let files: Vec<&str> = collection
            .scans
            .iter()
            .map(|scan| scan.file.as_str())
            .collect();
        assert_eq!(
            files,
            [
                "box/IMG_0001.jpg",
                "img_0002.JPG",
                "old/IMG_0003.jpg",
                "IMG_0009.jpg",
                "IMG_0004.jpg"
            ]
        );
        assert_eq!(told.contains("Cousins"), name == "mine.xlsx");
        records.push(collection);
    }
    for record in &records[1..] {
        assert_eq!(record, &records[0]);
    }
}

#[test]
fn a_catalogue_that_is_there_is_left_alone() {
    let work = tempfile::tempdir().unwrap();
    let root = work.path().join("scans");
    pictures(&root);
    let sheet = work.path().join("mine.csv");
    fs::write(&sheet, csv(",")).unwrap();
    assert_eq!(survey(&root, &sheet, &[]).status.code(), Some(0));
    let before = fs::read(root.join("catalogue.xlsx")).unwrap();
    let again = survey(&root, &sheet, &[]);
    assert_eq!(again.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&again.stderr).contains("There is a catalogue already"));
    assert_eq!(fs::read(root.join("catalogue.xlsx")).unwrap(), before);
}

#[test]
fn what_is_no_sheet_is_refused_and_nothing_is_written() {
    let work = tempfile::tempdir().unwrap();
    let root = work.path().join("scans");
    pictures(&root);
    let sheet = work.path().join("mine.xlsx");
    fs::write(&sheet, "no workbook").unwrap();
    let output = survey(&root, &sheet, &[]);
    assert_eq!(output.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&output.stderr).contains("Save the sheet as .xlsx"));
    assert!(!root.join("catalogue.xlsx").exists());
    let missing = survey(&root, &work.path().join("nowhere.csv"), &[]);
    assert_eq!(missing.status.code(), Some(3));
}

fn any_table() -> impl Strategy<Value = Table> {
    let heading = prop::sample::select(vec![
        "File",
        "Who",
        "Name",
        "Date",
        "Notes",
        "notes",
        "Type",
        "Scanned on",
        "Portrait no.",
        "From",
        "Written on back",
        "Mine",
        "",
        "Lot no.",
        "Condition",
        "View",
    ]);
    let cell = prop_oneof![
        3 => "[a-zé]{1,6}( [a-z]{1,4})?",
        1 => Just(String::new()),
        1 => prop::sample::select(vec!["a.jpg", "b.tif", "1890", "c. 1890", "18-Jun", "nk", "A-1", "cabinet card", "front", "x ; y"])
            .prop_map(str::to_owned),
    ];
    (1..7_usize).prop_flat_map(move |width| {
        (
            prop::collection::vec(heading.clone(), width),
            prop::collection::vec(prop::collection::vec(cell.clone(), width), 1..6),
        )
            .prop_map(|(headings, rows)| Table {
                name: "mine".to_owned(),
                headings: headings.into_iter().map(str::to_owned).collect(),
                rows: (2..)
                    .zip(rows)
                    .map(|(number, cells)| TableRow {
                        number,
                        cells: cells.into_iter().map(Cell::text).collect(),
                    })
                    .collect(),
            })
    })
}

proptest! {
    /// Whatever the columns are called and hold: every filled cell stands in the catalogue that comes of it, also once that was
    /// written and read again.
    #[test]
    fn nothing_of_a_sheet_is_lost(table in any_table()) {
        let collection = catalogue::from_flat(&table).collection;
        let (again, _) = catalogue::from_tables(&catalogue::tables(&collection));
        let texts: Vec<String> = catalogue::tables(&again)
            .into_iter()
            .flat_map(|table| table.rows)
            .flat_map(|row| row.cells)
            .map(|cell| cell.text)
            .collect();
        for cell in table.rows.iter().flat_map(|row| &row.cells) {
            for part in cell.text.split(';').map(str::trim).filter(|part| !part.is_empty()) {
                prop_assert!(
                    texts.iter().any(|text| text.contains(part)),
                    "“{}” is lost: {:?}", part, table
                );
            }
        }
    }
}
