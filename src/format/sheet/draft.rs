//! Writes a new workbook for a person to fill: text cells only, drop-down lists, frozen headings, small pictures.
//! [ECMA-376-1 18]
//!
//! Every cell has the format "text", the empty ones too, so that `6-18` and `1895` stay what was typed.

use rust_xlsxwriter::Color;
use rust_xlsxwriter::DataValidation;
use rust_xlsxwriter::DocProperties;
use rust_xlsxwriter::ExcelDateTime;
use rust_xlsxwriter::Format;
use rust_xlsxwriter::FormatAlign;
use rust_xlsxwriter::FormatBorder;
use rust_xlsxwriter::IgnoreError;
use rust_xlsxwriter::Image;
use rust_xlsxwriter::Note;
use rust_xlsxwriter::ObjectMovement;
use rust_xlsxwriter::Workbook;
use rust_xlsxwriter::Worksheet;
use rust_xlsxwriter::XlsxError;

/// Empty rows below the filled ones that are formatted as text cell by cell. The columns carry the format as well, but
/// programs on telephones and the web often look at the cells alone.
pub const EMPTY_ROWS: u32 = 300;

/// The last row of a sheet, counted from 0: drop-down lists reach down to it. [ECMA-376-1 18.3.1.73]
const LAST_ROW: u32 = 1_048_575;

/// The built-in number format "@": text. [ECMA-376-1 18.8.30]
const TEXT_FORMAT: u8 = 49;

/// Longest text of a list that stands in its rule, commas included. [ECMA-376-1 18.3.1.33]
const LONGEST_LIST: usize = 255;

/// Space for a small picture, in the pixels of a sheet.
const PICTURE_EDGE: u32 = 88;

/// Height of a row with a small picture, in pixels.
const PICTURE_ROW: u32 = 96;

/// Space for the number beside the picture, in pixels.
const NUMBER_SPACE: u32 = 76;

const HEADING_INK: Color = Color::RGB(0xFF_FF_FF);
const HEADING_PAPER: Color = Color::RGB(0x3F_4A_4F);
const TOOL_HEADING_PAPER: Color = Color::RGB(0x8A_93_96);
const TOOL_PAPER: Color = Color::RGB(0xEF_EF_EC);
const RULE: Color = Color::RGB(0xD6_D6_D0);
const QUIET_INK: Color = Color::RGB(0x5A_5A_55);

/// A workbook to be written.
#[derive(Debug, Clone, Default)]
pub struct Draft {
    /// Its title, for the document's properties.
    pub title: String,
    /// The day that stands as its day of making: year, month, day.
    pub made_on: (u16, u8, u8),
    /// The first sheet, which explains.
    pub guide: Guide,
    /// The sheets, in their order.
    pub sheets: Vec<DraftSheet>,
}

/// The sheet that explains the others in plain words.
#[derive(Debug, Clone, Default)]
pub struct Guide {
    /// The name of the sheet.
    pub name: String,
    /// What it says, from top to bottom.
    pub lines: Vec<GuideLine>,
}

/// One line of the explaining sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GuideLine {
    /// The title of the sheet.
    Title(String),
    /// A heading.
    Heading(String),
    /// A paragraph.
    Paragraph(String),
    /// A term and what it means.
    Term(String, String),
}

/// One sheet with a heading row.
#[derive(Debug, Clone, Default)]
pub struct DraftSheet {
    /// Its name.
    pub name: String,
    /// Its columns, in their order.
    pub columns: Vec<DraftColumn>,
    /// Its rows, in their order.
    pub rows: Vec<DraftRow>,
}

/// One column.
#[derive(Debug, Clone, Default)]
pub struct DraftColumn {
    /// The heading.
    pub heading: String,
    /// The words that a drop-down list offers; none for free text. Other words can still be typed.
    pub words: Vec<String>,
    /// What belongs here, for the note at the heading.
    pub help: String,
    /// The width in characters.
    pub width: u16,
    /// Whether the program fills it: shaded, and said so.
    pub filled_by_tool: bool,
}

