//! The list that a person answers: a sheet with one line for each thing that would leave, and a column to fill.

use crate::format::sheet;
use crate::format::sheet::Cell;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use crate::record::audience::Decision;
use crate::record::audience::Leaving;
use std::collections::BTreeMap;

/// The headings of the columns, in order.
const HEADINGS: [&str; 7] = [
    "Your answer",
    "Possible answers",
    "Where it stands",
    "Whom it concerns",
    "The words",
    "If the answer is no",
    "Code (leave as it is)",
];

const ANSWER: usize = 0;
const PLACE: usize = 2;
const WORDS: usize = 4;
const CODE: usize = 6;

/// One line of a list that came back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// The row as a spreadsheet counts.
    pub(super) row: u32,
    pub(super) answer: String,
    pub(super) place: String,
    pub(super) words: String,
    pub(super) code: String,
}

/// Writes the list, with the answers that are known already.
pub(super) fn write(listed: &[Leaving], known: &BTreeMap<String, Decision>) -> Vec<u8> {
    let row = |(one, number): (&Leaving, u32)| TableRow {
        number,
        cells: [
            known.get(&one.code).map_or("", |decision| decision.word()),
            one.answers(),
            &one.place,
            &one.about.join(", "),
            &one.words,
            &when_no(one),
            &one.code,
        ]
        .map(Cell::text)
        .to_vec(),
    };
    sheet::write_csv(&Table {
        name: "living".to_owned(),
        headings: HEADINGS.map(str::to_owned).to_vec(),
        rows: listed.iter().zip(2..).map(row).collect(),
    })
}

/// What happens without an answer: where it is asked for, nothing is packed.
fn when_no(one: &Leaving) -> String {
    let no = one.kind.when_no();
    if one.must_be_decided {
        format!("{no}; without an answer nothing is packed")
    } else {
        format!("{no}; the same without an answer")
    }
}

/// Reads a list that a person answered, from a CSV file as any spreadsheet saves it. Nothing when it is no such list.
pub(super) fn read(bytes: &[u8]) -> Option<Vec<Line>> {
    let table = sheet::csv::read("living", bytes).ok()?.table;
    let places: Vec<usize> = HEADINGS
        .iter()
        .map(|wanted| {
            let known = |heading: &String| heading.trim().eq_ignore_ascii_case(wanted);
            table.headings.iter().position(known)
        })
        .collect::<Option<_>>()?;
    let text = |row: &TableRow, column: usize| {
        let place = places.get(column).copied().unwrap_or(usize::MAX);
        row.text(place).trim().to_owned()
    };
    let lines = table.rows.iter().map(|row| Line {
        row: row.number,
        answer: text(row, ANSWER),
        place: text(row, PLACE),
        words: text(row, WORDS),
        code: text(row, CODE),
    });
    Some(lines.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Audience;
    use crate::record::audience::LeavingKind;

    fn leaving() -> Leaving {
        Leaving::new(
            Audience::Family,
            LeavingKind::Words,
            vec!["P-04".to_owned()],
            "Portraits, A-001, notes".to_owned(),
            "=1+1\nSaskia \"said\" so; Zoë, too".to_owned(),
        )
    }

    #[test]
    fn a_list_is_read_back_as_it_was_written() {
        let one = leaving();
        let known = BTreeMap::from([(one.code.clone(), Decision::NotThem)]);
        let lines = read(&write(std::slice::from_ref(&one), &known)).unwrap();
        assert_eq!(
            lines,
            [Line {
                row: 2,
                answer: "not them".to_owned(),
                place: one.place,
                words: one.words,
                code: one.code,
            }]
        );
    }

    #[test]
    fn a_spreadsheet_may_save_it_its_own_way() {
        let text = String::from_utf8(write(&[leaving()], &BTreeMap::new())).unwrap();
        let saved = text.replace("\",\"", "\";\"").replace("\r\n", "\n");
        assert_eq!(read(saved.as_bytes()).unwrap().len(), 1);
        assert_eq!(
            read(b"\"Your answer\",\"Something\"\r\n\"yes\",\"1\"\r\n"),
            None
        );
    }
}
