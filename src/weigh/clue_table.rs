//! The built-in table of clues: processes, formats, mounts, stamps and cards, each with where its years were published. What
//! it says is a clue, never a rule: published ranges disagree with each other, old card stock was used up, and old negatives
//! were printed again.

use super::interval::DateClue;
use super::interval::Weight;
use crate::record::Clue;
use crate::record::ClueKind;
use crate::record::DateTarget;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Glass;
use crate::record::Measured;
use crate::record::Medium;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::YesNo;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The table as it is kept: one row for each clue.
const TABLE: &str = include_str!("clue_table.tsv");

/// How far a mount may differ from the nominal size of its format, in millimetres: a quarter of an inch.
pub const SIZE_TOLERANCE_MM: f64 = 6.4;

/// Sizes of mounts, shorter side first, in millimetres.
/// Carte-de-visite: fadingimages.uk, earlyphotography, Trent University Archives; cabinet: AAT 300127131; stereograph: trade list.
const MOUNT_SIZES: [(PortraitKind, f64, f64); 3] = [
    (PortraitKind::CarteDeVisite, 63.5, 101.6),
    (PortraitKind::CabinetCard, 108.0, 165.1),
    (PortraitKind::Stereograph, 76.0, 178.0),
];

/// One row of the table.
#[derive(Debug)]
pub(super) struct TableClue {
    /// A stable name, for tests of the table itself.
    #[cfg(test)]
    key: &'static str,
    name: &'static str,
    applies: Applies,
    limit: (Option<Day>, Option<Day>),
    usual: (Option<Day>, Option<Day>),
    target: DateTarget,
    weight: Weight,
    source: &'static str,
    caveat: Option<&'static str>,
}

/// What a row looks at.
#[derive(Debug, PartialEq)]
enum Applies {
    Kind(PortraitKind),
    Crayon,
    Bowed,
    ConvexGlass,
    Words(Vec<String>),
    /// Thickness of the card in inches, from and to.
    Thickness(f64, f64),
}

/// The table, read, with its wordings by their first word.
#[derive(Debug)]
pub(super) struct ClueTable {
    rows: Vec<TableClue>,
    by_first_word: BTreeMap<String, Vec<(usize, Vec<String>)>>,
}

impl ClueTable {
    /// Reads the built-in table. A row that could not be read would be left out; a test shows that none is.
    pub(super) fn built_in() -> Self {
        let rows: Vec<TableClue> = TABLE.lines().skip(1).filter_map(row).collect();
        let mut by_first_word: BTreeMap<String, Vec<(usize, Vec<String>)>> = BTreeMap::new();
        for (index, row) in rows.iter().enumerate() {
            let Applies::Words(wordings) = &row.applies else {
                continue;
            };
            for wording in wordings {
                let words = words_of(wording);
                if let Some(first) = words.first() {
                    by_first_word
                        .entry(first.clone())
                        .or_default()
                        .push((index, words));
                }
            }
        }
        Self {
            rows,
            by_first_word,
        }
    }

    /// Returns what the table says of a portrait's kind, size, board and glass.
    pub(super) fn of_portrait(&self, portrait: &Portrait) -> Vec<(DateTarget, DateClue)> {
        let kind = portrait.kind.given().copied();
        let by_size = kind
            .is_none_or(|kind| {
                matches!(kind, PortraitKind::MountedPhotograph | PortraitKind::Other)
            })
            .then(|| kind_by_size(portrait))
            .flatten();
        let mut found = Vec::new();
        for row in &self.rows {
            let applies = match &row.applies {
                Applies::Kind(wanted) => kind == Some(*wanted),
                Applies::Crayon => is_crayon_enlargement(portrait),
                Applies::Bowed => portrait.bowed.given() == Some(&YesNo::Yes),
                Applies::ConvexGlass => portrait.glass.given() == Some(&Glass::Convex),
                Applies::Words(_) | Applies::Thickness(..) => false,
            };
            if applies {
                row.say(None, &mut found);
            } else if matches!(&row.applies, Applies::Kind(wanted) if by_size == Some(*wanted)) {
                row.say(Some("its size agrees with"), &mut found);
            }
        }
        found
    }

    /// Returns what the table says of the words of a clue about the object.
    pub(super) fn of_clue(&self, clue: &Clue) -> Vec<(DateTarget, DateClue)> {
        let about_object = matches!(
            clue.kind.given(),
            None | Some(ClueKind::Object | ClueKind::Maker | ClueKind::Other)
        );
        let Some(says) = clue.says.text().filter(|_| about_object) else {
            return Vec::new();
        };
        let words = words_of(says);
        let mut hits = std::collections::BTreeSet::new();
        for (at, word) in words.iter().enumerate() {
            for (row, wording) in self.by_first_word.get(word).into_iter().flatten() {
                if stands_at(&words, at, wording) {
                    hits.insert(*row);
                }
            }
        }
        let thickness = thickness(&words, says);
        let mut found = Vec::new();
        if hits.is_empty() && thickness.is_none() {
            return found;
        }
        let prefix = format!("clue {}:", clue.number);
        for (index, row) in self.rows.iter().enumerate() {
            let thick = matches!((&row.applies, thickness), (Applies::Thickness(from, to), Some(inch)) if *from <= inch && inch <= *to);
            if thick || hits.contains(&index) {
                row.say(Some(&prefix), &mut found);
            }
        }
        found
    }
}

