//! What ties portraits together: one order, one negative, one lot, companions, copies. A tie is about objects; kinship is never
//! derived from it.

use super::cell::cell;
use super::cell::plain_name;
use super::evidence::shortened;
use super::maker_number::LastPart;
use super::maker_number::maker_number;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::record::Portrait;
use crate::record::Register;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// How two portraits are tied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum TieKind {
    /// Neighbouring numbers of one maker: perhaps one order.
    #[serde(rename = "same order")]
    SameOrder,
    /// The same number of one maker: perhaps one negative.
    #[serde(rename = "same negative")]
    SameNegative,
    /// They came together.
    #[serde(rename = "same lot")]
    SameLot,
    /// The person says that they belong together.
    Companion,
    /// The person says that this is a copy of the other.
    #[serde(rename = "copy of")]
    CopyOf,
    /// The same picture is in their scans.
    #[serde(rename = "same picture")]
    SamePicture,
}

impl TieKind {
    /// Returns the tie in plain words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::SameOrder => "perhaps one order",
            Self::SameNegative => "perhaps one negative",
            Self::SameLot => "came together",
            Self::Companion => "belongs with",
            Self::CopyOf => "copy of",
            Self::SamePicture => "the same picture",
        }
    }
}

/// A tie of one portrait to others.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Tie {
    /// How they are tied.
    pub kind: TieKind,
    /// The other portraits; of a large group only the first few.
    pub portraits: Vec<String>,
    /// How many others there are.
    pub others: usize,
    /// Why, a sentence.
    pub reason: String,
}

/// Of a larger group, only so many others are listed at each portrait.
const MOST_LISTED: usize = 6;

/// The ties of each portrait, by number.
pub(super) type Ties = BTreeMap<String, Vec<Tie>>;

/// Finds the ties of all portraits.
pub(super) fn find(register: &Register<'_>, concerns: &mut ConcernList) -> Ties {
    let mut ties = Ties::new();
    by_number(register, &mut ties, concerns);
    by_lot(register, &mut ties);
    by_picture(register, &mut ties, concerns);
    stated(register, &mut ties, concerns);
    for tied in ties.values_mut() {
        tied.sort();
    }
    ties
}

fn add(ties: &mut Ties, portrait: &Portrait, tie: Tie) {
    ties.entry(portrait.number.as_str().to_owned())
        .or_default()
        .push(tie);
}

fn tie(kind: TieKind, others: &[&Portrait], reason: String) -> Tie {
    Tie {
        kind,
        portraits: others
            .iter()
            .take(MOST_LISTED)
            .map(|other| other.number.as_str().to_owned())
            .collect(),
        others: others.len(),
        reason,
    }
}

fn maker_of(portrait: &Portrait) -> Option<String> {
    let maker = &portrait.maker;
    maker
        .as_printed
        .text()
        .or_else(|| maker.name.text())
        .map(plain_name)
        .filter(|maker| !maker.is_empty())
}

/// Numbers are only compared within one maker.
fn by_number(register: &Register<'_>, ties: &mut Ties, concerns: &mut ConcernList) {
    let mut series: BTreeMap<(String, String), BTreeMap<LastPart, Vec<&Portrait>>> =
        BTreeMap::new();
    for portrait in &register.collection().portraits {
        let number = portrait.maker.number.text().and_then(maker_number);
        if let (Some(maker), Some(number)) = (maker_of(portrait), number) {
            series
                .entry((maker, number.stem))
                .or_default()
                .entry(number.last)
                .or_default()
                .push(portrait);
        }
    }
    for numbers in series.values() {
        for (last, portraits) in numbers {
            same_number(register, portraits, ties, concerns);
            let after = last.next().and_then(|next| numbers.get(&next));
            if let Some(neighbours) = after {
                join(portraits, neighbours, ties);
                join(neighbours, portraits, ties);
            }
        }
    }
}

fn join(these: &[&Portrait], others: &[&Portrait], ties: &mut Ties) {
    for portrait in these {
        let mine = portrait.maker.number.text().unwrap_or_default();
        let theirs = others
            .first()
            .and_then(|other| other.maker.number.text())
            .unwrap_or_default();
        let reason = format!(
            "the same maker’s numbers {mine} and {theirs} are neighbours: indirect evidence of one order, and no evidence of kinship"
        );
        add(ties, portrait, tie(TieKind::SameOrder, others, reason));
    }
}

