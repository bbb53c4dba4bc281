//! Survey, from a folder of pictures to a catalogue that a person works in, and back.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    missing_docs,
    reason = "a test may fail loudly"
)]

use kithbag::catalogue;
use kithbag::catalogue::CatalogueForm;
use kithbag::format::sheet;
use kithbag::format::sheet::refresh::SheetAdditions;
use kithbag::format::xmp;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::CopyKind;
use kithbag::record::ScanFacts;
use kithbag::record::View;
use kithbag::survey::SheetForm;
use kithbag::survey::Survey;
use kithbag::survey::SurveyOptions;
use kithbag::survey::survey;
use std::collections::BTreeMap;
use std::fs;
use std::io::Cursor;
use std::io::Read;
use std::path::Path;
use tempfile::TempDir;

/// A portrait of sorts: a bright oval on a dark ground, `seed` moves it about.
fn picture(seed: u32, format: image::ImageFormat) -> Vec<u8> {
    let drawn = image::RgbImage::from_fn(120, 160, |x, y| {
        let (dx, dy) = (
            i64::from(x) - 30 - i64::from(seed % 7) * 9,
            i64::from(y) - 40 - i64::from(seed % 5) * 17,
        );
        let inside = dx * dx * 2 + dy * dy < 900 + i64::from(seed) * 60;
        let shade = u8::try_from((x * (seed + 1) + y * 3) % 50).unwrap();
        let [red, green] = if inside { [200, 180] } else { [60, 50] };
        image::Rgb([red + shade, green + shade, 40 + shade])
    });
    let mut bytes = Cursor::new(Vec::new());
    drawn.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn jpeg(seed: u32) -> Vec<u8> {
    picture(seed, image::ImageFormat::Jpeg)
}

/// Puts a segment behind the start of a JPEG. [ITU-T T.81 B.1.1.4]
fn with_segment(jpeg: &[u8], marker: u8, content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xFF, marker], &length, content, &jpeg[2..]].concat()
}

/// An Exif block with one directory: orientation 3, make, a GPS directory, and an Exif directory with the day. [CIPA DC-008 4.6]
fn exif_block() -> Vec<u8> {
    let mut block = b"Exif\0\0MM\0*\0\0\0\x08".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        [
            &tag.to_be_bytes()[..],
            &kind.to_be_bytes(),
            &count.to_be_bytes(),
            &value,
        ]
        .concat()
    };
    // Directory at 8: 4 entries, ends at 8 + 2 + 48 + 4 = 62; GPS at 62 (1 entry, ends at 80); Exif at 80 (ends at 98); text at 98.
    block.extend(4_u16.to_be_bytes());
    block.extend(entry(0x010F, 2, 4, *b"Cam\0"));
    block.extend(entry(0x0112, 3, 1, [0, 3, 0, 0]));
    block.extend(entry(0x8769, 4, 1, 80_u32.to_be_bytes()));
    block.extend(entry(0x8825, 4, 1, 62_u32.to_be_bytes()));
    block.extend([0; 4]);
    block.extend(1_u16.to_be_bytes());
    block.extend(entry(1, 2, 2, *b"N\0\0\0"));
    block.extend([0; 4]);
    block.extend(1_u16.to_be_bytes());
    block.extend(entry(0x9003, 2, 20, 98_u32.to_be_bytes()));
    block.extend([0; 4]);
    block.extend(b"2026:02:03 04:05:06\0");
    block
}

fn options(sheets: SheetForm) -> SurveyOptions {
    SurveyOptions {
        as_of: jiff::civil::date(2026, 3, 14),
        sheets,
        threads: 2,
        people: None,
    }
}

fn surveyed(root: &Path) -> Survey {
    survey(root, &options(SheetForm::Workbook), &Silent).unwrap()
}

fn put(root: &Path, name: &str, bytes: &[u8]) {
    let path = root.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, bytes).unwrap();
}

fn collection() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    put(
        root,
        "A-001 front.jpg",
        &with_segment(&jpeg(1), 0xE1, &exif_block()),
    );
    put(
        root,
        "A-001 back.tif",
        &picture(2, image::ImageFormat::Tiff),
    );
    put(root, "A-001 front ai.jpg", &jpeg(3));
    put(
        root,
        "A-002/front.png",
        &picture(4, image::ImageFormat::Png),
    );
    put(root, "IMG_4471.JPG", &jpeg(6));
    put(root, "notes.txt", b"not a picture");
    put(root, ".DS_Store", b"litter");
    folder
}