impl TableClue {
    /// Adds what the row says: its hard limits and its usual years.
    fn say(&self, prefix: Option<&str>, found: &mut Vec<(DateTarget, DateClue)>) {
        let name = prefix.map_or_else(
            || self.name.to_owned(),
            |prefix| format!("{prefix} {}", self.name),
        );
        let mut add = |(earliest, latest): (Option<Day>, Option<Day>), hard: bool| {
            if earliest.is_none() && latest.is_none() {
                return;
            }
            let sense = if hard {
                "possible years"
            } else {
                "usual years"
            };
            found.push((
                self.target,
                DateClue {
                    what: format!("{name}, {sense}"),
                    source: Cow::Borrowed(self.source),
                    earliest,
                    latest,
                    about_earliest: None,
                    about_latest: None,
                    hard,
                    weight: self.weight,
                    caveat: self.caveat.map(Cow::Borrowed),
                },
            ));
        };
        add(self.limit, true);
        add(self.usual, false);
    }
}

/// Returns the format whose nominal size a measured mount has.
pub(super) fn kind_by_size(portrait: &Portrait) -> Option<PortraitKind> {
    let (short, long) = mount_in_millimetres(portrait)?;
    MOUNT_SIZES
        .iter()
        .find(|(_, wanted_short, wanted_long)| fits(short, long, *wanted_short, *wanted_long))
        .map(|(kind, _, _)| *kind)
}

/// Tells whether the measured mount is far from the nominal size of the kind that is given.
pub(super) fn size_contradicts_kind(portrait: &Portrait) -> bool {
    let nominal = MOUNT_SIZES
        .iter()
        .find(|(kind, _, _)| portrait.kind.given() == Some(kind));
    match (nominal, mount_in_millimetres(portrait)) {
        (Some((_, wanted_short, wanted_long)), Some((short, long))) => {
            !fits(short, long, *wanted_short, *wanted_long)
        }
        _ => false,
    }
}

fn fits(short: f64, long: f64, wanted_short: f64, wanted_long: f64) -> bool {
    (short - wanted_short).abs() <= SIZE_TOLERANCE_MM
        && (long - wanted_long).abs() <= SIZE_TOLERANCE_MM
}

/// Returns the sides of the mount, shorter one first. A size of which nobody says what was measured counts as the mount's.
fn mount_in_millimetres(portrait: &Portrait) -> Option<(f64, f64)> {
    if portrait
        .size
        .measured
        .given()
        .is_some_and(|measured| *measured != Measured::Mount)
    {
        return None;
    }
    let (height, width) = portrait.size.in_millimetres()?;
    Some((height.min(width), height.max(width)))
}

/// A crayon portrait over a photograph is an enlargement; one without a photograph may be drawn from life.
fn is_crayon_enlargement(portrait: &Portrait) -> bool {
    portrait.kind.given() == Some(&PortraitKind::LargeCrayon)
        && portrait
            .media
            .given()
            .is_none_or(|media| media.contains(&Medium::Photograph))
}

fn stands_at(words: &[String], at: usize, wording: &[String]) -> bool {
    let Some((last, rest)) = wording.split_last() else {
        return false;
    };
    let mut here = words.iter().skip(at);
    rest.iter().all(|word| here.next() == Some(word))
        && here
            .next()
            .is_some_and(|word| word.starts_with(last.as_str()))
}

