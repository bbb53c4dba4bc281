//! The dictionary of columns: what each column of the catalogue means, for somebody who has nothing but the CSV files.

use super::columns::SHEETS;
use crate::format::sheet;
use crate::format::sheet::Cell;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;

/// The name of the dictionary's file beside the CSV files of the catalogue.
pub const FILE_NAME: &str = "columns.csv";

/// Returns a CSV file that explains each column of each sheet in one sentence, with the words that it knows.
#[must_use]
pub fn column_dictionary() -> Vec<u8> {
    let headings = [
        "File",
        "Sheet",
        "Column",
        "What it holds",
        "Words it knows",
        "Please fill",
        "Filled by kithbag",
    ];
    let columns = SHEETS
        .iter()
        .flat_map(|plan| plan.columns.iter().map(move |column| (plan, column)));
    let rows = columns.zip(2..).map(|((plan, column), number)| {
        let yes = |is: bool| if is { "yes" } else { "no" };
        let words = column
            .words
            .map(|words| words.join(" ; "))
            .unwrap_or_default();
        let texts = [
            plan.file_name,
            plan.name,
            column.heading,
            column.help,
            &words,
            yes(column.required),
            yes(column.filled_by_tool),
        ];
        TableRow {
            number,
            cells: texts.map(Cell::text).to_vec(),
        }
    });
    sheet::write_csv(&Table {
        name: "columns".to_owned(),
        headings: headings.map(str::to_owned).to_vec(),
        rows: rows.collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::sheet::csv;

    #[test]
    fn explains_every_column() {
        let table = csv::read("columns", &column_dictionary())
            .expect("a table")
            .table;
        let count: usize = SHEETS.iter().map(|plan| plan.columns.len()).sum();
        assert_eq!(table.rows.len(), count);
        let glass = table
            .rows
            .iter()
            .find(|row| row.text(1) == "Portraits" && row.text(2) == "Glass")
            .expect("the column");
        assert_eq!(glass.text(4), "none ; flat ; convex ; broken");
        assert_eq!(glass.text(0), "portraits.csv");
    }
}
