//! Tables that a person has made of a sheet's cells grow with the rows that are appended below them. [ECMA-376-1 18.5]

use super::RefreshFault;
use super::SheetAdditions;
use super::edits::Edits;
use super::parts;
use super::parts::Parts;
use super::reference::Block;
use super::reference::Cell;
use super::sheet_xml::Added;
use roxmltree::Document;

/// Returns the table parts of a sheet that must change, with their new text.
pub(super) fn extend(
    parts: &mut Parts<'_>,
    sheet_part: &str,
    additions: &SheetAdditions,
    added: &Added,
) -> Result<Vec<(String, String)>, RefreshFault> {
    let Some(last) = added.touched.iter().next_back().map(|cell| cell.row) else {
        return Ok(Vec::new());
    };
    let tables: Vec<String> = parts
        .relations(sheet_part)?
        .into_iter()
        .filter(|relation| relation.kind.ends_with("/table"))
        .map(|relation| relation.part)
        .collect();
    let mut changed = Vec::new();
    for table in tables {
        let text = parts.text(&table)?;
        if let Some(new) = grown(&table, &text, additions, added.last_row, last)? {
            changed.push((table, new));
        }
    }
    Ok(changed)
}

fn grown(
    part: &str,
    text: &str,
    additions: &SheetAdditions,
    last_filled: u32,
    last: u32,
) -> Result<Option<String>, RefreshFault> {
    let parsed = parts::parse(part, text)?;
    let root = parsed.root_element();
    parts::refuse_variant(root.tag_name().namespace())?;
    let reference = root.attribute_node("ref");
    let block = reference
        .as_ref()
        .and_then(|reference| Block::parse(reference.value()));
    let (Some(reference), Some(block)) = (reference, block) else {
        return Err(RefreshFault::Part {
            part: part.to_owned(),
            why: "the table does not say which cells it has".to_owned(),
        });
    };
    if block.last.row < last_filled || block.last.row >= last {
        return Ok(None);
    }
    refuse_reckoning(&parsed, additions)?;
    let bottom = |column| Cell { row: last, column };
    let mut edits = Edits::default();
    edits.replace(
        reference.range_value(),
        block.with(bottom(block.last.column)).text(),
    );
    let filter = root
        .children()
        .find(|node| node.has_tag_name((parts::MAIN, "autoFilter")))
        .and_then(|node| node.attribute_node("ref"));
    if let Some(filter) = filter
        && let Some(filtered) = Block::parse(filter.value())
    {
        edits.replace(
            filter.range_value(),
            filtered.with(bottom(filtered.last.column)).text(),
        );
    }
    Ok(Some(edits.apply(text)))
}

/// A row of totals stands where the new rows would go, and a reckoned column would stay empty in them.
fn refuse_reckoning(parsed: &Document<'_>, additions: &SheetAdditions) -> Result<(), RefreshFault> {
    let totals = parsed
        .root_element()
        .attribute("totalsRowCount")
        .is_some_and(|count| count != "0");
    let reckoned = parsed
        .descendants()
        .any(|node| node.has_tag_name((parts::MAIN, "calculatedColumnFormula")));
    let what = match (totals, reckoned) {
        (false, false) => return Ok(()),
        (true, _) => "a row of totals stands below the table",
        (false, true) => "the table has a column that is reckoned by a formula",
    };
    Err(RefreshFault::InTheWay {
        sheet: additions.sheet.clone(),
        what: what.to_owned(),
    })
}