/// Words and numbers in lower case; "¢" is the word "cent".
fn words_of(text: &str) -> Vec<String> {
    let spread = text.to_lowercase().replace('¢', " cent ");
    spread
        .split(|character: char| !character.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Reads the thickness of a card in inches from words such as "card 0.018 in thick" or "0.5 mm thick".
fn thickness(words: &[String], says: &str) -> Option<f64> {
    if !words.iter().any(|word| word.starts_with("thick")) {
        return None;
    }
    let lower = says.to_lowercase();
    let number = lower
        .split(|character: char| !(character.is_ascii_digit() || character == '.'))
        .filter(|part| part.contains('.'))
        .find_map(|part| part.parse::<f64>().ok())?;
    Some(if words.iter().any(|word| word == "mm") {
        number / 25.4
    } else {
        number
    })
}

fn row(line: &'static str) -> Option<TableClue> {
    let mut cells = line.split('\t');
    let _key = cells.next()?;
    let name = cells.next()?;
    let applies = applies(cells.next()?)?;
    let limit = (end(cells.next()?, true), end(cells.next()?, false));
    let usual = (end(cells.next()?, true), end(cells.next()?, false));
    Some(TableClue {
        #[cfg(test)]
        key: _key,
        name,
        applies,
        limit,
        usual,
        target: DateTarget::from_word(cells.next()?)?,
        weight: match cells.next()? {
            "object" => Weight::Object,
            "mount" => Weight::Mount,
            _ => return None,
        },
        source: cells.next()?,
        caveat: cells.next().filter(|caveat| !caveat.is_empty()),
    })
}

fn end(cell: &str, earliest: bool) -> Option<Day> {
    let (first, last) = Edtf::parse(cell).ok()?.bounds();
    if earliest { first.day() } else { last.day() }
}

fn applies(cell: &str) -> Option<Applies> {
    match cell {
        "crayon" => return Some(Applies::Crayon),
        "bowed" => return Some(Applies::Bowed),
        "convex glass" => return Some(Applies::ConvexGlass),
        _ => {}
    }
    let (what, rest) = cell.split_once(':')?;
    match what {
        "kind" => PortraitKind::from_word(rest).map(Applies::Kind),
        "words" => Some(Applies::Words(rest.split('|').map(str::to_owned).collect())),
        "thickness" => {
            let (from, to) = rest.split_once('-')?;
            Some(Applies::Thickness(from.parse().ok()?, to.parse().ok()?))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::Unit;

    #[test]
    fn every_row_of_the_table_is_read_and_has_a_source() {
        let table = ClueTable::built_in();
        assert_eq!(table.rows.len(), TABLE.lines().count() - 1);
        let keys: std::collections::BTreeSet<&str> = table.rows.iter().map(|row| row.key).collect();
        assert_eq!(keys.len(), table.rows.len());
        for row in &table.rows {
            assert!(row.source.len() > 3, "{}", row.key);
            let some_end = [row.limit, row.usual]
                .into_iter()
                .any(|(first, last)| first.is_some() || last.is_some());
            assert!(some_end, "{}", row.key);
        }
    }

    fn said(says: &str) -> Vec<String> {
        let clue = Clue {
            number: "C-1".into(),
            says: Answer::Given(says.to_owned()),
            ..Clue::default()
        };
        let found = ClueTable::built_in().of_clue(&clue);
        found.into_iter().map(|(_, clue)| clue.what).collect()
    }

    #[test]
    fn wordings_are_found_as_whole_words() {
        assert_eq!(
            said("2¢ revenue stamp cancelled Oct 3 1865"),
            ["clue C-1: United States revenue stamp on a photograph, possible years"]
        );
        assert_eq!(said("1¢ stamp").len(), 2);
        let undivided = said("undivided back");
        assert!(undivided.iter().all(|what| what.contains("undivided")));
        assert_eq!(
            said("Gilt bevels all round"),
            ["clue C-1: gold bevel on a cabinet card, usual years"]
        );
        assert_eq!(
            said("card 0.018 in thick"),
            ["clue C-1: card of 0.010 to 0.020 inch, usual years"]
        );
        // 0.9 mm are 0.035 inch.
        assert_eq!(
            said("card 0.9 mm thick"),
            ["clue C-1: card of 0.030 to 0.040 inch, usual years"]
        );
        assert!(said("a stamp of the studio").is_empty());
    }

    fn card(kind: Option<PortraitKind>, height: &str, width: &str, unit: Unit) -> Portrait {
        let mut portrait = Portrait {
            kind: kind.into(),
            ..Portrait::default()
        };
        portrait.size.height = Answer::Given(height.to_owned());
        portrait.size.width = Answer::Given(width.to_owned());
        portrait.size.unit = Answer::Given(unit);
        portrait
    }

    #[test]
    fn sizes_of_mounts_are_matched_within_a_quarter_of_an_inch() {
        // fadingimages.uk: 2 1/2 by 4 inches, 4 1/8 to 4 1/4 also given; AAT: 4 1/4 by 6 1/2 inches; UK 114 by 165 mm.
        assert_eq!(
            kind_by_size(&card(None, "4 1/4", "2 1/2", Unit::Inch)),
            Some(PortraitKind::CarteDeVisite)
        );
        assert_eq!(
            kind_by_size(&card(None, "165", "114", Unit::Millimetre)),
            Some(PortraitKind::CabinetCard)
        );
        assert_eq!(
            kind_by_size(&card(None, "165", "115", Unit::Millimetre)),
            None
        );
        assert!(size_contradicts_kind(&card(
            Some(PortraitKind::CabinetCard),
            "4",
            "2 1/2",
            Unit::Inch
        )));
        assert!(!size_contradicts_kind(&card(
            Some(PortraitKind::CarteDeVisite),
            "4",
            "2 1/2",
            Unit::Inch
        )));
        let unnamed = ClueTable::built_in().of_portrait(&card(None, "6 1/2", "4 1/4", Unit::Inch));
        assert_eq!(unnamed.len(), 1);
        assert!(unnamed[0].1.what.contains("its size agrees with"));
    }
}
