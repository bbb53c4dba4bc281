//! Reads the rows and cells of a sheet's XML, each with its place in the text. [ECMA-376-1 18.3.1]

use super::RefreshFault;
use super::parts;
use super::reference::Cell;
use roxmltree::Document;
use roxmltree::Node;

/// The last row that a sheet can have. [ECMA-376-1 18.3.1.73]
pub(super) const LAST_ROW: u32 = 1_048_576;

/// One row element and its cells.
pub(super) struct RowElement<'a, 'i> {
    pub(super) node: Node<'a, 'i>,
    pub(super) number: u32,
    pub(super) cells: Cells<'a, 'i>,
    /// Whether a cell goes by its place alone, so that nothing can be put before it.
    pub(super) unnamed_cells: bool,
}

pub(super) fn sheet_data<'a, 'i>(
    parsed: &'a Document<'i>,
    part: &str,
) -> Result<Node<'a, 'i>, RefreshFault> {
    parsed
        .root_element()
        .children()
        .find(|node| node.has_tag_name((parts::MAIN, "sheetData")))
        .ok_or_else(|| RefreshFault::Part {
            part: part.to_owned(),
            why: "it has no sheetData".to_owned(),
        })
}

/// Returns the rows in their order; rows and cells without a reference stand one after the one before. [ECMA-376-1 18.3.1.4]
pub(super) fn rows<'a, 'i>(
    parsed: &'a Document<'i>,
    part: &str,
) -> Result<Vec<RowElement<'a, 'i>>, RefreshFault> {
    let fault = |why: String| RefreshFault::Part {
        part: part.to_owned(),
        why,
    };
    let mut found: Vec<RowElement<'a, 'i>> = Vec::new();
    let elements = sheet_data(parsed, part)?
        .children()
        .filter(|node| node.has_tag_name((parts::MAIN, "row")));
    for node in elements {
        let above = found.last().map_or(0, |row| row.number);
        let number = match node.attribute("r") {
            Some(text) => text.parse().map_err(|_| fault(format!("row “{text}”")))?,
            None => above.saturating_add(1),
        };
        if number <= above || number > LAST_ROW {
            return Err(fault(format!("row {number} stands after row {above}")));
        }
        let (cells, unnamed_cells) = cells_of(node, number).map_err(fault)?;
        found.push(RowElement {
            node,
            number,
            cells,
            unnamed_cells,
        });
    }
    Ok(found)
}

type Cells<'a, 'i> = Vec<(Cell, Node<'a, 'i>)>;

fn cells_of<'a, 'i>(row: Node<'a, 'i>, number: u32) -> Result<(Cells<'a, 'i>, bool), String> {
    let mut cells: Cells<'a, 'i> = Vec::new();
    let mut unnamed = false;
    for node in row
        .children()
        .filter(|node| node.has_tag_name((parts::MAIN, "c")))
    {
        let left = cells.last().map_or(0, |(cell, _)| cell.column);
        let cell = match node.attribute("r") {
            Some(text) => Cell::parse(text).ok_or_else(|| format!("cell “{text}”"))?,
            None => {
                unnamed = true;
                Cell {
                    row: number,
                    column: left.saturating_add(1),
                }
            }
        };
        if cell.row != number || cell.column <= left {
            return Err(format!("cell {} stands in the wrong place", cell.text()));
        }
        cells.push((cell, node));
    }
    Ok((cells, unnamed))
}

pub(super) fn column_styles(parsed: &Document<'_>) -> Vec<(u32, u32, String)> {
    parsed
        .descendants()
        .filter(|node| node.has_tag_name((parts::MAIN, "col")))
        .filter_map(|node| {
            let first = node.attribute("min")?.parse().ok()?;
            let last = node.attribute("max")?.parse().ok()?;
            Some((first, last, node.attribute("style")?.to_owned()))
        })
        .collect()
}

/// Tells whether a cell holds nothing: no formula, no value, no text. A blank that somebody typed is something.
pub(super) fn is_blank(node: Node<'_, '_>, shared: &[String]) -> bool {
    let children = || node.children().filter(Node::is_element);
    children().all(|child| child.tag_name().name() == "v" || child.tag_name().name() == "is")
        && text_of_cell(node, shared).is_empty()
}

pub(super) fn text_of_cell(node: Node<'_, '_>, shared: &[String]) -> String {
    let child = |name: &str| {
        node.children()
            .find(|child| child.tag_name().name() == name)
    };
    if let Some(inline) = child("is") {
        return parts::text_of(inline);
    }
    let value = child("v").and_then(|value| value.text()).unwrap_or("");
    if node.attribute("t") != Some("s") {
        return value.to_owned();
    }
    // A number that leads nowhere is something all the same, so it must not look blank.
    let index: Option<usize> = value.trim().parse().ok();
    index
        .and_then(|index| shared.get(index).cloned())
        .unwrap_or_else(|| value.to_owned())
}