fn codes(survey: &Survey) -> Vec<(String, String)> {
    survey
        .concerns
        .iter()
        .map(|concern| {
            let place = concern
                .place
                .file
                .clone()
                .or(concern.place.portrait.clone());
            (concern.code.to_string(), place.unwrap_or_default())
        })
        .collect()
}

fn told(survey: &Survey, code: &str) -> Vec<String> {
    codes(survey)
        .into_iter()
        .filter(|(known, _)| known == code)
        .map(|(_, place)| place)
        .collect()
}

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

#[test]
fn a_drafted_workbook_reads_back_as_the_same_record() {
    let folder = collection();
    let survey = surveyed(folder.path());
    assert_eq!(survey.wrote, ["catalogue.xlsx"]);
    assert_eq!((survey.new_scans, survey.new_portraits), (5, 3));
    let reading = catalogue::read(folder.path()).unwrap();
    assert_eq!(reading.source.form, CatalogueForm::Xlsx);
    assert_eq!(reading.collection, survey.collection);
    assert_eq!(
        reading.concerns.iter().collect::<Vec<_>>(),
        Vec::<&kithbag::concern::Concern>::new()
    );
}

#[test]
fn what_files_say_stands_in_the_rows() {
    let folder = collection();
    let survey = surveyed(folder.path());
    let scan = |file: &str| {
        let found = survey
            .collection
            .scans
            .iter()
            .find(|scan| scan.file == file);
        found.unwrap().clone()
    };
    let front = scan("A-001 front.jpg");
    assert_eq!(front.portrait.given().unwrap().as_str(), "A-001");
    assert_eq!(front.view, Answer::Given(View::Front));
    assert_eq!(front.made_on.given().unwrap().typed, "2026-02-03");
    assert_eq!(front.made_with.text(), Some("Cam"));
    assert_eq!(
        (front.facts.width, front.facts.height),
        (Some(120), Some(160))
    );
    assert_eq!(front.facts.format.as_deref(), Some("JPEG"));
    assert!(
        front
            .facts
            .private_found
            .contains(&"place (GPS)".to_owned())
    );
    let bytes = fs::read(folder.path().join("A-001 front.jpg")).unwrap();
    let sha256 = kithbag::fixity::Digest::of(kithbag::fixity::Algorithm::Sha256, &bytes);
    assert_eq!(front.facts.sha256.as_deref(), Some(sha256.hex()));
    assert_eq!(scan("A-001 back.tif").view, Answer::Given(View::Back));
    let altered = scan("A-001 front ai.jpg");
    assert_eq!(altered.copy_kind, Answer::Given(CopyKind::Altered));
    assert_eq!(altered.altered_from.text(), Some("A-001 front.jpg"));
    assert_eq!(
        scan("A-002/front.png").portrait.given().unwrap().as_str(),
        "A-002"
    );
    let camera = scan("IMG_4471.JPG");
    assert_eq!(camera.portrait.given().unwrap().as_str(), "P-001");
    assert_eq!(camera.camera_name.text(), Some("IMG_4471.JPG"));
}

#[test]
fn what_is_odd_is_told() {
    let folder = collection();
    let root = folder.path();
    let whole = jpeg(9);
    put(root, "B-1 front.jpg", &whole);
    put(root, "B-1 front (1).jpg", &whole);
    put(root, "B-2 front.jpg", &whole[..whole.len() - 40]);
    put(root, "B-3 front.jpg", b"words");
    put(
        root,
        "B-4 front.heic",
        b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
    );
    put(
        root,
        "B-5 front.jpg",
        &with_segment(&whole, 0xFE, b"somebody typed this"),
    );
    put(root, "B-6 front.png", &jpeg(4));
    let survey = surveyed(root);
    assert_eq!(told(&survey, "place-in-file"), ["A-001 front.jpg"]);
    assert_eq!(told(&survey, "turned-by-tag"), ["A-001 front.jpg"]);
    assert_eq!(told(&survey, "exact-duplicate"), ["B-1 front.jpg"]);
    assert_eq!(told(&survey, "damaged-picture"), ["B-2 front.jpg"]);
    assert_eq!(told(&survey, "not-a-picture"), ["B-3 front.jpg"]);
    assert_eq!(told(&survey, "cannot-be-described"), ["B-4 front.heic"]);
    assert_eq!(told(&survey, "same-picture"), ["B-5 front.jpg"]);
    assert_eq!(told(&survey, "name-and-content-differ"), ["B-6 front.png"]);
    assert!(told(&survey, "no-back").contains(&"A-002".to_owned()));
    assert!(!told(&survey, "no-back").contains(&"A-001".to_owned()));
    // B-2 is B-1 cut short, B-5 looks like B-2, and B-6 is the drawing of A-002 coded another way.
    assert_eq!(
        told(&survey, "perhaps-same-negative"),
        ["B-6 front.png", "B-2 front.jpg", "B-5 front.jpg"]
    );
    let heic = survey
        .collection
        .scans
        .iter()
        .find(|scan| scan.file == "B-4 front.heic")
        .unwrap();
    assert_eq!(heic.facts.format.as_deref(), Some("HEIC/HEIF"));
}