fn same_number(
    register: &Register<'_>,
    portraits: &[&Portrait],
    ties: &mut Ties,
    concerns: &mut ConcernList,
) {
    if portraits.len() < 2 {
        return;
    }
    each_with_others(portraits, |portrait, others| {
        let number = portrait.maker.number.text().unwrap_or_default();
        let reason = format!("the same maker’s number {number} is on both");
        add(ties, portrait, tie(TieKind::SameNegative, others, reason));
    });
    let names: BTreeSet<BTreeSet<&str>> = portraits
        .iter()
        .map(|portrait| names_of(register, portrait))
        .filter(|names| !names.is_empty())
        .collect();
    let disjoint = names
        .iter()
        .zip(names.iter().skip(1))
        .any(|(one, other)| one.is_disjoint(other));
    let words: BTreeMap<String, String> = portraits
        .iter()
        .filter_map(|portrait| hand_written(register, portrait))
        .collect();
    let numbers: Vec<&str> = portraits
        .iter()
        .map(|portrait| portrait.number.as_str())
        .collect();
    let listed = numbers
        .iter()
        .take(MOST_LISTED)
        .copied()
        .collect::<Vec<_>>()
        .join(", ");
    let different = words.values().map(String::as_str).collect::<Vec<_>>();
    let differ = if different.len() > 1 {
        format!(" The words on them: {}.", different.join(" / "))
    } else {
        String::new()
    };
    // Said at each of the portraits: whoever looks at one of them has to see it.
    for portrait in portraits.iter().take(MOST_LISTED) {
        let place =
            cell(&columns::PORTRAITS, portrait.row, "Number on it").of_portrait(&portrait.number);
        if disjoint {
            concerns.warning(
                "one-negative-two-names",
                place,
                format!("{listed} carry the same number of one maker, and different people are thought of for them.{differ}"),
                "At most one of the names can be right for one face: compare the pictures, the hands and the ages.",
            );
        } else if names.len() < 2 && different.len() > 1 {
            concerns.question(
                "one-negative-two-words",
                place,
                format!("{listed} carry the same number of one maker.{differ}"),
                "If these are prints of one negative, ask whether the words name one and the same person.",
            );
        }
    }
}

/// Calls for each portrait with the others of its group, at most one more than are listed.
fn each_with_others<'p>(
    portraits: &[&'p Portrait],
    mut say: impl FnMut(&'p Portrait, &[&'p Portrait]),
) {
    for (at, portrait) in portraits.iter().enumerate() {
        let others: Vec<&Portrait> = portraits
            .iter()
            .enumerate()
            .filter(|(other, _)| *other != at)
            .map(|(_, other)| *other)
            .take(MOST_LISTED)
            .collect();
        say(portrait, &others);
    }
}

fn names_of<'a>(register: &Register<'a>, portrait: &Portrait) -> BTreeSet<&'a str> {
    register
        .held_names(&portrait.number)
        .filter(|(claim, _)| {
            claim
                .certainty
                .given()
                .is_none_or(|certainty| *certainty <= crate::record::Certainty::Doubtful)
        })
        .map(|(_, person)| person.number.as_str())
        .collect()
}

/// The words written by hand on a portrait: in a form that can be compared, and as they stand there.
fn hand_written(register: &Register<'_>, portrait: &Portrait) -> Option<(String, String)> {
    use crate::record::WrittenIn;
    let words: Vec<(String, String)> = register
        .words_on(&portrait.number)
        .iter()
        .filter(|words| {
            matches!(
                words.written_in.given(),
                Some(WrittenIn::Pencil | WrittenIn::Ink | WrittenIn::Ballpoint | WrittenIn::Crayon)
            )
        })
        .filter_map(|words| words.text.text())
        .map(|text| (plain_name(text), format!("“{}”", shortened(text))))
        .filter(|(plain, _)| plain.chars().any(char::is_alphabetic))
        .collect();
    let joined = |part: fn(&(String, String)) -> &str| {
        words.iter().map(part).collect::<Vec<_>>().join(" · ")
    };
    (!words.is_empty()).then(|| (joined(|words| &words.0), joined(|words| &words.1)))
}

