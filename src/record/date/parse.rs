//! Reads EDTF, one character after another, and says where it cannot go on.

use super::DateFault;
use super::bounds;
use super::reader::Reader;
use super::syntax::Component;
use super::syntax::Date;
use super::syntax::Endpoint;
use super::syntax::Expression;
use super::syntax::Gathering;
use super::syntax::Mark;
use super::syntax::Member;
use super::syntax::Moment;
use super::syntax::Pattern;
use super::syntax::Year;
use super::syntax::Zone;

/// Reads a whole expression.
pub(super) fn expression(text: &str) -> Result<Expression, DateFault> {
    let mut reader = Reader {
        characters: text.chars().collect(),
        at: 0,
    };
    let read = match reader.peek() {
        None => return Err(reader.fault("there is no date")),
        Some('[') => reader.set(Gathering::OneOf, ']')?,
        Some('{') => reader.set(Gathering::AllOf, '}')?,
        Some(_) if reader.characters.contains(&'/') => reader.interval()?,
        Some(_) => reader.date_or_moment()?,
    };
    match reader.peek() {
        None => Ok(read),
        Some(next) => Err(reader.fault(unexpected(next))),
    }
}

impl Reader {
    fn mark(&mut self) -> Result<Option<Mark>, DateFault> {
        let mark = match self.peek() {
            Some('?') => Mark::Uncertain,
            Some('~') => Mark::Approximate,
            Some('%') => Mark::Both,
            _ => return Ok(None),
        };
        self.advance();
        match self.peek() {
            Some('?' | '~' | '%') => Err(self.fault(
                "only one mark of doubt can stand here; write % for both uncertain and approximate",
            )),
            _ => Ok(Some(mark)),
        }
    }

    fn set(&mut self, gathering: Gathering, close: char) -> Result<Expression, DateFault> {
        self.advance();
        let mut members = vec![self.member()?];
        while self.take(',') {
            members.push(self.member()?);
        }
        self.expect(
            close,
            &format!("a comma without blanks or the closing {close} is wanted here"),
        )?;
        Ok(Expression::Set(gathering, members))
    }

    /// Reads one member of a set. [EDTF level 2 set representation]
    fn member(&mut self) -> Result<Member, DateFault> {
        if self.take_dots() {
            return Ok(Member::UpTo(self.date()?));
        }
        let first = self.date()?;
        if !self.take_dots() {
            return Ok(Member::One(first));
        }
        if matches!(self.peek(), None | Some(',' | ']' | '}')) {
            return Ok(Member::From(first));
        }
        let start = self.at;
        let last = self.date()?;
        if first.month.is_some() != last.month.is_some()
            || first.day.is_some() != last.day.is_some()
        {
            return Err(Self::fault_at(
                start,
                "both dates around .. must be years, or both months, or both days",
            ));
        }
        in_order(&first, &last, start)?;
        Ok(Member::Through(first, last))
    }

    /// Reads an interval. [EDTF level 0 time interval, level 1 extended interval, level 2 interval]
    fn interval(&mut self) -> Result<Expression, DateFault> {
        let start = self.endpoint()?;
        if self.peek() == Some('T') {
            return Err(self.fault("a time of day cannot stand in an interval"));
        }
        self.expect(
            '/',
            "an interval has two dates with / between, and nothing else",
        )?;
        let second = self.at;
        let end = self.endpoint()?;
        match (&start, &end) {
            (Endpoint::Date(first), Endpoint::Date(last)) => in_order(first, last, second)?,
            (Endpoint::Date(_), _) | (_, Endpoint::Date(_)) => {}
            _ => return Err(Self::fault_at(0, "an interval needs a date on one side")),
        }
        match self.peek() {
            Some('T') => Err(self.fault("a time of day cannot stand in an interval")),
            Some('/') => Err(self.fault("an interval has only two dates")),
            _ => Ok(Expression::Interval(start, end)),
        }
    }

    fn endpoint(&mut self) -> Result<Endpoint, DateFault> {
        if self.take_dots() {
            return Ok(Endpoint::Open);
        }
        match self.peek() {
            None | Some('/') => Ok(Endpoint::Unknown),
            Some(_) => Ok(Endpoint::Date(self.date()?)),
        }
    }

    fn date_or_moment(&mut self) -> Result<Expression, DateFault> {
        let date = self.date()?;
        if self.peek() != Some('T') {
            return Ok(Expression::Date(date));
        }
        if date.day.is_none() || !date.is_plain() {
            return Err(
                self.fault("a time of day can only follow a full day without marks of doubt")
            );
        }
        self.advance();
        let (time, zone) = self.time()?;
        Ok(Expression::Moment(Moment { date, time, zone }))
    }

    /// Reads a time of day and its shift. [EDTF level 0 date and time]
    fn time(&mut self) -> Result<((u8, u8, u8), Zone), DateFault> {
        const CLOCK: &str = "a time of day is written 23:20:30";
        let hour = self.below(24, CLOCK)?;
        self.expect(':', CLOCK)?;
        let minute = self.below(60, CLOCK)?;
        self.expect(':', CLOCK)?;
        let second = self.below(60, CLOCK)?;
        Ok(((hour, minute, second), self.zone()?))
    }

    fn zone(&mut self) -> Result<Zone, DateFault> {
        const SHIFT: &str = "the shift from Universal Time is written Z, +04 or -04:30";
        if self.take('Z') {
            return Ok(Zone::Universal);
        }
        let behind = match self.peek() {
            None => return Ok(Zone::Local),
            Some('+') => false,
            Some('-') => true,
            Some(_) => return Err(self.fault(SHIFT)),
        };
        self.advance();
        let hours = self.below(24, SHIFT)?;
        let minutes = if self.take(':') {
            Some(self.below(60, SHIFT)?)
        } else {
            None
        };
        Ok(Zone::Shift {
            behind,
            hours,
            minutes,
        })
    }