#[test]
fn same_collection_same_bytes() {
    let (one, other) = (collection(), collection());
    surveyed(one.path());
    survey(
        other.path(),
        &SurveyOptions {
            threads: 1,
            ..options(SheetForm::Workbook)
        },
        &Silent,
    )
    .unwrap();
    assert_eq!(
        fs::read(one.path().join("catalogue.xlsx")).unwrap(),
        fs::read(other.path().join("catalogue.xlsx")).unwrap()
    );
}

#[test]
fn originals_are_left_alone() {
    let folder = collection();
    let bytes = |name: &str| fs::read(folder.path().join(name)).unwrap();
    let before = bytes("A-001 front.jpg");
    surveyed(folder.path());
    assert_eq!(bytes("A-001 front.jpg"), before);
}

#[test]
fn surveyed_again_nothing_is_written() {
    let folder = collection();
    surveyed(folder.path());
    let before = fs::read(folder.path().join("catalogue.xlsx")).unwrap();
    let again = surveyed(folder.path());
    assert!(again.wrote.is_empty(), "{:?}", again.wrote);
    assert_eq!(
        (again.new_scans, again.new_portraits, again.filled_cells),
        (0, 0, 0)
    );
    assert_eq!(
        fs::read(folder.path().join("catalogue.xlsx")).unwrap(),
        before
    );
}

/// What a person does with the drafted workbook: moves nothing, but fills, adds a column and a sheet, as their program would
/// save it.
fn worked_in(root: &Path) -> Vec<u8> {
    let bytes = fs::read(root.join("catalogue.xlsx")).unwrap();
    let tables = sheet::read_workbook(&bytes).unwrap();
    let mut book = rust_xlsxwriter::Workbook::new();
    let colour = rust_xlsxwriter::Format::new().set_background_color(0xFF_EE_AA);
    for table in tables.iter().rev() {
        let sheet = book.add_worksheet();
        sheet.set_name(&table.name).unwrap();
        sheet
            .write_string_with_format(0, 0, "My marks", &colour)
            .unwrap();
        for (column, heading) in (1..).zip(&table.headings) {
            sheet.write_string(0, column, heading).unwrap();
        }
        for (row, content) in (1..).zip(&table.rows) {
            sheet
                .write_string_with_format(row, 0, "✓ seen", &colour)
                .unwrap();
            for (column, heading) in (1..).zip(&table.headings) {
                let written = content.text(usize::from(column) - 1);
                let text = match (table.name.as_str(), heading.as_str()) {
                    ("Portraits", "Height") => "10",
                    ("Portraits", "Width") => "7.5",
                    ("Portraits", "Units") => "in",
                    ("Scans", "True dots per inch") => "",
                    (_, _) => written,
                };
                if !text.is_empty() {
                    sheet.write_string(row, column, text).unwrap();
                }
            }
        }
    }
    let own = book.add_worksheet();
    own.set_name("Shopping").unwrap();
    own.write_string(0, 0, "frame wire").unwrap();
    book.save_to_buffer().unwrap()
}

/// Every cell stands as it was, but for blank ones of a column that kithbag fills.
fn assert_cells_stand(before: &[u8], after: &[u8]) {
    let (old, new) = (
        sheet::read_workbook(before).unwrap(),
        sheet::read_workbook(after).unwrap(),
    );
    assert_eq!(old.len(), new.len());
    for (was, is) in old.iter().zip(&new) {
        assert_eq!((&was.name, &was.headings), (&is.name, &is.headings));
        let ppi = was
            .headings
            .iter()
            .position(|heading| heading == "True dots per inch");
        for (was_row, is_row) in was.rows.iter().zip(&is.rows) {
            for column in 0..was.headings.len() {
                if Some(column) == ppi && was_row.text(column).is_empty() {
                    assert!(["", "16"].contains(&is_row.text(column)));
                } else {
                    assert_eq!(
                        was_row.text(column),
                        is_row.text(column),
                        "{} {column}",
                        was.name
                    );
                }
            }
        }
    }
}

