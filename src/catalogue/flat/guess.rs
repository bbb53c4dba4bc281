//! What a column of a flat sheet means.

use crate::catalogue::columns;
use crate::catalogue::columns::SheetPlan;
use crate::catalogue::heading;
use crate::format::sheet::Table;

/// What a column of a flat sheet is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// A column of the sheet "Portraits", or of "Scans", as it stands.
    Column(&'static SheetPlan, &'static str),
    /// A file that shows the back.
    BackFile,
    /// Words on a part of the portrait.
    Words(&'static str),
    /// Who it is.
    Sitter,
    /// From whom or where it came.
    Origin,
    /// Carried along.
    Own,
}

/// One column with its role.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Guess {
    /// Its place in the sheet, counted from 0.
    pub(super) index: usize,
    pub(super) heading: String,
    /// The heading under which it is carried along if it is the person's own: no other column's.
    pub(super) carried: String,
    pub(super) role: Role,
    pub(super) why: String,
}

impl Role {
    /// Returns the sheet and column of the catalogue that take it over.
    pub(super) const fn column(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Column(plan, column) => Some((plan.name, column)),
            Self::BackFile => Some((columns::SCANS.name, FILE)),
            Self::Words(_) => Some((columns::WORDS.name, "The words exactly")),
            Self::Sitter => Some((columns::CLAIMS.name, "Person no. or unknown man")),
            Self::Origin => Some((columns::LOTS.name, "From whom or where")),
            Self::Own => None,
        }
    }
}

pub(super) const NUMBER: &str = "Portrait no.";
pub(super) const FILE: &str = "File name now";

/// Endings of picture files, lower case.
const PICTURES: &str =
    "jpg jpeg jpe tif tiff png webp heic heif avif bmp gif jp2 dng cr2 nef arw raf orf psd pdf";

/// Words of headings and what a column so headed is, the first that fits. A heading fits when all words of a row stand in it.
const BY_HEADING: &[(&[&str], Role)] = &[
    (&["file"], Role::Column(&columns::SCANS, FILE)),
    (&["scan", "date"], SCANNED_ON),
    (&["scanned"], SCANNED_ON),
    (&["back", "words"], Role::Words("back")),
    (&["on", "back"], Role::Words("back")),
    (&["reverse"], Role::Words("back")),
    (&["verso"], Role::Words("back")),
    (&["inscription"], Role::Words("back")),
    (&["inscribed"], Role::Words("back")),
    (&["written"], Role::Words("back")),
    (&["writing"], Role::Words("back")),
    (&["back"], Role::Words("back")),
    (&["on", "front"], Role::Words("front")),
    (&["imprint"], portrait("Maker as printed")),
    (&["photographer"], portrait("Maker, if we know more")),
    (&["studio"], portrait("Maker, if we know more")),
    (&["maker"], portrait("Maker, if we know more")),
    (&["taken"], portrait("Sitting made")),
    (&["sitting"], portrait("Sitting made")),
    (&["date"], portrait("This print made")),
    (&["year"], portrait("This print made")),
    (&["when"], portrait("This print made")),
    (&["who"], Role::Sitter),
    (&["sitter"], Role::Sitter),
    (&["sitters"], Role::Sitter),
    (&["person"], Role::Sitter),
    (&["people"], Role::Sitter),
    (&["name"], Role::Sitter),
    (&["names"], Role::Sitter),
    (&["from"], Role::Origin),
    (&["source"], Role::Origin),
    (&["provenance"], Role::Origin),
    (&["acquired"], Role::Origin),
    (&["donor"], Role::Origin),
    (&["bought"], Role::Origin),
    (&["number"], portrait(NUMBER)),
    (&["no"], portrait(NUMBER)),
    (&["id"], portrait(NUMBER)),
    (&["ref"], portrait(NUMBER)),
    (&["reference"], portrait(NUMBER)),
    (&["item"], portrait(NUMBER)),
    (&["damage"], portrait("Condition")),
    (&["box"], portrait("Box or folder")),
    (&["album"], portrait("Box or folder")),
    (&["stored"], portrait("Box or folder")),
    (&["location"], portrait("Box or folder")),
    (&["process"], portrait("What it is")),
    (&["format"], portrait("What it is")),
    (&["type"], portrait("What it is")),
    // A description often names people, and "What it shows" is shown to everybody: so it goes where nothing is concluded from it.
    (&["description"], portrait("Notes")),
    (&["caption"], portrait("Notes")),
    (&["title"], portrait("Notes")),
    (&["comment"], portrait("Notes")),
    (&["comments"], portrait("Notes")),
    (&["remarks"], portrait("Notes")),
    (&["note"], portrait("Notes")),
];

