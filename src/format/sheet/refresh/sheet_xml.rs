//! Adds to the XML text of one sheet: every byte that is not concerned stays where it is. [ECMA-376-1 18.3.1]

use super::RefreshFault;
use super::SheetAdditions;
use super::cells;
use super::cells::LAST_ROW;
use super::cells::RowElement;
use super::edits;
use super::edits::Edits;
use super::parts;
use super::reference::Block;
use super::reference::Cell;
use roxmltree::Document;
use roxmltree::Node;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Rows from the top among which the headings are looked for.
const HEADING_SEARCH: usize = 20;

/// The changed sheet.
pub(super) struct Added {
    pub(super) text: String,
    pub(super) filled: usize,
    pub(super) first_new_row: Option<u32>,
    /// The last row with content before anything was added.
    pub(super) last_row: u32,
    /// Every cell that was filled or added.
    pub(super) touched: BTreeSet<Cell>,
}

/// Adds to a sheet.
pub(super) fn add(
    text: &str,
    shared: &[String],
    additions: &SheetAdditions,
) -> Result<Added, RefreshFault> {
    let parsed = parts::parse(&additions.sheet, text)?;
    parts::refuse_variant(parsed.root_element().tag_name().namespace())?;
    let sheet = Sheet::read(&parsed, shared, &additions.sheet)?;
    let wanted = sheet.wanted(additions)?;
    let touched: BTreeSet<Cell> = wanted.keys().copied().collect();
    sheet.refuse_obstacles(&parsed, &touched)?;
    let mut edits = Edits::default();
    sheet.place(text, &wanted, &mut edits)?;
    sheet.stretch_dimension(&parsed, &touched, &mut edits);
    let first_new_row = (!additions.rows.is_empty()).then(|| sheet.last_row.saturating_add(1));
    let new_cells = |cell: &&Cell| first_new_row.is_some_and(|first| cell.row >= first);
    Ok(Added {
        text: edits.apply(text),
        filled: touched
            .len()
            .saturating_sub(touched.iter().filter(new_cells).count()),
        first_new_row,
        last_row: sheet.last_row,
        touched,
    })
}

/// Makes sure that every cell which was there and is not among the touched ones still stands byte for byte.
pub(super) fn confirm(
    before: &str,
    after: &Added,
    additions: &SheetAdditions,
) -> Result<(), RefreshFault> {
    let old = cell_texts(before, &additions.sheet)?;
    let new = cell_texts(&after.text, &additions.sheet)?;
    let lost = old
        .iter()
        .find(|(cell, text)| !after.touched.contains(cell) && new.get(cell) != Some(text));
    match lost {
        None => Ok(()),
        Some((cell, _)) => Err(RefreshFault::InTheWay {
            sheet: additions.sheet.clone(),
            what: format!("the cell {} would not survive", cell.text()),
        }),
    }
}

fn cell_texts<'t>(text: &'t str, part: &str) -> Result<BTreeMap<Cell, &'t str>, RefreshFault> {
    let parsed = parts::parse(part, text)?;
    let mut texts = BTreeMap::new();
    for row in cells::rows(&parsed, part)? {
        for (cell, node) in row.cells {
            texts.insert(cell, text.get(node.range()).unwrap_or_default());
        }
    }
    Ok(texts)
}

/// What the sheet holds now.
struct Sheet<'a, 'i> {
    name: &'a str,
    data: Node<'a, 'i>,
    rows: Vec<RowElement<'a, 'i>>,
    shared: &'a [String],
    last_row: u32,
    column_styles: Vec<(u32, u32, String)>,
}

impl<'a, 'i> Sheet<'a, 'i> {
    fn read(
        parsed: &'a Document<'i>,
        shared: &'a [String],
        name: &'a str,
    ) -> Result<Self, RefreshFault> {
        let rows = cells::rows(parsed, name)?;
        let filled = |row: &&RowElement<'_, '_>| {
            row.cells
                .iter()
                .any(|(_, node)| !cells::is_blank(*node, shared))
        };
        Ok(Self {
            name,
            data: cells::sheet_data(parsed, name)?,
            last_row: rows.iter().rev().find(filled).map_or(0, |row| row.number),
            rows,
            shared,
            column_styles: cells::column_styles(parsed),
        })
    }

    fn row(&self, number: u32) -> Option<&RowElement<'a, 'i>> {
        self.rows
            .binary_search_by_key(&number, |row| row.number)
            .ok()
            .and_then(|at| self.rows.get(at))
    }