#[test]
fn what_a_person_did_survives_a_refresh() {
    let folder = collection();
    let root = folder.path();
    surveyed(root);
    let before = worked_in(root);
    fs::write(root.join("catalogue.xlsx"), &before).unwrap();
    put(root, "A-003 front.jpg", &jpeg(13));
    put(
        root,
        "A-002/back.png",
        &picture(14, image::ImageFormat::Png),
    );
    let survey = surveyed(root);
    assert_eq!((survey.new_scans, survey.new_portraits), (2, 1));
    // Five scans, of which the altered copy shows no view that was measured; 120 by 160 pixels of 7.5 by 10 inches.
    assert_eq!(survey.filled_cells, 4);
    assert_eq!(
        survey.wrote,
        ["catalogue.xlsx", "catalogue 2026-03-14.xlsx"]
    );
    assert_eq!(
        fs::read(root.join("catalogue 2026-03-14.xlsx")).unwrap(),
        before
    );

    let after = fs::read(root.join("catalogue.xlsx")).unwrap();
    let (old_parts, new_parts) = (parts_of(&before), parts_of(&after));
    let changed: Vec<&String> = old_parts
        .iter()
        .filter(|(name, content)| new_parts.get(*name) != Some(content))
        .map(|(name, _)| name)
        .collect();
    // The sheets stand in reversed order: of twelve, Portraits and Scans are the tenth and the ninth.
    assert_eq!(
        changed,
        ["xl/worksheets/sheet10.xml", "xl/worksheets/sheet9.xml"]
    );

    assert_cells_stand(&before, &after);
    let reading = catalogue::read(root).unwrap();
    assert_eq!(reading.collection.scans.len(), 7);
    let coarse = told(&survey, "coarse-scan");
    assert!(coarse.contains(&"A-001 front.jpg".to_owned()), "{coarse:?}");
}

#[test]
fn a_workbook_that_cannot_be_added_to_is_left_and_the_rows_stand_beside_it() {
    let folder = collection();
    let root = folder.path();
    surveyed(root);
    let bytes = fs::read(root.join("catalogue.xlsx")).unwrap();
    let mut book = parts_of(&bytes);
    let name = "xl/worksheets/sheet4.xml";
    let text = String::from_utf8(book[name].clone()).unwrap();
    let merged = text.replace(
        "</sheetData>",
        "</sheetData><mergeCells count=\"1\"><mergeCell ref=\"A6:A9\"/></mergeCells>",
    );
    book.insert(name.to_owned(), merged.into_bytes());
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (part, content) in &book {
        use std::io::Write;
        writer
            .start_file(part.as_str(), zip::write::SimpleFileOptions::default())
            .unwrap();
        writer.write_all(content).unwrap();
    }
    let before = writer.finish().unwrap().into_inner();
    fs::write(root.join("catalogue.xlsx"), &before).unwrap();
    put(root, "C-9 front.jpg", &jpeg(21));
    for _ in 0..2 {
        let survey = surveyed(root);
        assert_eq!(survey.wrote, ["catalogue-new-rows.xlsx"]);
        assert_eq!(told(&survey, "rows-written-apart"), ["catalogue.xlsx"]);
        assert_eq!(fs::read(root.join("catalogue.xlsx")).unwrap(), before);
    }
    let apart =
        sheet::read_workbook(&fs::read(root.join("catalogue-new-rows.xlsx")).unwrap()).unwrap();
    let scans = apart.iter().find(|table| table.name == "Scans").unwrap();
    assert_eq!(scans.rows.len(), 1);
    assert_eq!(scans.rows[0].text(0), "C-9 front.jpg");
}

#[test]
fn a_catalogue_that_is_open_or_cannot_be_read_is_left_alone() {
    let folder = collection();
    let root = folder.path();
    surveyed(root);
    put(root, "C-9 front.jpg", &jpeg(21));
    put(root, "~$catalogue.xlsx", b"");
    let survey = surveyed(root);
    assert!(survey.wrote.is_empty() && survey.concerns.has("catalogue-open"));
    fs::remove_file(root.join("~$catalogue.xlsx")).unwrap();
    fs::write(
        root.join("catalogue.xlsx"),
        b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1",
    )
    .unwrap();
    let survey = surveyed(root);
    assert!(survey.wrote.is_empty() && survey.concerns.has_stop());
    assert_eq!(survey.files.len(), 6);
}