const SCANNED_ON: Role = Role::Column(&columns::SCANS, "Made on");

const fn portrait(column: &'static str) -> Role {
    Role::Column(&columns::PORTRAITS, column)
}

/// Guesses what every column with a heading is. Each place of the catalogue is given to one column only.
pub(super) fn guess(table: &Table) -> Vec<Guess> {
    let mut guesses: Vec<Guess> = Vec::new();
    let widest = table.rows.iter().map(|row| row.cells.len()).max();
    let width = widest.unwrap_or_default().max(table.headings.len());
    for index in 0..width {
        let heading = table.headings.get(index).map_or("", |text| text.trim());
        if heading.is_empty() {
            guesses.extend(without_heading(table, index));
            continue;
        }
        let has_file = guesses
            .iter()
            .any(|one| one.role.column() == Some((columns::SCANS.name, FILE)));
        let (mut role, mut why) = guess_one(table, index, heading, has_file);
        if role != Role::Own && guesses.iter().any(|one| one.role == role) {
            role = Role::Own;
            why = "Another column before it is that already; it is carried along as it is."
                .to_owned();
        }
        let is_taken = heading::column_of(&columns::PORTRAITS, heading).is_some()
            || guesses.iter().any(|one| one.carried == heading);
        let carried = if role == Role::Own && is_taken {
            format!("{heading} ({})", letters(index))
        } else {
            heading.to_owned()
        };
        guesses.push(Guess {
            index,
            heading: heading.to_owned(),
            carried,
            role,
            why,
        });
    }
    guesses
}

/// A column without a heading is carried along under the letter by which a spreadsheet calls it, if anything stands in it.
fn without_heading(table: &Table, index: usize) -> Option<Guess> {
    let mut cells = table.rows.iter().map(|row| row.text(index).trim());
    cells.any(|text| !text.is_empty()).then(|| Guess {
        index,
        heading: letters(index),
        carried: letters(index),
        role: Role::Own,
        why: "It has no heading; it is carried along as it is.".to_owned(),
    })
}

/// Returns the name of a column as spreadsheets count: A to Z, then AA.
fn letters(index: usize) -> String {
    let mut left = index;
    let mut name = Vec::new();
    loop {
        let letter = u8::try_from(left.rem_euclid(26)).unwrap_or_default();
        name.push(char::from(b'A'.saturating_add(letter)));
        let Some(more) = left.div_euclid(26).checked_sub(1) else {
            break;
        };
        left = more;
    }
    format!("column {}", name.iter().rev().collect::<String>())
}

fn guess_one(table: &Table, index: usize, written: &str, has_file: bool) -> (Role, String) {
    if holds_pictures(table, index) {
        let is_back =
            words_of(written).any(|word| matches!(word.as_str(), "back" | "verso" | "reverse"));
        return if has_file || is_back {
            (Role::BackFile, "Its cells are names of picture files, and its heading or place says that they show the back.".to_owned())
        } else {
            (
                Role::Column(&columns::SCANS, FILE),
                "Its cells are names of picture files.".to_owned(),
            )
        };
    }
    // Name, Date and File stand in our other sheets with other meanings.
    for plan in [&columns::PORTRAITS, &columns::SCANS] {
        if let Some((_, column)) = heading::column_of(plan, written)
            && !column.filled_by_tool
            && column.heading != FILE
        {
            return (
                Role::Column(plan, column.heading),
                format!(
                    "The catalogue has a column of this heading: “{}”.",
                    column.heading
                ),
            );
        }
    }
    let words: Vec<String> = words_of(written).collect();
    for (needed, role) in BY_HEADING {
        if needed
            .iter()
            .all(|word| words.iter().any(|have| have == word))
        {
            return (*role, format!("Its heading says “{}”.", needed.join(" … ")));
        }
    }
    (
        Role::Own,
        "The catalogue has no place for it; it is carried along as it is.".to_owned(),
    )
}

fn words_of(heading: &str) -> impl Iterator<Item = String> + '_ {
    heading
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
}

/// Tells whether most filled cells of a column are names of picture files.
fn holds_pictures(table: &Table, index: usize) -> bool {
    let filled: Vec<&str> = table
        .rows
        .iter()
        .map(|row| row.text(index).trim())
        .filter(|text| !text.is_empty())
        .collect();
    let pictures = filled.iter().filter(|text| is_picture(text)).count();
    pictures > 0 && pictures.saturating_mul(2) >= filled.len()
}

fn is_picture(text: &str) -> bool {
    text.rsplit_once('.').is_some_and(|(stem, ending)| {
        let ending = ending.to_ascii_lowercase();
        !stem.is_empty() && PICTURES.split(' ').any(|known| known == ending)
    })
}