/// One row.
#[derive(Debug, Clone, Default)]
pub struct DraftRow {
    /// The cells, in the order of the columns.
    pub cells: Vec<String>,
    /// A small JPEG or PNG that stands in the first cell, beside its text.
    pub picture: Option<Vec<u8>>,
}

/// Why a workbook cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum DraftError {
    /// A cell, row, sheet or name goes beyond what the format allows.
    #[error("sheet “{sheet}”, row {row}: the workbook format does not allow it")]
    Cell {
        /// The sheet.
        sheet: String,
        /// The row as a spreadsheet counts it.
        row: u32,
        /// What the writer said.
        source: XlsxError,
    },
    /// There are more rows than a sheet has.
    #[error("sheet “{sheet}” has more rows than a workbook can hold")]
    TooManyRows {
        /// The sheet.
        sheet: String,
    },
    /// The workbook as a whole could not be written.
    #[error("the workbook could not be put together")]
    Workbook(#[from] XlsxError),
}

/// Returns the bytes of a workbook; the same draft always gives the same bytes.
///
/// # Errors
/// When a text is longer than a cell can hold, a sheet has too many rows, or a sheet's name is not allowed.
pub fn workbook(draft: &Draft) -> Result<Vec<u8>, DraftError> {
    let mut book = Workbook::new();
    let (year, month, day) = draft.made_on;
    book.set_properties(
        &DocProperties::new()
            .set_title(&draft.title)
            .set_author("kithbag")
            .set_creation_datetime(&ExcelDateTime::from_ymd(year, month, day)?),
    );
    write_guide(book.add_worksheet(), &draft.guide)?;
    for sheet in &draft.sheets {
        write_sheet(book.add_worksheet(), sheet)?;
    }
    Ok(book.save_to_buffer()?)
}

fn write_guide(sheet: &mut Worksheet, guide: &Guide) -> Result<(), DraftError> {
    sheet.set_name(&guide.name)?;
    sheet.set_column_width(0, 30)?;
    sheet.set_column_width(1, 92)?;
    sheet.set_screen_gridlines(false);
    sheet.set_print_fit_to_pages(1, 0);
    let plain = text_format().set_text_wrap();
    let title = text_format().set_bold().set_font_size(18);
    let heading = text_format()
        .set_bold()
        .set_font_size(13)
        .set_border_bottom(FormatBorder::Thin)
        .set_border_bottom_color(RULE);
    let term = text_format().set_bold().set_text_wrap();
    for (row, line) in (0..).zip(&guide.lines) {
        match line {
            GuideLine::Title(text) => {
                sheet.set_row_height(row, 30)?;
                sheet.write_string_with_format(row, 0, text, &title)?;
            }
            GuideLine::Heading(text) => {
                sheet.set_row_height(row, 26)?;
                sheet.write_string_with_format(row, 0, text, &heading)?;
                sheet.write_blank(row, 1, &heading)?;
            }
            GuideLine::Paragraph(text) => {
                sheet.set_row_height(row, lines_height(text, 115))?;
                sheet.merge_range(row, 0, row, 1, text, &plain)?;
            }
            GuideLine::Term(word, meaning) => {
                sheet.set_row_height(row, lines_height(meaning, 86))?;
                sheet.write_string_with_format(row, 0, word, &term)?;
                sheet.write_string_with_format(row, 1, meaning, &plain)?;
            }
        }
    }
    Ok(())
}

/// Returns the height in points of a wrapped text, for a line of so many characters.
fn lines_height(text: &str, in_line: usize) -> f64 {
    let lines = text
        .lines()
        .map(|line| line.chars().count().checked_div(in_line).unwrap_or(0))
        .fold(0_u32, |sum, full| {
            sum.saturating_add(u32::try_from(full).unwrap_or(u32::MAX).saturating_add(1))
        })
        .clamp(1, 27);
    f64::from(lines) * 15.0 + 2.0
}