#[test]
fn csv_catalogues_are_drafted_and_added_to_in_their_own_dialect() {
    let folder = collection();
    let root = folder.path();
    let first = survey(root, &options(SheetForm::Csv), &Silent).unwrap();
    assert_eq!(catalogue::read(root).unwrap().collection, first.collection);
    let scans = root.join("catalogue/scans.csv");
    let semicolons = fs::read_to_string(&scans)
        .unwrap()
        .replace("\",\"", "\";\"")
        .replace("\r\n", "\n");
    fs::write(&scans, &semicolons).unwrap();
    put(root, "A-003 front.jpg", &jpeg(13));
    let second = survey(root, &options(SheetForm::Workbook), &Silent).unwrap();
    assert_eq!(
        second.wrote,
        [
            "catalogue/portraits.csv",
            "catalogue/scans.csv",
            "catalogue 2026-03-14/"
        ]
    );
    let after = fs::read_to_string(&scans).unwrap();
    let added = after.strip_prefix(&semicolons).unwrap();
    assert!(
        added.starts_with("\"A-003 front.jpg\";;\"A-003\";\"front\";") && added.ends_with('\n'),
        "{added}"
    );
    assert_eq!(
        fs::read_to_string(root.join("catalogue 2026-03-14/scans.csv")).unwrap(),
        semicolons
    );
    assert_eq!(catalogue::read(root).unwrap().collection, second.collection);
}

#[test]
fn files_that_vanish_move_or_change_are_told() {
    let folder = collection();
    let root = folder.path();
    surveyed(root);
    fs::remove_file(root.join("A-001 back.tif")).unwrap();
    fs::rename(root.join("IMG_4471.JPG"), root.join("hat.jpg")).unwrap();
    put(
        root,
        "A-002/front.png",
        &picture(30, image::ImageFormat::Png),
    );
    let survey = surveyed(root);
    assert_eq!(told(&survey, "vanished-file"), ["A-001 back.tif"]);
    assert_eq!(told(&survey, "moved-file"), ["IMG_4471.JPG"]);
    assert_eq!(told(&survey, "file-changed"), ["A-002/front.png"]);
    assert_eq!(survey.vanished, ["A-001 back.tif", "IMG_4471.JPG"]);
    assert!(survey.wrote.is_empty() && survey.new_scans == 0);
}

/// A described copy, made here by hand: the packet in a segment of its own. [ISO 16684-3 A.2.3]
fn described(jpeg: &[u8], whole: &Collection, file: &str) -> Vec<u8> {
    let scan = whole.scans.iter().find(|scan| scan.file == file).unwrap();
    let excerpt = whole.excerpt(scan.portrait.given().unwrap(), Some(scan));
    let written = xmp::write(None, &excerpt, &xmp::PacketContext::default()).unwrap();
    let content = [b"http://ns.adobe.com/xap/1.0/\0", written.packet.as_bytes()].concat();
    with_segment(jpeg, 0xE1, &content)
}

fn without_facts(mut collection: Collection) -> Collection {
    for scan in &mut collection.scans {
        scan.facts = ScanFacts::default();
        scan.copy_kind = Answer::Blank;
    }
    collection
}

/// A person and a claim about A-001, as a person might add them.
fn with_a_claim(bytes: &[u8]) -> Vec<u8> {
    let row = |cells: &[(&str, &str)]| -> Vec<(String, String)> {
        cells
            .iter()
            .map(|(heading, text)| ((*heading).to_owned(), (*text).to_owned()))
            .collect()
    };
    let sheet = |sheet: &str, rows: Vec<Vec<(String, String)>>| SheetAdditions {
        sheet: sheet.to_owned(),
        rows,
        ..SheetAdditions::default()
    };
    let plan = |name: &str| {
        *catalogue::columns::SHEETS
            .iter()
            .find(|plan| plan.name == name)
            .unwrap()
    };
    let marked = |name: &str, heading: &str| {
        let plan = plan(name);
        let (_, column) = catalogue::column_of(&plan, heading).unwrap();
        column.marked_heading()
    };
    sheet::refresh::refresh(
        bytes,
        &[
            sheet(
                "People",
                vec![row(&[
                    (&marked("People", "Person no."), "P1"),
                    (&marked("People", "Name as best known"), "Edwin Marrack"),
                ])],
            ),
            sheet(
                "Who is it",
                vec![row(&[
                    (&marked("Who is it", "Portrait no."), "A-001"),
                    (&marked("Who is it", "Sitter"), "P1"),
                    (&marked("Who is it", "How sure"), "possible"),
                ])],
            ),
        ],
    )
    .unwrap()
    .bytes
}

