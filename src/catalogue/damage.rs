//! What spreadsheets do to the texts of a catalogue, noticed cell by cell.
//!
//! A spreadsheet that opens a file may turn `6-18` into a day in June, `1900` into `1.90E+03`, `007` into `7`, and letters with accents
//! into pairs of others. Nothing is put right here: each is told with its place and a proposal.

use super::cell::Holds;
use super::columns::Column;
use super::garbled::mend;
use crate::concern::Severity;
use crate::format::sheet::Cell;
use crate::format::sheet::Kind;
use crate::format::sheet::is_guarded;

/// One thing noticed in a cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Damage {
    pub(super) code: &'static str,
    pub(super) severity: Severity,
    pub(super) what: String,
    pub(super) remedy: String,
}

impl Damage {
    fn new(
        code: &'static str,
        severity: Severity,
        what: String,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            code,
            severity,
            what,
            remedy: remedy.into(),
        }
    }
}

/// The errors that a spreadsheet puts in place of a value. [ECMA-376 part 1, 18.18.11; ISO 26300-2 5.12]
const ERRORS: [&str; 10] = [
    "#REF!", "#NAME?", "#VALUE!", "#DIV/0!", "#N/A", "#NULL!", "#NUM!", "#DATA!", "Err:502",
    "Err:508",
];

/// How spreadsheets shorten the months, in lower case: English first, then as they are set up for French, German, Spanish, Italian,
/// Portuguese, Dutch, Danish, Norwegian, Swedish and Polish. [the common locale data repository, dates/months, abbreviated and wide]
const MONTHS: [&[&str]; 12] = [
    &[
        "jan", "january", "janv", "janvier", "januar", "jänner", "ene", "gen", "sty",
    ],
    &[
        "feb", "february", "févr", "fév", "fevr", "février", "februar", "fev", "lut",
    ],
    &["mar", "march", "mars", "mär", "mrz", "märz", "mrt", "maart"],
    &["apr", "april", "avr", "avril", "abr", "kwi"],
    &["may", "mai", "mag", "maj", "mei"],
    &["jun", "june", "juin", "juni", "giu", "cze"],
    &["jul", "july", "juil", "juillet", "juli", "lug", "lip"],
    &["aug", "august", "août", "aout", "ago", "sie"],
    &["sep", "sept", "september", "septembre", "set", "wrz"],
    &[
        "oct", "october", "octobre", "okt", "oktober", "ott", "out", "paź",
    ],
    &["nov", "november", "novembre", "lis"],
    &[
        "dec",
        "december",
        "déc",
        "décembre",
        "dez",
        "dezember",
        "dic",
        "des",
        "gru",
    ],
];

/// Tells whether a cell holds an error of the spreadsheet instead of a value.
pub(super) fn is_error(cell: &Cell) -> bool {
    let text = cell.text.trim();
    cell.kind == Kind::Error || (text.starts_with(['#', 'E']) && ERRORS.contains(&text))
}

/// Looks at one cell of a column.
pub(super) fn inspect(column: &Column, cell: &Cell) -> Vec<Damage> {
    let mut found = Vec::new();
    let text = cell.text.as_str();
    if is_error(cell) {
        found.push(Damage::new(
            "spreadsheet-error",
            Severity::Warning,
            format!(
                "Here stands {}, an error of the spreadsheet, in place of what was written.",
                quoted(text.trim())
            ),
            "Type the text again, or take it from an earlier copy of the catalogue.",
        ));
        return found;
    }
    found.extend(kind_damage(column, cell));
    if text.len() <= 16 {
        found.extend(exponent(text));
        if !holds_dates(column) {
            found.extend(month_name(text));
        }
    }
    if !text.is_ascii() {
        found.extend(mojibake(text));
    }
    found.extend(hidden(text));
    found.extend(outer(column, cell));
    found
}

fn holds_dates(column: &Column) -> bool {
    column.holds == Holds::Date
}

/// Damage that shows in what the cell is.
fn kind_damage(column: &Column, cell: &Cell) -> Option<Damage> {
    match cell.kind {
        Kind::Date if holds_dates(column) => {
            early_1900(&cell.text).or_else(|| first_of_month(&cell.text))
        }
        Kind::Date => Some(became_a_date(&cell.text)),
        Kind::Number if holds_dates(column) => serial_number(&cell.text),
        Kind::Number => too_many_digits(&cell.text),
        Kind::Formula => Some(Damage::new(
            "formula-cell",
            Severity::Note,
            "This cell holds a formula; its last result was taken.".to_owned(),
            "Replace the formula by its result, so that it cannot change by itself.",
        )),
        Kind::Text if holds_dates(column) => serial_number(&cell.text),
        Kind::Text | Kind::Boolean | Kind::Error => None,
    }
}

