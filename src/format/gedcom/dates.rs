//! Dates of family tree files as EDTF. [GEDCOM 7.0 2.4; GEDCOM 5.5.1 `DATE_VALUE`]

use crate::record::DateEntry;

/// The months in their order. [GEDCOM 7.0 6.1 Gregorian]
const MONTHS: [&str; 12] = [
    "JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC",
];

/// Reads a date; nothing where EDTF has no sure form for it: other calendars, years before Christ, double years, phrases.
pub(super) fn read(payload: &str) -> Option<DateEntry> {
    let upper = payload.trim().to_uppercase();
    let plain = upper
        .replace("@#DGREGORIAN@", " ")
        .replace("GREGORIAN ", " ");
    let words: Vec<&str> = plain.split_whitespace().collect();
    let edtf = match words.as_slice() {
        ["ABT" | "CAL" | "EST", date @ ..] => format!("{}~", simple(date)?),
        ["BEF", date @ ..] => {
            return DateEntry::read(&format!("before {}", simple(date)?))
                .ok()
                .map(as_typed);
        }
        ["AFT", date @ ..] => {
            return DateEntry::read(&format!("after {}", simple(date)?))
                .ok()
                .map(as_typed);
        }
        ["BET", between @ ..] => {
            let (start, end) = parted(between, "AND")?;
            format!("[{}..{}]", simple(start)?, simple(end)?)
        }
        ["FROM", from @ ..] => match parted(from, "TO") {
            Some((start, end)) => format!("{}/{}", simple(start)?, simple(end)?),
            None => format!("{}/..", simple(from)?),
        },
        ["TO", to @ ..] => format!("../{}", simple(to)?),
        date => simple(date)?,
    };
    DateEntry::read(&edtf).ok()
}

/// The sheet shows the EDTF that was understood.
fn as_typed(entry: DateEntry) -> DateEntry {
    DateEntry {
        typed: entry.edtf.as_str().to_owned(),
        edtf: entry.edtf,
    }
}

fn parted<'a, 'b>(words: &'a [&'b str], by: &str) -> Option<(&'a [&'b str], &'a [&'b str])> {
    let place = words.iter().position(|word| *word == by)?;
    Some((words.get(..place)?, words.get(place.saturating_add(1)..)?))
}

/// Reads day, month and year, month and year, or year.
fn simple(words: &[&str]) -> Option<String> {
    let number = |word: &str, longest: usize| {
        let sound =
            (1..=longest).contains(&word.len()) && word.bytes().all(|byte| byte.is_ascii_digit());
        sound.then(|| word.parse::<u32>().ok()).flatten()
    };
    let month = |word: &str| {
        let position = MONTHS.iter().position(|month| *month == word)?;
        Some(position.saturating_add(1))
    };
    match words {
        [year] => Some(format!("{:04}", number(year, 4)?)),
        [name, year] => Some(format!("{:04}-{:02}", number(year, 4)?, month(name)?)),
        [day, name, year] => Some(format!(
            "{:04}-{:02}-{:02}",
            number(year, 4)?,
            month(name)?,
            number(day, 2)?
        )),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_of_date() {
        for (payload, expected) in [
            ("3 FEB 1931", "1931-02-03"),
            ("feb 1931", "1931-02"),
            ("@#DGREGORIAN@ 1931", "1931"),
            ("GREGORIAN 1931", "1931"),
            ("ABT 1862", "1862~"),
            ("CAL 2 MAR 1862", "1862-03-02~"),
            ("BET 1890 AND 1900", "[1890..1900]"),
            ("FROM 1890 TO MAY 1900", "1890/1900-05"),
            ("FROM 1890", "1890/.."),
            ("TO 1900", "../1900"),
        ] {
            assert_eq!(read(payload).unwrap().edtf.as_str(), expected, "{payload}");
        }
        for payload in ["BEF 1900", "AFT 1 MAY 1900"] {
            let entry = read(payload).unwrap();
            assert_eq!(DateEntry::read(&entry.typed).unwrap().edtf, entry.edtf);
        }
    }

    #[test]
    fn what_edtf_cannot_say_surely_is_not_read() {
        for payload in [
            "",
            "(about harvest)",
            "JULIAN 5 MAY 1700",
            "@#DJULIAN@ 1700",
            "44 BCE",
            "1699/00",
            "31 FEB 1900",
            "BET 1900 AND",
            "5 MAI 1900",
        ] {
            assert_eq!(read(payload), None, "{payload}");
        }
    }
}