#[test]
fn described_copies_alone_rebuild_the_catalogue() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    let files = ["A-001 back.jpg", "A-001 front.jpg", "A-002 front.jpg"];
    for (seed, file) in (0..).zip(files) {
        put(root, file, &jpeg(seed));
    }
    surveyed(root);
    let bytes = fs::read(root.join("catalogue.xlsx")).unwrap();
    fs::write(root.join("catalogue.xlsx"), with_a_claim(&bytes)).unwrap();
    let whole = catalogue::read(root).unwrap().collection;
    assert_eq!((whole.people.len(), whole.claims.len()), (1, 1));

    let copies = tempfile::tempdir().unwrap();
    for (seed, file) in (0..).zip(files) {
        put(copies.path(), file, &described(&jpeg(seed), &whole, file));
    }
    let survey = surveyed(copies.path());
    assert_eq!(survey.rebuilt_scans, 3);
    assert!(!survey.concerns.has("records-disagree"));
    let rebuilt = catalogue::read(copies.path()).unwrap().collection;
    assert_eq!(rebuilt, survey.collection);
    let mut expected = without_facts(whole.clone());
    expected
        .scans
        .sort_by_key(|scan| (scan.portrait.given().cloned(), scan.view.given().copied()));
    assert_eq!(without_facts(rebuilt), expected);

    // In the collection itself, the copies are known for what they are.
    for (seed, file) in (0..).zip(files) {
        put(
            root,
            &format!("out/{file}"),
            &described(&jpeg(seed), &whole, file),
        );
    }
    let again = surveyed(root);
    assert_eq!((again.new_scans, again.described_copies.len()), (0, 3));
    assert!(again.wrote.is_empty());
}

#[test]
fn nothing_at_all_is_a_collection_too() {
    let folder = tempfile::tempdir().unwrap();
    let survey = surveyed(folder.path());
    assert_eq!(survey.wrote, ["catalogue.xlsx"]);
    assert!(survey.concerns.is_empty());
    assert!(survey_fails(&folder.path().join("missing")));
}

fn survey_fails(root: &Path) -> bool {
    survey(root, &options(SheetForm::Workbook), &Silent).is_err()
}

#[test]
fn an_unchanged_file_is_not_read_twice_and_a_changed_one_is() {
    let folder = collection();
    let root = folder.path();
    surveyed(root);
    let memory = root.join(".kithbag-cache");
    fs::remove_file(&memory).unwrap();
    let first = surveyed(root);
    let kept = fs::read_to_string(&memory).unwrap();
    // What is remembered is used: a word changed in the memory comes back.
    fs::write(
        &memory,
        kept.replace("\"format\":\"PNG\"", "\"format\":\"remembered\""),
    )
    .unwrap();
    let second = surveyed(root);
    let format = |survey: &Survey| {
        let seen = survey
            .files
            .iter()
            .find(|seen| seen.file == "A-002/front.png");
        seen.unwrap().format.clone()
    };
    assert_eq!(format(&second), "remembered");
    assert_eq!(
        second.concerns, first.concerns,
        "concerns are remembered too"
    );
    // Written again, the same bytes are another file on the disk.
    let bytes = fs::read(root.join("A-002/front.png")).unwrap();
    let file = fs::File::options()
        .write(true)
        .open(root.join("A-002/front.png"))
        .unwrap();
    file.set_modified(
        std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_700_000_000),
    )
    .unwrap();
    assert_eq!(format(&surveyed(root)), "PNG");
    assert_eq!(fs::read(root.join("A-002/front.png")).unwrap(), bytes);
    // Damage is no harm, and after it the memory is whole again.
    for damaged in ["", "nonsense", &kept[..kept.len() / 2]] {
        fs::write(&memory, damaged).unwrap();
        let again = surveyed(root);
        assert_eq!(again.files, first.files);
        assert!(fs::read_to_string(&memory).unwrap().lines().count() == kept.lines().count());
    }
}
