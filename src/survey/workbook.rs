//! The catalogue as a workbook to be filled: sheets, lists, notes, small pictures, and how to fill it.

use super::pictures::Front;
use crate::catalogue::columns;
use crate::catalogue::columns::Column;
use crate::catalogue::columns::SHEETS;
use crate::catalogue::columns::SheetPlan;
use crate::catalogue::guide;
use crate::format::sheet::Table;
use crate::format::sheet::draft::Draft;
use crate::format::sheet::draft::DraftColumn;
use crate::format::sheet::draft::DraftRow;
use crate::format::sheet::draft::DraftSheet;
use crate::format::sheet::draft::Guide;
use crate::format::sheet::draft::GuideLine;
use std::collections::BTreeMap;

/// Words that fit every question of a person's own knowledge.
const ALWAYS: [&str; 2] = ["nk", "na"];

/// Returns the draft of a whole catalogue. `tables` are all sheets in their order.
pub(super) fn draft(
    title: &str,
    tables: Vec<Table>,
    fronts: &[Front],
    made_on: jiff::civil::Date,
) -> Draft {
    let pictures: BTreeMap<&str, &Vec<u8>> = fronts
        .iter()
        .filter_map(|front| Some((front.portrait.as_str(), front.small.as_ref()?)))
        .collect();
    Draft {
        title: title.to_owned(),
        made_on: day(made_on),
        guide: guide(),
        sheets: SHEETS
            .iter()
            .zip(tables)
            .map(|(plan, table)| sheet(plan, table, &pictures))
            .collect(),
    }
}

fn day(date: jiff::civil::Date) -> (u16, u8, u8) {
    let year = u16::try_from(date.year()).unwrap_or(1900);
    let month = u8::try_from(date.month()).unwrap_or(1);
    (year, month, u8::try_from(date.day()).unwrap_or(1))
}

fn sheet(plan: &SheetPlan, table: Table, pictures: &BTreeMap<&str, &Vec<u8>>) -> DraftSheet {
    let mut shown: Vec<DraftColumn> = plan.columns.iter().map(column).collect();
    // Columns of the person's own, which records inside described copies can bring along.
    let own = table.headings.iter().skip(plan.columns.len());
    shown.extend(own.map(|heading| DraftColumn {
        heading: heading.clone(),
        width: 20,
        ..DraftColumn::default()
    }));
    let pictured = plan.name == columns::PORTRAITS.name;
    let rows = table.rows.into_iter().map(|row| {
        let picture = pictured.then(|| pictures.get(row.text(0))).flatten();
        DraftRow {
            cells: row.cells.into_iter().map(|cell| cell.text).collect(),
            picture: picture.map(|picture| (*picture).clone()),
        }
    });
    DraftSheet {
        name: plan.name.to_owned(),
        columns: shown,
        rows: rows.collect(),
    }
}

fn column(column: &Column) -> DraftColumn {
    let words = column.words.unwrap_or_default().iter().copied();
    let always = if column.words.is_some() && !column.filled_by_tool {
        ALWAYS.as_slice()
    } else {
        &[]
    };
    DraftColumn {
        heading: column.marked_heading(),
        words: words
            .chain(always.iter().copied())
            .map(str::to_owned)
            .collect(),
        help: column.help.to_owned(),
        width: column.width,
        filled_by_tool: column.filled_by_tool,
    }
}

/// The first sheet: how to fill the others, what each is about, and what belongs into every column.
fn guide() -> Guide {
    let mut lines = vec![GuideLine::Title(guide::TITLE.to_owned())];
    lines.extend(
        guide::LINES
            .iter()
            .map(|line| match line.trim().split_once(": ") {
                Some((word, meaning)) if line.starts_with(' ') => {
                    GuideLine::Term(word.to_owned(), meaning.to_owned())
                }
                _ => GuideLine::Paragraph((*line).to_owned()),
            }),
    );
    lines.push(GuideLine::Paragraph(String::new()));
    lines.push(GuideLine::Heading("The sheets".to_owned()));
    lines.extend(
        guide::sheets().map(|(name, about)| GuideLine::Term(name.to_owned(), about.to_owned())),
    );
    for plan in SHEETS {
        lines.push(GuideLine::Paragraph(String::new()));
        lines.push(GuideLine::Heading(format!("Columns of “{}”", plan.name)));
        lines.extend(
            plan.columns
                .iter()
                .map(|column| GuideLine::Term(column.marked_heading(), meaning(column))),
        );
    }
    Guide {
        name: columns::GUIDE_SHEET.to_owned(),
        lines,
    }
}

fn meaning(column: &Column) -> String {
    match column.words {
        Some(words) if !column.filled_by_tool => {
            format!("{} Words: {}.", column.help, words.join(", "))
        }
        _ => column.help.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A drop-down list holds at most 255 characters, commas included. [ECMA-376-1 18.3.1.33]
    #[test]
    fn every_list_of_words_fits_a_drop_down() {
        for plan in SHEETS {
            for one in plan.columns {
                let words = column(one).words;
                let length: usize = words.iter().map(|word| word.len() + 1).sum();
                assert!(length <= 255, "{}: {length}", one.heading);
                assert!(
                    words.iter().all(|word| !word.contains(',')),
                    "{}",
                    one.heading
                );
            }
        }
    }
}