fn text_format() -> Format {
    Format::new()
        .set_num_format_index(TEXT_FORMAT)
        .set_align(FormatAlign::Top)
        .set_align(FormatAlign::Left)
}

/// The looks of the cells of one column.
struct Looks {
    heading: Format,
    cell: Format,
}

fn looks(column: &DraftColumn) -> Looks {
    let paper = if column.filled_by_tool {
        TOOL_HEADING_PAPER
    } else {
        HEADING_PAPER
    };
    let heading = text_format()
        .set_bold()
        .set_text_wrap()
        .set_font_color(HEADING_INK)
        .set_background_color(paper)
        .set_border_right(FormatBorder::Thin)
        .set_border_right_color(RULE);
    let cell = text_format()
        .set_border(FormatBorder::Hair)
        .set_border_color(RULE);
    // Checksums on several lines would make every row high for nothing.
    let cell = if column.filled_by_tool {
        cell.set_background_color(TOOL_PAPER)
            .set_font_color(QUIET_INK)
    } else {
        cell.set_text_wrap()
    };
    Looks { heading, cell }
}

fn write_sheet(sheet: &mut Worksheet, draft: &DraftSheet) -> Result<(), DraftError> {
    let fault = |row: u32| {
        let sheet = draft.name.clone();
        move |source| DraftError::Cell {
            sheet,
            row: row.saturating_add(1),
            source,
        }
    };
    sheet.set_name(&draft.name).map_err(fault(0))?;
    let columns: Vec<Looks> = draft.columns.iter().map(looks).collect();
    write_headings(sheet, draft, &columns).map_err(fault(0))?;
    let filled = u32::try_from(draft.rows.len())
        .ok()
        .filter(|filled| *filled < LAST_ROW)
        .ok_or_else(|| DraftError::TooManyRows {
            sheet: draft.name.clone(),
        })?;
    for (row, content) in (1..).zip(&draft.rows) {
        write_row(sheet, row, content, &columns).map_err(fault(row))?;
    }
    let empty = DraftRow::default();
    let last = filled.saturating_add(EMPTY_ROWS).min(LAST_ROW);
    for row in filled.saturating_add(1)..=last {
        write_row(sheet, row, &empty, &columns).map_err(fault(row))?;
    }
    sheet.set_freeze_panes(1, 1).map_err(fault(0))?;
    let columns_after_first = draft.columns.len().saturating_sub(1);
    let last_column = u16::try_from(columns_after_first).unwrap_or(u16::MAX);
    // Without this, every year and number would carry a mark "number stored as text".
    sheet
        .ignore_error_range(0, 0, LAST_ROW, last_column, IgnoreError::NumberStoredAsText)
        .map_err(fault(0))?;
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0).map_err(fault(0))?;
    Ok(())
}

fn write_headings(
    sheet: &mut Worksheet,
    draft: &DraftSheet,
    columns: &[Looks],
) -> Result<(), XlsxError> {
    sheet.set_row_height(0, 36)?;
    let pictured = draft.rows.iter().any(|row| row.picture.is_some());
    for (at, (column, looks)) in (0_u16..).zip(draft.columns.iter().zip(columns)) {
        if at == 0 && pictured {
            let width = NUMBER_SPACE.saturating_add(PICTURE_EDGE).saturating_add(8);
            sheet.set_column_width_pixels(at, width)?;
        } else {
            sheet.set_column_width(at, column.width.clamp(4, 90))?;
        }
        sheet.set_column_format(at, &looks.cell)?;
        sheet.write_string_with_format(0, at, &column.heading, &looks.heading)?;
        let note = note_text(column);
        if !note.is_empty() {
            sheet.insert_note(0, at, &note_box(&note))?;
        }
        add_list(sheet, at, column)?;
    }
    Ok(())
}

fn note_text(column: &DraftColumn) -> String {
    let mut parts = vec![column.help.clone()];
    if column.filled_by_tool {
        parts.push("kithbag fills this column; please leave it as it is.".to_owned());
    }
    parts.retain(|part| !part.is_empty());
    parts.join("\n")
}