    /// Returns the texts to be put in place, by cell. Cells that hold anything are left out.
    fn wanted(&self, additions: &SheetAdditions) -> Result<BTreeMap<Cell, String>, RefreshFault> {
        let columns = self.columns(additions)?;
        let column = |heading: &str| columns.get(heading).copied().unwrap_or_default();
        let mut wanted = BTreeMap::new();
        for fill in additions.fills.iter().filter(|fill| !fill.text.is_empty()) {
            let cell = Cell {
                row: fill.row,
                column: column(&fill.heading),
            };
            if fill.row <= self.last_row && self.is_blank_at(cell) {
                wanted.insert(cell, fill.text.clone());
            }
        }
        for (row, content) in (self.last_row.saturating_add(1)..).zip(&additions.rows) {
            if row > LAST_ROW {
                return Err(self.in_the_way("there is no room for more rows"));
            }
            for (heading, text) in content.iter().filter(|(_, text)| !text.is_empty()) {
                let cell = Cell {
                    row,
                    column: column(heading),
                };
                wanted.insert(cell, text.clone());
            }
        }
        Ok(wanted)
    }

    fn is_blank_at(&self, cell: Cell) -> bool {
        let Some(row) = self.row(cell.row) else {
            return true;
        };
        row.cells
            .iter()
            .find(|(at, _)| *at == cell)
            .is_none_or(|(_, node)| cells::is_blank(*node, self.shared))
    }

    /// Finds the heading row, the first that holds all headings, and the column of each.
    fn columns(&self, additions: &SheetAdditions) -> Result<BTreeMap<String, u32>, RefreshFault> {
        let fills = additions.fills.iter().map(|fill| fill.heading.as_str());
        let in_rows = additions
            .rows
            .iter()
            .flatten()
            .map(|(heading, _)| heading.as_str());
        let mut needed: Vec<&str> = fills.chain(in_rows).collect();
        needed.sort_unstable();
        needed.dedup();
        let headings = |row: &RowElement<'_, '_>| -> BTreeMap<String, u32> {
            let mut columns = BTreeMap::new();
            for (cell, node) in &row.cells {
                let heading = cells::text_of_cell(*node, self.shared);
                columns
                    .entry(heading.trim().to_owned())
                    .or_insert(cell.column);
            }
            columns
        };
        let missing_in = |columns: &BTreeMap<String, u32>| {
            needed
                .iter()
                .copied()
                .find(|heading| !columns.contains_key(heading.trim()))
        };
        let candidates = self.rows.iter().take(HEADING_SEARCH).map(headings);
        let Some(columns) = candidates.clone().find(|row| missing_in(row).is_none()) else {
            let heading = needed.first().copied().unwrap_or_default();
            return Err(RefreshFault::NoHeading {
                sheet: self.name.to_owned(),
                heading: candidates
                    .filter_map(|row| missing_in(&row))
                    .next()
                    .unwrap_or(heading)
                    .to_owned(),
            });
        };
        let place = |heading: &&str| {
            let column = columns.get(heading.trim()).copied()?;
            Some(((*heading).to_owned(), column))
        };
        Ok(needed.iter().filter_map(place).collect())
    }

    /// Refuses when something that spans several cells covers one that would be filled.
    fn refuse_obstacles(
        &self,
        parsed: &Document<'_>,
        touched: &BTreeSet<Cell>,
    ) -> Result<(), RefreshFault> {
        let merged = parsed
            .descendants()
            .filter(|node| node.has_tag_name((parts::MAIN, "mergeCell")))
            .map(|node| (node, "cells that are joined"));
        let formulas = parsed
            .descendants()
            .filter(|node| node.has_tag_name((parts::MAIN, "f")))
            .map(|node| (node, "a formula that fills several cells"));
        for (node, what) in merged.chain(formulas) {
            let Some(text) = node.attribute("ref") else {
                continue;
            };
            let block = Block::parse(text);
            if block.is_none_or(|block| touched.iter().any(|cell| block.holds(*cell))) {
                return Err(self.in_the_way(&format!("{what} ({text}) would be written into")));
            }
        }
        Ok(())
    }

    fn in_the_way(&self, what: &str) -> RefreshFault {
        RefreshFault::InTheWay {
            sheet: self.name.to_owned(),
            what: what.to_owned(),
        }
    }

