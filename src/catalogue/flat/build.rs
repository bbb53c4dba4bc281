//! The sheets of a catalogue from a flat sheet whose columns are known.

use super::guess::FILE;
use super::guess::Guess;
use super::guess::NUMBER;
use super::guess::Role;
use crate::catalogue::columns;
use crate::catalogue::columns::SheetPlan;
use crate::format::sheet::Cell;
use crate::format::sheet::Table;
use crate::format::sheet::TableRow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A row under way: cells by heading.
type Cells = BTreeMap<String, Cell>;

#[derive(Debug, Default)]
struct Draft {
    portraits: Vec<(u32, Cells)>,
    scans: Vec<(u32, Cells)>,
    words: Vec<(u32, Cells)>,
    people: Vec<(u32, Cells)>,
    claims: Vec<(u32, Cells)>,
    lots: Vec<(u32, Cells)>,
    /// Number of the portrait → its place in `portraits`.
    known: BTreeMap<String, usize>,
    taken: BTreeSet<String>,
    lots_taken: BTreeSet<String>,
}

const LOT: &str = "Lot no.";

/// Builds the sheets.
pub(super) fn sheets(table: &Table, guesses: &[Guess]) -> Vec<Table> {
    let number_column = guesses
        .iter()
        .find(|one| one.role == Role::Column(&columns::PORTRAITS, NUMBER))
        .map(|one| one.index);
    let written = |row: &TableRow| {
        number_column
            .map_or("", |index| row.text(index).trim())
            .to_owned()
    };
    let lot_column = guesses
        .iter()
        .find(|one| one.role == Role::Column(&columns::PORTRAITS, LOT))
        .map(|one| one.index);
    let lot_of = |row: &TableRow| Some(row.text(lot_column?).trim().to_owned());
    let mut draft = Draft {
        taken: table.rows.iter().map(written).collect(),
        lots_taken: table.rows.iter().filter_map(lot_of).collect(),
        ..Draft::default()
    };
    for row in &table.rows {
        let number = Some(written(row)).filter(|number| !number.is_empty());
        let number = number.unwrap_or_else(|| draft.free_number());
        draft.take(row, &number, guesses);
    }
    vec![
        sheet(&columns::PORTRAITS, draft.portraits),
        sheet(&columns::SCANS, draft.scans),
        sheet(&columns::WORDS, draft.words),
        sheet(&columns::PEOPLE, draft.people),
        sheet(&columns::CLAIMS, draft.claims),
        sheet(&columns::LOTS, draft.lots),
    ]
}

impl Draft {
    fn free_number(&mut self) -> String {
        let mut count = self.portraits.len().saturating_add(1);
        loop {
            let number = format!("A-{count:03}");
            if self.taken.insert(number.clone()) {
                return number;
            }
            count = count.saturating_add(1);
        }
    }

    fn take(&mut self, row: &TableRow, number: &str, guesses: &[Guess]) {
        let mut portrait = cells([(NUMBER, number)]);
        let mut scan_cells: Vec<(&str, &Guess, &Cell)> = Vec::new();
        let mut files: Vec<(String, &str)> = Vec::new();
        let mut origin = None;
        for guess in guesses {
            let Some(cell) = row.cells.get(guess.index).filter(|cell| !cell.is_blank()) else {
                continue;
            };
            match guess.role {
                Role::Column(plan, column) if column == FILE && *plan == columns::SCANS => {
                    files.extend(names_in(&cell.text).map(|file| (file, "")));
                }
                Role::BackFile => files.extend(names_in(&cell.text).map(|file| (file, "back"))),
                Role::Column(plan, column) if *plan == columns::SCANS => {
                    scan_cells.push((column, guess, cell));
                }
                Role::Column(_, NUMBER) => {}
                Role::Column(_, column) => {
                    portrait.insert(column.to_owned(), cell.clone());
                }
                Role::Words(part) => {
                    let mut words = cells([(NUMBER, number), ("Part", part)]);
                    words.insert("The words exactly".to_owned(), cell.clone());
                    self.words.push((row.number, words));
                }
                Role::Sitter => self.take_sitter(row.number, number, cell.text.trim()),
                Role::Origin => origin = Some(cell),
                Role::Own => {
                    portrait.insert(guess.carried.clone(), cell.clone());
                }
            }
        }
        if let Some(origin) = origin {
            let own = portrait.get(LOT).map(|cell| cell.text.trim().to_owned());
            let lot = self.lot(row.number, origin, own);
            portrait.entry(LOT.to_owned()).or_insert(Cell::text(lot));
        }
        if files.is_empty() {
            // Facts about a scan without a scan stay with the portrait.
            for (_, guess, cell) in &scan_cells {
                portrait.insert(guess.carried.clone(), (*cell).clone());
            }
        }
        self.take_portrait(row.number, number, portrait);
        for (file, view) in files {
            let mut scan = cells([(FILE, file.as_str()), (NUMBER, number), ("View", view)]);
            for (column, _, cell) in &scan_cells {
                scan.insert((*column).to_owned(), (*cell).clone());
            }
            self.scans.push((row.number, scan));
        }
    }

