//! Takes a text apart, one character after another.

use super::DateFault;
use super::syntax::Pattern;

/// The characters of a text, and how far they are read.
pub(super) struct Reader {
    pub(super) characters: Vec<char>,
    pub(super) at: usize,
}

impl Reader {
    pub(super) fn peek(&self) -> Option<char> {
        self.characters.get(self.at).copied()
    }

    pub(super) fn advance(&mut self) {
        self.at = self.at.saturating_add(1);
    }

    pub(super) fn take(&mut self, wanted: char) -> bool {
        let there = self.peek() == Some(wanted);
        if there {
            self.advance();
        }
        there
    }

    pub(super) fn take_dots(&mut self) -> bool {
        let second = self.characters.get(self.at.saturating_add(1));
        let there = self.peek() == Some('.') && second == Some(&'.');
        if there {
            self.advance();
            self.advance();
        }
        there
    }

    pub(super) fn expect(&mut self, wanted: char, why: &str) -> Result<(), DateFault> {
        if self.take(wanted) {
            Ok(())
        } else {
            Err(self.fault(why))
        }
    }

    /// Returns a fault at the next character.
    pub(super) fn fault(&self, why: impl Into<String>) -> DateFault {
        Self::fault_at(self.at, why)
    }

    pub(super) fn fault_at(at: usize, why: impl Into<String>) -> DateFault {
        DateFault {
            why: why.into(),
            position: at.saturating_add(1),
        }
    }

    pub(super) fn digit(&mut self) -> Option<u8> {
        let digit = self
            .peek()
            .and_then(|next| next.to_digit(10))
            .and_then(|digit| u8::try_from(digit).ok());
        if digit.is_some() {
            self.advance();
        }
        digit
    }

    pub(super) fn two_digits(&mut self, why: &str) -> Result<u8, DateFault> {
        let start = self.at;
        let (Some(tens), Some(ones)) = (self.digit(), self.digit()) else {
            return Err(self.fault(why));
        };
        tens.checked_mul(10)
            .and_then(|tens| tens.checked_add(ones))
            .ok_or_else(|| Self::fault_at(start, why))
    }

    /// Reads digits of which some may be "X".
    pub(super) fn pattern(&mut self, length: usize, why: &str) -> Result<Pattern, DateFault> {
        let mut digits = Vec::with_capacity(length);
        for _ in 0..length {
            if self.take('X') {
                digits.push(None);
            } else {
                digits.push(Some(self.digit().ok_or_else(|| self.fault(why))?));
            }
        }
        Ok(Pattern(digits))
    }

    /// Reads a number without leading zero, for exponents and significant digits.
    pub(super) fn count(&mut self) -> Result<u32, DateFault> {
        let start = self.at;
        let mut text = String::new();
        while let Some(digit) = self.digit() {
            text.push(char::from(b'0'.saturating_add(digit)));
        }
        match text.parse::<u32>() {
            Ok(count) if count > 0 && !text.starts_with('0') => Ok(count),
            _ => Err(Self::fault_at(
                start,
                "a whole number of 1 or more is wanted here",
            )),
        }
    }

    pub(super) fn below(&mut self, limit: u8, why: &str) -> Result<u8, DateFault> {
        let start = self.at;
        let number = self.two_digits(why)?;
        if number < limit {
            Ok(number)
        } else {
            Err(Self::fault_at(start, why))
        }
    }
}