/// By the standard of workbooks 1900 has a false 29 February, so that all days before it are counted one further on than by
/// spreadsheets that know better, and both write the same number. [ECMA-376 part 1, 18.17.4.1]
fn early_1900(text: &str) -> Option<Damage> {
    (text.starts_with("1900-01-") || text.starts_with("1900-02-")).then(|| {
        Damage::new(
            "date-cell-early-1900",
            Severity::Question,
            format!(
                "The spreadsheet holds this date as the day {text}. Spreadsheet programs disagree by one day about January and February 1900."
            ),
            "Compare it with the source, format the cell as text and type the date as year-month-day.",
        )
    })
}

/// A spreadsheet that is given "May 1905" keeps the first of May.
fn first_of_month(text: &str) -> Option<Damage> {
    let month = text.strip_suffix("-01")?;
    Some(Damage::new(
        "date-cell-first-of-month",
        Severity::Question,
        format!(
            "The spreadsheet holds this date as the day {text}; perhaps only the month was written."
        ),
        format!("If only the month is known, format the cell as text and write {month}."),
    ))
}

fn became_a_date(text: &str) -> Damage {
    let proposal = month_and_day(text).map_or_else(
        || "Format the cell as text and type what was written there.".to_owned(),
        |(month, day)| {
            format!(
                "If {} stood there, format the cell as text and type that again.",
                either(month, day)
            )
        },
    );
    Damage::new(
        "became-a-date",
        Severity::Warning,
        format!("The spreadsheet turned this cell into the date {text}."),
        proposal,
    )
}

fn month_and_day(text: &str) -> Option<(u32, u32)> {
    let mut parts = text.split(['-', 'T']).skip(1);
    Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
}

fn either(month: u32, day: u32) -> String {
    format!(
        "{} or {}",
        quoted(&format!("{month}-{day}")),
        quoted(&format!("{day}-{month}"))
    )
}

/// Days since the end of 1899, as spreadsheets store dates, where a date should stand.
fn serial_number(text: &str) -> Option<Damage> {
    // Up to 2100 it is a year; 73050 is the last day of 2099.
    let days: i64 = text.trim().parse().ok()?;
    if !(2101..=73_050).contains(&days) {
        return None;
    }
    let day = date_of_serial(days)?;
    Some(Damage::new(
        "serial-number",
        Severity::Warning,
        format!("{days} is no date; it looks like the number by which a spreadsheet stores {day}."),
        format!("If that is the date, format the cell as text and write {day}."),
    ))
}

/// Returns the date that a serial number means, in the calendar that counts 1 January 1900 as 1 and has a false 29 February
/// 1900, so that from March 1900 on day 0 is 30 December 1899. [ECMA-376 part 1, 18.17.4.1]
fn date_of_serial(days: i64) -> Option<String> {
    let start = jiff::civil::Date::new(1899, 12, 30).ok()?;
    let date = start
        .checked_add(jiff::Span::new().try_days(days).ok()?)
        .ok()?;
    Some(date.to_string())
}

/// A spreadsheet keeps fifteen digits of a number. [IEEE 754 binary64]
fn too_many_digits(text: &str) -> Option<Damage> {
    let digits = text.chars().filter(char::is_ascii_digit).count();
    (digits > 15).then(|| {
        Damage::new(
            "digits-lost",
            Severity::Warning,
            "A spreadsheet keeps only fifteen digits of a number; the last ones here may be wrong."
                .to_owned(),
            "Format the cell as text and type the number again.",
        )
    })
}

/// `1.90E+03` in place of 1900.
fn exponent(text: &str) -> Option<Damage> {
    let plain = text.trim();
    if !plain.starts_with(|first: char| first.is_ascii_digit()) {
        return None;
    }
    let (digits, power) = plain.split_once(['E', 'e'])?;
    let is_power = power
        .strip_prefix(['+', '-'])
        .is_some_and(|rest| (1..=3).contains(&rest.len()) && all_digits(rest));
    let (whole, part) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let is_number =
        whole.len() == 1 && all_digits(whole) && part.chars().all(|c| c.is_ascii_digit());
    if !is_power || !is_number {
        return None;
    }
    let value: f64 = plain.replace(',', ".").parse().ok()?;
    Some(Damage::new(
        "became-an-exponent",
        Severity::Warning,
        format!(
            "{} is how a spreadsheet writes a number near {value}.",
            quoted(plain)
        ),
        format!(
            "If {value} stood there, format the cell as text and type it again; digits may be lost, so compare with the original."
        ),
    ))
}

fn all_digits(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit())
}