fn by_lot(register: &Register<'_>, ties: &mut Ties) {
    let mut lots: BTreeMap<&str, Vec<&Portrait>> = BTreeMap::new();
    for portrait in &register.collection().portraits {
        if let Some(lot) = portrait.lot.given() {
            lots.entry(lot.as_str()).or_default().push(portrait);
        }
    }
    for (lot, portraits) in lots {
        let count = portraits.len().saturating_sub(1);
        if count == 0 {
            continue;
        }
        each_with_others(&portraits, |portrait, others| {
            let reason = format!("both came in lot {lot}");
            let found = tie(TieKind::SameLot, others, reason);
            add(
                ties,
                portrait,
                Tie {
                    others: count,
                    ..found
                },
            );
        });
    }
}

/// The same picture in scans of different portraits, whatever their labels say.
fn by_picture(register: &Register<'_>, ties: &mut Ties, concerns: &mut ConcernList) {
    let mut pictures: BTreeMap<&str, Vec<&crate::record::Scan>> = BTreeMap::new();
    for scan in &register.collection().scans {
        let digest = scan.facts.picture_digest.as_deref();
        if let Some(digest) = digest.or(scan.facts.sha256.as_deref()) {
            pictures.entry(digest).or_default().push(scan);
        }
    }
    for scans in pictures.values().filter(|scans| scans.len() > 1) {
        let files: Vec<&str> = scans.iter().map(|scan| scan.file.as_str()).collect();
        let identical = scans.iter().all(|scan| {
            scan.facts.sha256.is_some()
                && scan.facts.sha256 == scans.first().and_then(|first| first.facts.sha256.clone())
        });
        let portraits: BTreeMap<&str, &Portrait> = scans
            .iter()
            .filter_map(|scan| scan.portrait.given())
            .filter_map(|number| register.portrait(number.as_str()))
            .map(|portrait| (portrait.number.as_str(), portrait))
            .collect();
        let listed = files
            .iter()
            .take(MOST_LISTED)
            .copied()
            .collect::<Vec<_>>()
            .join(", ");
        let what = if identical {
            format!("{listed} are the same file under different names.")
        } else {
            format!("{listed} hold exactly the same picture; only what is written inside differs.")
        };
        let row = scans.first().map(|scan| scan.row).unwrap_or_default();
        let place = cell(&columns::SCANS, row, "File name now");
        if portraits.len() > 1 {
            concerns.warning(
                "one-picture-two-portraits",
                place,
                format!("{what} They are listed for different portraits."),
                "Check “Portrait no.”: one of the rows is probably wrong.",
            );
            let tied: Vec<&Portrait> = portraits.values().copied().collect();
            each_with_others(&tied, |portrait, others| {
                let reason = "their scans hold exactly the same picture".to_owned();
                add(ties, portrait, tie(TieKind::SamePicture, others, reason));
            });
        } else {
            concerns.note(
                "same-picture-twice",
                place,
                what,
                "Keep both if both are wanted; otherwise take one row out.",
            );
        }
    }
}

/// Ties that the person states.
fn stated(register: &Register<'_>, ties: &mut Ties, concerns: &mut ConcernList) {
    const KINSHIP: [&str; 14] = [
        "wife", "husband", "spouse", "married", "couple", "mother", "father", "sister", "brother",
        "son", "daughter", "kin", "parents", "cousin",
    ];
    for portrait in &register.collection().portraits {
        for companion in &portrait.belongs_with {
            let Some(other) = register.portrait(companion.portrait.as_str()) else {
                continue;
            };
            add(
                ties,
                portrait,
                tie(TieKind::Companion, &[other], companion.reason.clone()),
            );
            let reason = companion.reason.to_lowercase();
            if let Some(word) = KINSHIP
                .iter()
                .find(|word| super::words::has_word(&reason, word))
            {
                concerns.note(
                    "kinship-in-a-tie",
                    cell(&columns::PORTRAITS, portrait.row, "Belongs with").of_portrait(&portrait.number),
                    format!("The reason for belonging with {} says “{word}”.", companion.portrait),
                    "Kinship is a claim about people: give its clues in “Who is it”. That things belong together does not show it.",
                );
            }
        }
        let original = portrait
            .copy_of
            .given()
            .and_then(|number| register.portrait(number.as_str()));
        if let Some(original) = original.filter(|original| original.number != portrait.number) {
            add(
                ties,
                portrait,
                tie(
                    TieKind::CopyOf,
                    &[original],
                    "stated in the sheet".to_owned(),
                ),
            );
        }
    }
}