    /// A number that stands in several rows is one portrait; what a later row says otherwise is kept beside it.
    fn take_portrait(&mut self, row: u32, number: &str, portrait: Cells) {
        let Some(first) = self
            .known
            .get(number)
            .and_then(|place| self.portraits.get_mut(*place))
        else {
            self.known.insert(number.to_owned(), self.portraits.len());
            self.portraits.push((row, portrait));
            return;
        };
        for (heading, cell) in portrait {
            match first.1.get(&heading) {
                Some(same) if same.text == cell.text => {}
                Some(_) => {
                    first.1.insert(format!("{heading} (row {row})"), cell);
                }
                None => {
                    first.1.insert(heading, cell);
                }
            }
        }
    }

    /// Returns the number of the lot of an origin: the person's own, or one for everything of that origin.
    fn lot(&mut self, row: u32, origin: &Cell, own: Option<String>) -> String {
        const FROM: &str = "From whom or where";
        let text_of = |lot: &Cells, heading: &str| lot.get(heading).map(|cell| cell.text.clone());
        let same = self.lots.iter_mut().find(|(_, lot)| match &own {
            Some(own) => text_of(lot, LOT).as_ref() == Some(own),
            None => text_of(lot, FROM).as_ref() == Some(&origin.text),
        });
        if let Some((_, lot)) = same {
            if text_of(lot, FROM).as_ref() != Some(&origin.text) {
                lot.insert(format!("{FROM} (row {row})"), origin.clone());
            }
            return text_of(lot, LOT).unwrap_or_default();
        }
        let number = own.unwrap_or_else(|| self.free_lot());
        let mut lot = cells([(LOT, number.as_str())]);
        lot.insert(FROM.to_owned(), origin.clone());
        self.lots.push((row, lot));
        number
    }

    fn free_lot(&mut self) -> String {
        let mut count = self.lots.len().saturating_add(1);
        loop {
            let number = format!("L-{count:02}");
            if self.lots_taken.insert(number.clone()) {
                return number;
            }
            count = count.saturating_add(1);
        }
    }

    fn take_sitter(&mut self, row: u32, portrait: &str, text: &str) {
        let (name, certainty) = doubt(text);
        let who = if is_nobody(name) {
            text.to_owned()
        } else {
            self.person(row, name)
        };
        let mut claim = cells([
            (NUMBER, portrait),
            ("Person no. or unknown man", who.as_str()),
            ("How sure", certainty),
        ]);
        if name != text {
            claim.insert(
                "Reasons for".to_owned(),
                Cell::text(format!("written as “{text}”")),
            );
        }
        self.claims.push((row, claim));
    }

    fn person(&mut self, row: u32, name: &str) -> String {
        let column = "Name as best known";
        let known = self
            .people
            .iter()
            .find(|(_, person)| person.get(column).is_some_and(|cell| cell.text == name));
        if let Some(number) = known.and_then(|(_, person)| person.get("Person no.")) {
            return number.text.clone();
        }
        let number = format!("P-{:02}", self.people.len().saturating_add(1));
        self.people.push((
            row,
            cells([("Person no.", number.as_str()), (column, name)]),
        ));
        number
    }
}

fn cells<const N: usize>(pairs: [(&str, &str); N]) -> Cells {
    pairs
        .into_iter()
        .map(|(heading, text)| (heading.to_owned(), Cell::text(text)))
        .collect()
}

/// A cell may hold several file names, one a line or with `;` between them.
fn names_in(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split([';', '\n', '\r'])
        .map(|name| name.trim().replace('\\', "/"))
        .filter(|name| !name.is_empty())
}

/// Takes the person's own word of doubt from a name; without one nothing is said of how sure they are.
fn doubt(text: &str) -> (&str, &'static str) {
    if let Some(name) = text.strip_suffix("(?)").or_else(|| text.strip_suffix('?')) {
        return (name.trim(), "possible");
    }
    let words = [
        ("probably ", "probable"),
        ("possibly ", "possible"),
        ("perhaps ", "possible"),
        ("maybe ", "possible"),
    ];
    for (word, certainty) in words {
        let starts = text
            .get(..word.len())
            .is_some_and(|start| start.eq_ignore_ascii_case(word));
        if let Some(name) = text.get(word.len()..).filter(|_| starts) {
            return (name.trim(), certainty);
        }
    }
    (text, "")
}

fn is_nobody(name: &str) -> bool {
    let lower = name.to_lowercase();
    let starts = [
        "unknown",
        "unidentified",
        "nobody",
        "not known",
        "no name",
        "nk",
    ];
    name.is_empty() || starts.iter().any(|start| lower.starts_with(start))
}

/// Makes a sheet of rows: the catalogue's columns that are used, then the person's own.
fn sheet(plan: &SheetPlan, rows: Vec<(u32, Cells)>) -> Table {
    let used: BTreeSet<String> = rows
        .iter()
        .flat_map(|(_, row)| row.keys().cloned())
        .collect();
    let known = plan.columns.iter().map(|column| column.heading.to_owned());
    let mut headings: Vec<String> = known.filter(|heading| used.contains(heading)).collect();
    let own: Vec<String> = used
        .into_iter()
        .filter(|heading| !headings.contains(heading))
        .collect();
    headings.extend(own);
    Table {
        name: plan.name.to_owned(),
        rows: rows
            .into_iter()
            .map(|(number, mut row)| TableRow {
                number,
                cells: headings
                    .iter()
                    .map(|heading| row.remove(heading).unwrap_or_default())
                    .collect(),
            })
            .collect(),
        headings,
    }
}