    /// Works out the edits that put the texts in place.
    fn place(
        &self,
        text: &str,
        wanted: &BTreeMap<Cell, String>,
        edits: &mut Edits,
    ) -> Result<(), RefreshFault> {
        let prefix = edits::prefix_of(text, self.data);
        let mut by_row: BTreeMap<u32, Vec<(Cell, &str)>> = BTreeMap::new();
        for (cell, content) in wanted {
            by_row.entry(cell.row).or_default().push((*cell, content));
        }
        let mut appended = String::new();
        for (number, cells) in by_row {
            if let Some(row) = self.row(number) {
                self.place_in_row(text, prefix, row, &cells, edits)?;
                continue;
            }
            let inside: String = cells
                .iter()
                .map(|(cell, content)| self.cell_text(prefix, *cell, content, None))
                .collect();
            let element = format!("<{prefix}row r=\"{number}\">{inside}</{prefix}row>");
            match self.rows.iter().find(|row| row.number > number) {
                Some(below) => edits.insert(below.node.range().start, &element),
                None => appended.push_str(&element),
            }
        }
        if !appended.is_empty() {
            edits::append_children(text, self.data, &appended, edits);
        }
        Ok(())
    }

    fn place_in_row(
        &self,
        text: &str,
        prefix: &str,
        row: &RowElement<'_, '_>,
        cells: &[(Cell, &str)],
        edits: &mut Edits,
    ) -> Result<(), RefreshFault> {
        if row.unnamed_cells {
            return Err(self.in_the_way("cells stand without their names"));
        }
        let mut at_end = String::new();
        for (cell, content) in cells {
            let existing = row.cells.iter().find(|(at, _)| at == cell);
            let style = existing.and_then(|(_, node)| node.attribute("s"));
            let element = self.cell_text(prefix, *cell, content, style);
            let right = row.cells.iter().find(|(at, _)| at > cell);
            match (existing, right) {
                (Some((_, node)), _) => edits.replace(node.range(), element),
                (None, Some((_, node))) => edits.insert(node.range().start, &element),
                (None, None) => at_end.push_str(&element),
            }
        }
        if !at_end.is_empty() {
            edits::append_children(text, row.node, &at_end, edits);
        }
        stretch_spans(row.node, cells, edits);
        Ok(())
    }

    /// Returns a cell element with an inline text. [ECMA-376-1 18.3.1.4, 18.3.1.53]
    fn cell_text(&self, prefix: &str, cell: Cell, content: &str, own: Option<&str>) -> String {
        let style = own
            .map(str::to_owned)
            .or_else(|| self.style_for(cell))
            .map_or_else(String::new, |style| format!(" s=\"{style}\""));
        format!(
            "<{prefix}c r=\"{}\"{style} t=\"inlineStr\"><{prefix}is><{prefix}t xml:space=\"preserve\">{}</{prefix}t></{prefix}is></{prefix}c>",
            cell.text(),
            edits::escaped(content)
        )
    }

    /// Returns the style of a new cell: its column's, else that of the cell above in the last filled row.
    fn style_for(&self, cell: Cell) -> Option<String> {
        let of_column = self
            .column_styles
            .iter()
            .find(|(first, last, _)| (*first..=*last).contains(&cell.column))
            .map(|(_, _, style)| style.clone());
        let above = || {
            let row = self.row(self.last_row).filter(|row| row.number > 1)?;
            let (_, node) = row.cells.iter().find(|(at, _)| at.column == cell.column)?;
            node.attribute("s").map(str::to_owned)
        };
        of_column.or_else(above)
    }

    fn stretch_dimension(
        &self,
        parsed: &Document<'_>,
        touched: &BTreeSet<Cell>,
        edits: &mut Edits,
    ) {
        let attribute = parsed
            .root_element()
            .children()
            .find(|node| node.has_tag_name((parts::MAIN, "dimension")))
            .and_then(|node| node.attribute_node("ref"));
        let Some(attribute) = attribute else { return };
        let Some(block) = Block::parse(attribute.value()) else {
            return;
        };
        let wider = touched.iter().fold(block, |block, cell| block.with(*cell));
        if wider != block {
            edits.replace(attribute.range_value(), wider.text());
        }
    }
}

/// Rows may say which columns they use; a wider row must say so too. [ECMA-376-1 18.3.1.73]
fn stretch_spans(row: Node<'_, '_>, cells: &[(Cell, &str)], edits: &mut Edits) {
    let Some(attribute) = row.attribute_node("spans") else {
        return;
    };
    let numbers = attribute
        .value()
        .split([':', ' '])
        .filter_map(|text| text.parse::<u32>().ok());
    let columns = cells.iter().map(|(cell, _)| cell.column);
    let all: Vec<u32> = numbers.chain(columns).collect();
    if let (Some(least), Some(most)) = (all.iter().min(), all.iter().max()) {
        let wider = format!("{least}:{most}");
        if wider != attribute.value() {
            edits.replace(attribute.range_value(), wider);
        }
    }
}
