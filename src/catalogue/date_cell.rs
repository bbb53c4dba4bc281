//! A date in a cell.

use super::cell::CellFault;
use super::cell::Holds;
use super::cell::OneValue;
use crate::record::DateEntry;
use crate::record::Edtf;
use std::cell::RefCell;
use std::collections::HashMap;

/// How many different dates a thread keeps in mind.
const MOST_KNOWN: usize = 4_096;

thread_local! {
    /// Dates by their text: the same day stands in thousands of rows, and reading it is far dearer than finding it again.
    static READ_BEFORE: RefCell<HashMap<String, Edtf>> = RefCell::default();
}

fn read_date(text: &str) -> Result<Edtf, CellFault> {
    READ_BEFORE.with_borrow_mut(|known| {
        if let Some(date) = known.get(text) {
            return Ok(date.clone());
        }
        let date = DateEntry::read(text).map_err(CellFault::NotADate)?.edtf;
        if known.len() < MOST_KNOWN {
            known.insert(text.to_owned(), date.clone());
        }
        Ok(date)
    })
}

impl OneValue for DateEntry {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::Date;
    const HOLDS_SEVERAL: Holds = Holds::Date;

    fn from_text(text: &str) -> Result<Self, CellFault> {
        Self::take_text(&mut text.to_owned())
    }

    fn take_text(text: &mut String) -> Result<Self, CellFault> {
        Ok(Self {
            edtf: read_date(text)?,
            typed: std::mem::take(text),
        })
    }

    fn to_text(&self) -> String {
        self.typed.clone()
    }
}