fn note_box(text: &str) -> Note {
    let lines = text
        .chars()
        .count()
        .checked_div(34)
        .and_then(|full| u32::try_from(full).ok())
        .unwrap_or(0)
        .saturating_add(2)
        .min(30);
    Note::new(text)
        .set_author("kithbag")
        .add_author_prefix(false)
        .set_width(260)
        .set_height(lines.saturating_mul(17).saturating_add(12))
}

/// Adds the drop-down list of a column. It offers and does not forbid: "nk", "na" and several words can be typed. A list too
/// long for the format is left out; the words stand in the note.
fn add_list(sheet: &mut Worksheet, at: u16, column: &DraftColumn) -> Result<(), XlsxError> {
    let length = column
        .words
        .iter()
        .map(|word| word.encode_utf16().count().saturating_add(1))
        .fold(0_usize, usize::saturating_add);
    let comma = column.words.iter().any(|word| word.contains(','));
    if column.words.is_empty() || comma || length > LONGEST_LIST {
        return Ok(());
    }
    let list = DataValidation::new()
        .allow_list_strings(&column.words)?
        .show_error_message(false);
    sheet.add_data_validation(1, at, LAST_ROW, at, &list)?;
    Ok(())
}

fn write_row(
    sheet: &mut Worksheet,
    row: u32,
    content: &DraftRow,
    columns: &[Looks],
) -> Result<(), XlsxError> {
    for (at, looks) in (0_u16..).zip(columns) {
        match content.cells.get(usize::from(at)) {
            Some(text) if !text.is_empty() => {
                sheet.write_string_with_format(row, at, text, &looks.cell)?;
            }
            _ => {
                sheet.write_blank(row, at, &looks.cell)?;
            }
        }
    }
    if let Some(picture) = &content.picture {
        sheet.set_row_height_pixels(row, PICTURE_ROW)?;
        place_picture(sheet, row, content, picture)?;
    }
    Ok(())
}