    /// Reads a date with its marks of doubt.
    fn date(&mut self) -> Result<Date, DateFault> {
        let before = self.mark()?;
        let value = self.year()?;
        let long = matches!(value, Year::Long { .. });
        let rounded = match value {
            Year::Four { significant, .. } => significant.is_some(),
            Year::Long { .. } => long,
        };
        let mut date = Date {
            year: Component {
                before,
                value,
                after: self.mark()?,
            },
            month: None,
            day: None,
        };
        if self.peek() != Some('-') {
            return match self.peek() {
                Some(next) if next.is_ascii_digit() => {
                    Err(self.fault("a year has four digits; put - between year, month and day"))
                }
                _ => Ok(date),
            };
        }
        if rounded {
            return Err(self.fault("a year of this kind cannot be followed by a month"));
        }
        self.advance();
        date.month = Some(self.month()?);
        if self.peek() == Some('-') {
            if date.season().is_some() {
                return Err(self.fault("a season or quarter cannot be followed by a day"));
            }
            self.advance();
            let start = self.at;
            date.day = Some(self.day()?);
            if bounds::of_date(&date).is_none() {
                return Err(Self::fault_at(start, "this month does not have that day"));
            }
        }
        Ok(date)
    }

    /// Reads a year. [EDTF level 0 date; level 1 letter-prefixed and negative year; level 2 exponential year, significant digits]
    fn year(&mut self) -> Result<Year, DateFault> {
        let start = self.at;
        if self.take('Y') {
            return self.long_year();
        }
        let negative = self.take('-');
        let digits = self.pattern(4, "a year has four digits (X where a digit is not known)")?;
        if negative && digits.number() == Some(0) {
            return Err(Self::fault_at(
                start,
                "there is no year -0000; the year before 0001 is 0000",
            ));
        }
        let significant = self.significant(4, digits.number().is_some())?;
        Ok(Year::Four {
            negative,
            digits,
            significant,
        })
    }

    fn long_year(&mut self) -> Result<Year, DateFault> {
        let negative = self.take('-');
        let start = self.at;
        let mut digits = String::new();
        while let Some(digit) = self.digit() {
            digits.push(char::from(b'0'.saturating_add(digit)));
        }
        let exponent = if self.take('E') {
            Some(self.count()?)
        } else {
            None
        };
        let length = exponent.map_or(Some(digits.len()), |zeros| {
            usize::try_from(zeros)
                .ok()
                .and_then(|zeros| digits.len().checked_add(zeros))
        });
        if digits.is_empty() || digits.starts_with('0') || length.is_none_or(|length| length < 5) {
            return Err(Self::fault_at(
                start,
                "Y is only for years of more than four digits; write other years without it",
            ));
        }
        let significant = self.significant(length.unwrap_or(usize::MAX), true)?;
        Ok(Year::Long {
            negative,
            digits,
            exponent,
            significant,
        })
    }

    fn significant(&mut self, most: usize, allowed: bool) -> Result<Option<u32>, DateFault> {
        if self.peek() != Some('S') {
            return Ok(None);
        }
        if !allowed {
            return Err(self.fault("S cannot stand with X"));
        }
        self.advance();
        let start = self.at;
        let count = self.count()?;
        if usize::try_from(count).is_ok_and(|count| count <= most) {
            Ok(Some(count))
        } else {
            Err(Self::fault_at(
                start,
                "the year does not have so many digits",
            ))
        }
    }

    /// Reads a month, season, quarter or other part of a year. [EDTF level 1 seasons; level 2 sub-year groupings]
    fn month(&mut self) -> Result<Component<Pattern>, DateFault> {
        let before = self.mark()?;
        let start = self.at;
        let value = self.pattern(2, "a month has two digits, 01 to 12")?;
        let known = match value.number() {
            Some(number) => matches!(number, 1..=12 | 21..=41),
            None => (1..=12).any(|month| value.fits(month)),
        };
        if !known {
            return Err(Self::fault_at(
                start,
                "there is no such month (01 to 12; 21 to 24 for spring, summer, autumn, winter)",
            ));
        }
        Ok(Component {
            before,
            value,
            after: self.mark()?,
        })
    }

    fn day(&mut self) -> Result<Component<Pattern>, DateFault> {
        let before = self.mark()?;
        let start = self.at;
        let value = self.pattern(2, "a day has two digits, 01 to 31")?;
        if !(1..=31).any(|day| value.fits(day)) {
            return Err(Self::fault_at(start, "there is no such day (01 to 31)"));
        }
        Ok(Component {
            before,
            value,
            after: self.mark()?,
        })
    }
}

/// Refuses a second date that is before the first.
fn in_order(first: &Date, last: &Date, at: usize) -> Result<(), DateFault> {
    let seasons = first.season().zip(last.season());
    let reversed = match (bounds::of_date(first), bounds::of_date(last)) {
        (Some((first, _)), Some((_, last))) => {
            first > last
                || first.year() == last.year() && seasons.is_some_and(|(one, other)| one > other)
        }
        _ => false,
    };
    if reversed {
        Err(Reader::fault_at(at, "the second date is before the first"))
    } else {
        Ok(())
    }
}

fn unexpected(next: char) -> String {
    if next.is_whitespace() {
        "a blank cannot stand here".to_owned()
    } else {
        format!("“{next}” cannot stand here")
    }
}