/// `18-Jun` or `Jun-18` in place of 6-18.
fn month_name(text: &str) -> Option<Damage> {
    // Nearly all texts are looked at no further than this.
    if !text.bytes().any(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let plain = text.trim();
    let (first, second) = plain.split_once(['-', '/', ' ', '.'])?;
    let second = second.trim_start_matches([' ', '-', '/']);
    let (month, day) = match (month_number(first), month_number(second)) {
        (Some(month), None) => (month, second),
        (None, Some(month)) => (month, first),
        _ => return None,
    };
    if !all_digits(day) || day.len() > 2 {
        return None;
    }
    let day: u32 = day.parse().ok()?;
    Some(Damage::new(
        "became-a-date",
        Severity::Warning,
        format!(
            "{} looks like a number that a spreadsheet turned into a date.",
            quoted(plain)
        ),
        format!(
            "If {} stood there, format the cell as text and type that again.",
            either(month, day)
        ),
    ))
}

/// Returns the number of a month by a word with which spreadsheets write it.
fn month_number(text: &str) -> Option<u32> {
    // Nearly all texts are no month: seen without a copy of each.
    if text.len() < 3 || !text.starts_with(char::is_alphabetic) {
        return None;
    }
    let lower = text.trim_end_matches('.').to_lowercase();
    let index = MONTHS
        .iter()
        .position(|spellings| spellings.contains(&lower.as_str()))?;
    u32::try_from(index).ok()?.checked_add(1)
}

/// Letters that were stored as UTF-8 and read as Windows-1252: `ZoÃ«` in place of Zoë.
fn mojibake(text: &str) -> Option<Damage> {
    if text.contains('\u{FFFD}') {
        return Some(Damage::new(
            "broken-letters",
            Severity::Warning,
            format!(
                "Some letters of {} were lost before they came here.",
                quoted(text)
            ),
            "Type the text again.",
        ));
    }
    let mended = mend(text)?;
    Some(Damage::new(
        "garbled-letters",
        Severity::Warning,
        format!(
            "{} looks like text that was opened with the wrong encoding.",
            quoted(text)
        ),
        format!("If {} is right, type that.", quoted(&mended)),
    ))
}

/// Signs that nobody sees, and that can turn the order of letters round. [UAX 9, 2.1 to 2.5]
fn hidden(text: &str) -> Option<Damage> {
    let is_hidden = |c: char| {
        (c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
            || matches!(c, '\u{200B}' | '\u{FEFF}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
    };
    let has_hidden = if text.is_ascii() {
        text.bytes().any(|byte| is_hidden(char::from(byte)))
    } else {
        text.contains(is_hidden)
    };
    has_hidden.then(|| {
        let plain: String = text.chars().filter(|c| !is_hidden(*c)).collect();
        Damage::new(
            "hidden-characters",
            Severity::Warning,
            format!(
                "This cell holds signs that nobody can see beside {}.",
                quoted(&plain)
            ),
            format!(
                "If nothing else belongs there, type {} again.",
                quoted(&plain)
            ),
        )
    })
}

/// Blanks and apostrophes round a text.
fn outer(column: &Column, cell: &Cell) -> Option<Damage> {
    let text = cell.text.as_str();
    if is_guarded(text) {
        return Some(Damage::new(
            "apostrophe-before-sign",
            Severity::Note,
            format!(
                "An apostrophe stands before {}.",
                quoted(text.get(1..).unwrap_or_default())
            ),
            "It may come from a CSV file, where it keeps the cell from being a formula; take it away if it does not belong to the text.",
        ));
    }
    let trimmed = text.trim();
    if trimmed.len() == text.len() || trimmed.is_empty() {
        return None;
    }
    let is_kept = matches!(column.holds, Holds::Text | Holds::Texts);
    Some(Damage::new(
        "outer-blanks",
        Severity::Note,
        format!("Blanks stand before or after {}.", quoted(trimmed)),
        if is_kept {
            "They were kept; take them away if they do not belong to the text."
        } else {
            "They were passed over; nothing need be done."
        },
    ))
}

/// Returns a text in quotes, shortened, without line breaks.
pub(super) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text
        .chars()
        .take(LONGEST)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    format!("“{shown}”")
}

/// Finds numbers that lost their leading zeros: their column holds others of one longer length, some with zeros before.
///
/// Gives the number as it probably was, beside the place in `values`.
pub(super) fn lost_zeros(values: &[&str]) -> Vec<(usize, String)> {
    let zeroed: Vec<usize> = values
        .iter()
        .filter(|value| value.starts_with('0') && value.len() > 1 && all_digits(value))
        .map(|value| value.len())
        .collect();
    let Some(length) = zeroed.first().copied() else {
        return Vec::new();
    };
    if zeroed.iter().any(|other| *other != length) {
        return Vec::new();
    }
    values
        .iter()
        .enumerate()
        .filter(|(_, value)| all_digits(value) && value.len() < length)
        .map(|(index, value)| (index, format!("{value:0>length$}")))
        .collect()
}

#[cfg(test)]
#[path = "damage_tests.rs"]
mod tests;