fn place_picture(
    sheet: &mut Worksheet,
    row: u32,
    content: &DraftRow,
    picture: &[u8],
) -> Result<(), XlsxError> {
    let number = content.cells.first().map_or("", String::as_str);
    let image = Image::new_from_buffer(picture)?
        .set_scale_to_size(PICTURE_EDGE, PICTURE_EDGE, true)
        .set_alt_text(format!("Small picture of {number}"))
        .set_object_movement(ObjectMovement::MoveAndSizeWithCells);
    sheet.insert_image_with_offset(row, 0, &image, NUMBER_SPACE, 4)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;
    use std::io::Read;

    fn small_picture() -> Vec<u8> {
        let picture = image::RgbImage::from_pixel(60, 80, image::Rgb([120, 110, 100]));
        let mut bytes = Cursor::new(Vec::new());
        picture
            .write_to(&mut bytes, image::ImageFormat::Jpeg)
            .unwrap();
        bytes.into_inner()
    }

    fn sample() -> Draft {
        Draft {
            title: "Catalogue".to_owned(),
            made_on: (2026, 3, 14),
            guide: Guide {
                name: "Read me first".to_owned(),
                lines: vec![
                    GuideLine::Title("Read me first".to_owned()),
                    GuideLine::Heading("How".to_owned()),
                    GuideLine::Paragraph("One row per thing.".to_owned()),
                    GuideLine::Term("nk".to_owned(), "not known".to_owned()),
                ],
            },
            sheets: vec![DraftSheet {
                name: "Portraits".to_owned(),
                columns: vec![
                    DraftColumn {
                        heading: "Portrait no.".to_owned(),
                        help: "Its number.".to_owned(),
                        width: 14,
                        ..DraftColumn::default()
                    },
                    DraftColumn {
                        heading: "Glass".to_owned(),
                        words: vec!["none".to_owned(), "flat".to_owned()],
                        width: 12,
                        ..DraftColumn::default()
                    },
                    DraftColumn {
                        heading: "Checksum".to_owned(),
                        width: 20,
                        filled_by_tool: true,
                        ..DraftColumn::default()
                    },
                ],
                rows: vec![DraftRow {
                    cells: vec!["A-001".to_owned(), "flat".to_owned(), "6-18".to_owned()],
                    picture: Some(small_picture()),
                }],
            }],
        }
    }

    fn part(bytes: &[u8], name: &str) -> String {
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        let mut text = String::new();
        archive
            .by_name(name)
            .unwrap()
            .read_to_string(&mut text)
            .unwrap();
        text
    }

    #[test]
    fn same_draft_same_bytes() {
        assert_eq!(workbook(&sample()).unwrap(), workbook(&sample()).unwrap());
    }

    #[test]
    fn lists_panes_and_pictures_are_there() {
        let bytes = workbook(&sample()).unwrap();
        let sheet = part(&bytes, "xl/worksheets/sheet2.xml");
        assert!(sheet.contains("\"none,flat\""), "{sheet}");
        assert!(sheet.contains("sqref=\"B2:B1048576\""));
        assert!(sheet.contains("state=\"frozen\""));
        assert!(part(&bytes, "xl/drawings/drawing1.xml").contains("Small picture of A-001"));
        assert!(
            part(&bytes, "xl/comments1.xml")
                .contains("kithbag fills this column; please leave it as it is.")
        );
    }

    /// Number format 49 is "@", text. [ECMA-376-1 18.8.30]
    #[test]
    fn every_style_of_a_cell_is_text() {
        let bytes = workbook(&sample()).unwrap();
        let styles = part(&bytes, "xl/styles.xml");
        let parsed = roxmltree::Document::parse(&styles).unwrap();
        let formats: Vec<_> = parsed
            .descendants()
            .find(|node| {
                node.has_tag_name((
                    "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
                    "cellXfs",
                ))
            })
            .unwrap()
            .children()
            .filter(roxmltree::Node::is_element)
            .map(|node| node.attribute("numFmtId").unwrap().to_owned())
            .collect();
        for name in ["xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"] {
            let sheet = part(&bytes, name);
            let parsed = roxmltree::Document::parse(&sheet).unwrap();
            let cells = parsed
                .descendants()
                .filter(|node| node.tag_name().name() == "c");
            let mut count = 0;
            for cell in cells {
                let style: usize = cell.attribute("s").unwrap().parse().unwrap();
                assert_eq!(formats[style], "49", "{name} {:?}", cell.attribute("r"));
                count += 1;
            }
            assert!(count > 5);
        }
        let sheet = part(&bytes, "xl/worksheets/sheet2.xml");
        assert!(sheet.contains("<c r=\"C301\""), "empty rows are text too");
    }

    #[test]
    fn text_too_long_for_a_cell_is_named() {
        let mut draft = sample();
        draft.sheets[0].rows[0].cells[1] = "x".repeat(40_000);
        let error = workbook(&draft).unwrap_err();
        assert!(
            matches!(&error, DraftError::Cell { sheet, row: 2, .. } if sheet == "Portraits"),
            "{error:?}"
        );
    }

    #[test]
    fn words_that_do_not_fit_a_list_are_left_to_the_note() {
        let mut draft = sample();
        draft.sheets[0].columns[1].words = vec!["long word".repeat(20), "another".repeat(20)];
        let bytes = workbook(&draft).unwrap();
        assert!(!part(&bytes, "xl/worksheets/sheet2.xml").contains("dataValidation "));
    }

    #[test]
    fn texts_that_look_like_formulas_stay_text() {
        let mut draft = sample();
        draft.sheets[0].rows[0].cells[1] = "=1+1".to_owned();
        let bytes = workbook(&draft).unwrap();
        assert!(!part(&bytes, "xl/worksheets/sheet2.xml").contains("<f>"));
    }
}
