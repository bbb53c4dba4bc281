//! One date in plain words: a day, month, season, year, decade or century, with its doubts.

use super::PlainFault;
use super::Read;
use super::Reader;
use super::month_number;
use super::part::Part;
use super::part::of_century;
use super::part::of_decade;
use crate::record::date::Bound;
use crate::record::date::Edtf;
use crate::record::date::Precision;

/// One date as read.
pub(super) struct Core {
    /// EDTF without marks.
    text: String,
    /// What the person typed for it, without marks.
    pub(super) as_typed: String,
    pub(super) approximate: bool,
    uncertain: bool,
    pub(super) earliest: Bound,
    pub(super) latest: Bound,
    pub(super) unit: Precision,
    /// Whether the text is a set in square brackets already.
    pub(super) is_set: bool,
}

impl Core {
    /// Returns the date with its marks.
    pub(super) fn marked(&self) -> String {
        if self.is_set {
            return self.text.clone();
        }
        format!("{}{}", self.text, self.mark())
    }

    /// Returns the date as it stands among others in a set.
    pub(super) fn member(&self) -> String {
        self.marked().trim_matches(['[', ']']).to_owned()
    }

    const fn mark(&self) -> &'static str {
        match (self.uncertain, self.approximate) {
            (true, true) => "%",
            (true, false) => "?",
            (false, true) => "~",
            (false, false) => "",
        }
    }
}

const YEAR_WANTED: &str = "a year of four digits is wanted here";

impl Reader {
    /// Reads one date with the words of doubt before and behind it.
    pub(super) fn core(&mut self) -> Read<Core> {
        let (mut approximate, mut uncertain) = (false, false);
        loop {
            if self.take_any(&[
                &["c", "."],
                &["c"],
                &["ca", "."],
                &["ca"],
                &["circa"],
                &["about"],
                &["abt", "."],
                &["abt"],
                &["around"],
                &["approximately"],
                &["approx", "."],
                &["approx"],
                &["roughly"],
                &["~"],
            ]) {
                approximate = true;
            } else if self.take_any(&[
                &["probably"],
                &["perhaps"],
                &["possibly"],
                &["maybe"],
                &["est", "."],
                &["est"],
                &["?"],
            ]) {
                uncertain = true;
            } else if !self.take_any(&[&["the"], &["year"]]) {
                break;
            }
        }
        let start = self.at;
        let text = self.simple()?;
        let as_typed = self.typed_since(start);
        loop {
            if self.take_any(&[
                &["(", "?", ")"],
                &["?"],
                &["uncertain"],
                &[",", "uncertain"],
            ]) {
                uncertain = true;
            } else if self.take(&["~"]) {
                approximate = true;
            } else {
                break;
            }
        }
        self.finish(start, text, as_typed, (approximate, uncertain))
    }

    fn finish(
        &self,
        start: usize,
        text: String,
        as_typed: String,
        (approximate, uncertain): (bool, bool),
    ) -> Read<Core> {
        let date = Edtf::parse(&text).map_err(|fault| self.fault_at(start, fault.why, true))?;
        let (earliest, latest) = date.bounds();
        let is_set = text.starts_with('[');
        if is_set && uncertain {
            return Err(self.fault_at(
                start,
                "a doubt about a part of a decade or century cannot be written; write it in the reasons",
                true,
            ));
        }
        Ok(Core {
            unit: date.precision(),
            text,
            as_typed,
            approximate,
            uncertain,
            earliest,
            latest,
            is_set,
        })
    }

    fn typed_since(&self, start: usize) -> String {
        let mut text = String::new();
        let mut end = None;
        for token in self.tokens.get(start..self.at).unwrap_or_default() {
            if end.is_some_and(|end| end < token.start) {
                text.push(' ');
            }
            text.push_str(&token.text);
            end = Some(token.start.saturating_add(token.text.chars().count()));
        }
        text
    }

    fn simple(&mut self) -> Read<String> {
        let part = if self.take(&["early"]) {
            Part::Early
        } else if self.take_any(&[&["mid"], &["middle"]]) {
            Part::Mid
        } else if self.take(&["late"]) {
            Part::Late
        } else {
            return self.plain_date();
        };
        self.take_any(&[&["-"], &["of", "the"], &["of"]]);
        self.take(&["the"]);
        let start = self.at;
        let number = self.number()?;
        match self.decade_or_century(&number, start, part)? {
            Some(text) => Ok(text),
            None => Err(self.fault_at(
                start,
                "“early”, “mid” and “late” go with a decade (1890s) or a century (19th century)",
                true,
            )),
        }
    }

    fn plain_date(&mut self) -> Read<String> {
        if let Some(season) = self.season() {
            self.take_any(&[&["of"], &["in"], &[","]]);
            return Ok(format!("{}-{season}", self.year()?));
        }
        if let Some(month) = self.month() {
            return self.after_month(month);
        }
        let start = self.at;
        let number = self.number()?;
        if let Some(text) = self.decade_or_century(&number, start, Part::Whole)? {
            return Ok(text);
        }
        match number.len() {
            4 => self.after_year(number),
            1 | 2 => self.after_day(&number, start),
            _ => Err(self.fault_at(start, YEAR_WANTED, false)),
        }
    }

    /// Reads what follows the name of a month: a year, or a day and a year.
    fn after_month(&mut self, month: u8) -> Read<String> {
        self.take_any(&[&["."], &[","], &["of"]]);
        let start = self.at;
        let number = self.number()?;
        if number.len() == 4 {
            return Ok(format!("{number}-{month:02}"));
        }
        let day = self.day_of_month(&number, start)?;
        self.take_any(&[&["st"], &["nd"], &["rd"], &["th"]]);
        self.take(&[","]);
        Ok(format!("{}-{month:02}-{day:02}", self.year()?))
    }

    /// Reads what follows a day: a month and a year, in words or in numbers.
    fn after_day(&mut self, number: &str, start: usize) -> Read<String> {
        let day = self.day_of_month(number, start)?;
        self.take_any(&[&["st"], &["nd"], &["rd"], &["th"]]);
        self.take(&["of"]);
        if let Some(month) = self.month() {
            self.take_any(&[&["."], &[","]]);
            return Ok(format!("{}-{month:02}-{day:02}", self.year()?));
        }
        let separator = self.peek().map(|token| token.text.clone());
        match separator.as_deref() {
            Some(sign @ ("/" | "." | "-")) => self.all_in_numbers(day, sign, start),
            _ => Err(self.fault("the name of a month is wanted here")),
        }
    }

    /// Reads "23/5/1893". Which of two small numbers is the month differs between countries: it is asked back.
    fn all_in_numbers(&mut self, first: u8, sign: &str, start: usize) -> Read<String> {
        self.take(&[sign]);
        let second_at = self.at;
        let number = self.number()?;
        let second = self.day_of_month(&number, second_at)?;
        if !self.take(&[sign]) {
            return Err(self.fault(YEAR_WANTED));
        }
        let year = self.year()?;
        let (day, month) = match (first, second) {
            (day, month) if day == month => (day, month),
            (day @ 13.., month @ ..=12) | (month @ ..=12, day @ 13..) => (day, month),
            (one, other) => {
                let name = |number: u8| {
                    super::MONTHS
                        .get(usize::from(number).saturating_sub(1))
                        .copied()
                        .unwrap_or("month")
                };
                return Err(self.fault_at(
                    start,
                    format!(
                        "it is not sure which number is the month: write “{one} {} {year}” or “{other} {} {year}”",
                        name(other),
                        name(one)
                    ),
                    true,
                ));
            }
        };
        Ok(format!("{year}-{month:02}-{day:02}"))
    }

    /// Reads what follows a year: "-05" or "-05-03", or nothing.
    fn after_year(&mut self, year: String) -> Read<String> {
        let mut text = year;
        for _ in 0..2 {
            let next = self.tokens.get(self.at.saturating_add(1));
            let continues = self.peek().is_some_and(|token| token.text == "-")
                && next.is_some_and(|next| {
                    next.is_number() && next.text.len() == 2 && *next.text <= *"12"
                        || text.len() == 7
                });
            if !continues {
                break;
            }
            self.take(&["-"]);
            text = format!("{text}-{}", self.number()?);
        }
        Ok(text)
    }

    /// Reads "1890s", "189-" or "19th century", if the number is followed by such words.
    fn decade_or_century(
        &mut self,
        number: &str,
        start: usize,
        part: Part,
    ) -> Read<Option<String>> {
        if number.len() == 4 && self.take_any(&[&["s"], &["'", "s"], &["ies"]]) {
            if number.ends_with("00") {
                let (decade, century) =
                    (number.get(..3).unwrap_or(""), number.get(..2).unwrap_or(""));
                return Err(self.fault_at(
                    start,
                    format!("this can mean ten years or a hundred: write {decade}X for {number} to {decade}9, or {century}XX for {number} to {century}99"),
                    true,
                ));
            }
            let Some(tens) = number.strip_suffix('0') else {
                return Err(self.fault_at(start, "a decade ends with 0, for example 1890s", true));
            };
            return Ok(Some(of_decade(tens, part)));
        }
        if number.len() == 3 && self.take(&["-"]) {
            return Ok(Some(of_decade(number, part)));
        }
        let ordinal = number.len() <= 2
            && self.take_any(&[
                &["st", "century"],
                &["nd", "century"],
                &["rd", "century"],
                &["th", "century"],
                &["th", "cent", "."],
                &["th", "c", "."],
            ]);
        if ordinal {
            let century = number.parse::<i64>().unwrap_or(0).saturating_sub(1);
            if century < 0 {
                return Err(self.fault_at(start, "there is no such century", true));
            }
            return Ok(Some(of_century(century, part)));
        }
        Ok(None)
    }

    fn number(&mut self) -> Read<String> {
        match self.peek() {
            Some(token) if token.is_number() => {
                let text = token.text.clone();
                self.advance();
                Ok(text)
            }
            _ => Err(self.fault("this cannot be read as a date")),
        }
    }

    fn year(&mut self) -> Read<String> {
        let start = self.at;
        match self.number() {
            Ok(year) if year.len() == 4 => Ok(year),
            _ => Err(self.fault_at(start, YEAR_WANTED, false)),
        }
    }

    fn day_of_month(&self, number: &str, start: usize) -> Result<u8, PlainFault> {
        match number.parse::<u8>() {
            Ok(day @ 1..=31) => Ok(day),
            _ => Err(self.fault_at(start, "there is no such day or month", true)),
        }
    }

    fn month(&mut self) -> Option<u8> {
        let month = month_number(&self.peek()?.text)?;
        self.advance();
        self.take(&["."]);
        Some(month)
    }

    fn season(&mut self) -> Option<u8> {
        // [EDTF level 1 seasons]
        let number = match self.peek()?.text.as_str() {
            "spring" => 21,
            "summer" => 22,
            "autumn" | "fall" => 23,
            "winter" => 24,
            _ => return None,
        };
        self.advance();
        Some(number)
    }
}
