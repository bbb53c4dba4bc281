//! One cell of the catalogue as a value of the record, and back.

use crate::record::Answer;
use crate::record::BelongsWith;
use crate::record::DateFault;
use crate::record::Medium;
use crate::record::PortraitNumber;
use crate::record::Vocabulary;

/// What stands between several values in one cell.
pub const BETWEEN_VALUES: &str = " ; ";

/// Why a cell cannot be taken over. What can be read of it has been taken over all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum CellFault {
    /// These values are not among the words of the column.
    NotAWord {
        /// The values.
        values: Vec<String>,
        /// The words of the column.
        words: &'static [&'static str],
    },
    /// This is not a date.
    NotADate(DateFault),
    /// This is not a whole number.
    NotANumber,
    /// This is a name where a person's number or words such as "unknown man" should stand.
    NameForNumber,
}

/// A field of the record that stands in one cell.
pub(super) trait CellValue {
    /// The words of the column, when it has a closed list.
    const WORDS: Option<&'static [&'static str]>;
    /// What the column holds.
    const HOLDS: Holds;

    /// Takes over the text of a cell.
    fn read_cell(&mut self, text: &str) -> Result<(), CellFault>;

    /// Takes over a text that nobody else needs: a field of text moves it instead of copying. On a fault the text is left as it was.
    #[allow(
        clippy::ptr_arg,
        reason = "the text is taken away by those that need it"
    )]
    fn take_cell(&mut self, text: &mut String) -> Result<(), CellFault> {
        self.read_cell(text)
    }

    /// Returns the text of a cell that reads back as this value.
    fn write_cell(&self) -> String;
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Free text.
    Text,
    /// Several texts.
    Texts,
    /// A word of a closed list.
    Word,
    /// Several words of a closed list.
    Words,
    /// A date in words or EDTF.
    Date,
    /// A number or name that identifies something.
    Reference,
    /// Several of them.
    References,
    /// A whole number.
    WholeNumber,
}

/// A value that can stand alone in a cell or beside others of its kind.
pub(super) trait OneValue: Sized {
    const WORDS: Option<&'static [&'static str]>;
    const HOLDS: Holds;
    const HOLDS_SEVERAL: Holds;

    fn from_text(text: &str) -> Result<Self, CellFault>;

    /// Takes a text that nobody else needs; on a fault it is left as it was.
    #[allow(
        clippy::ptr_arg,
        reason = "the text is taken away by those that need it"
    )]
    fn take_text(text: &mut String) -> Result<Self, CellFault> {
        Self::from_text(text)
    }

    fn to_text(&self) -> String;
}

impl OneValue for String {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::Text;
    const HOLDS_SEVERAL: Holds = Holds::Texts;

    fn from_text(text: &str) -> Result<Self, CellFault> {
        Ok(text.to_owned())
    }

    fn take_text(text: &mut String) -> Result<Self, CellFault> {
        Ok(std::mem::take(text))
    }

    fn to_text(&self) -> String {
        self.clone()
    }
}

/// A word of a closed vocabulary. A wrapper, because two blanket implementations would overlap.
macro_rules! one_word {
    ($($name:ident)+) => {
        $(impl OneValue for crate::record::$name {
            const WORDS: Option<&'static [&'static str]> = Some(Self::WORDS);
            const HOLDS: Holds = Holds::Word;
            const HOLDS_SEVERAL: Holds = Holds::Words;

            fn from_text(text: &str) -> Result<Self, CellFault> {
                read_word(text)
            }

            fn to_text(&self) -> String {
                self.word().to_owned()
            }
        })+
    };
}

one_word! {
    Acquisition Certainty ClueKind CopyKind DateTarget Frame Glass GlassContact Hardness IfNotWanted Living MakerRole Measured
    Medium Mould PortraitKind ReceiverKind SeenAs SensitiveSubject ShowTo Side Speaks Standing Unit View WhoKnew WrittenIn YesNo
}

fn read_word<V: Vocabulary>(text: &str) -> Result<V, CellFault> {
    V::from_word(text).ok_or_else(|| CellFault::NotAWord {
        values: vec![text.trim().to_owned()],
        words: V::WORDS,
    })
}

macro_rules! one_identifier {
    ($($name:ident)+) => {
        $(impl OneValue for crate::record::$name {
            const WORDS: Option<&'static [&'static str]> = None;
            const HOLDS: Holds = Holds::Reference;
            const HOLDS_SEVERAL: Holds = Holds::References;

            fn from_text(text: &str) -> Result<Self, CellFault> {
                Ok(Self::new(text))
            }

            fn take_text(text: &mut String) -> Result<Self, CellFault> {
                Ok(Self::from(std::mem::take(text)))
            }

            fn to_text(&self) -> String {
                self.as_str().to_owned()
            }
        }

        impl CellValue for crate::record::$name {
            const WORDS: Option<&'static [&'static str]> = None;
            const HOLDS: Holds = Holds::Reference;

            fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
                *self = Self::new(text);
                Ok(())
            }

            fn take_cell(&mut self, text: &mut String) -> Result<(), CellFault> {
                *self = Self::from(std::mem::take(text));
                Ok(())
            }

            fn write_cell(&self) -> String {
                self.as_str().to_owned()
            }
        })+
    };
}

one_identifier! { ClueNumber LotNumber PersonNumber PortraitNumber ReceiverNumber }

impl<T: OneValue> CellValue for Answer<T> {
    const WORDS: Option<&'static [&'static str]> = T::WORDS;
    const HOLDS: Holds = T::HOLDS;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        *self = match nothing(text) {
            Some(answer) => answer,
            None => Self::Given(T::from_text(text)?),
        };
        Ok(())
    }

    fn take_cell(&mut self, text: &mut String) -> Result<(), CellFault> {
        *self = match nothing(text) {
            Some(answer) => answer,
            None => Self::Given(T::take_text(text)?),
        };
        Ok(())
    }

    fn write_cell(&self) -> String {
        written(self, T::to_text)
    }
}

/// Reads the three kinds of nothing.
fn nothing<T>(text: &str) -> Option<Answer<T>> {
    let plain = text.trim();
    if plain.is_empty() {
        Some(Answer::Blank)
    } else if plain.eq_ignore_ascii_case("nk") {
        Some(Answer::NotKnown)
    } else if plain.eq_ignore_ascii_case("na") {
        Some(Answer::DoesNotApply)
    } else {
        None
    }
}

fn written<T>(answer: &Answer<T>, to_text: impl Fn(&T) -> String) -> String {
    match answer {
        Answer::Blank => String::new(),
        Answer::NotKnown => "nk".to_owned(),
        Answer::DoesNotApply => "na".to_owned(),
        Answer::Given(value) => to_text(value),
    }
}

impl<T: OneValue> CellValue for Vec<T> {
    const WORDS: Option<&'static [&'static str]> = T::WORDS;
    const HOLDS: Holds = T::HOLDS_SEVERAL;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        let (values, fault) = several(text);
        *self = values;
        fault.map_or(Ok(()), Err)
    }

    fn write_cell(&self) -> String {
        joined(self)
    }
}

/// Reads several values. Those that can be read are kept even where others cannot.
fn several<T: OneValue>(text: &str) -> (Vec<T>, Option<CellFault>) {
    let mut values = Vec::new();
    let mut fault: Option<CellFault> = None;
    for part in parts(text, T::HOLDS_SEVERAL != Holds::Texts) {
        match (T::from_text(part), &mut fault) {
            (Ok(value), _) => values.push(value),
            (
                Err(CellFault::NotAWord { values: more, .. }),
                Some(CellFault::NotAWord { values, .. }),
            ) => values.extend(more),
            (Err(_), Some(_)) => {}
            (Err(first), None) => fault = Some(first),
        }
    }
    (values, fault)
}

fn joined<T: OneValue>(values: &[T]) -> String {
    values
        .iter()
        .map(T::to_text)
        .collect::<Vec<String>>()
        .join(BETWEEN_VALUES)
}

/// Splits a cell at `;`: in lists of words and numbers at every one, in prose only where a blank stands on both sides.
fn parts(text: &str, at_every_one: bool) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = text;
    let mut searched = 0;
    while let Some(position) = rest.get(searched..).and_then(|tail| tail.find(';')) {
        let at = searched.saturating_add(position);
        let (before, after) = (rest.get(..at), rest.get(at.saturating_add(1)..));
        let (Some(before), Some(after)) = (before, after) else {
            break;
        };
        if at_every_one || (ends_blank(before) && starts_blank(after)) {
            found.push(before);
            rest = after;
            searched = 0;
        } else {
            searched = at.saturating_add(1);
        }
    }
    found.push(rest);
    found
        .into_iter()
        .map(str::trim)
        .filter(|part| !part.is_empty())
        .collect()
}

fn ends_blank(text: &str) -> bool {
    text.chars().next_back().is_none_or(char::is_whitespace)
}

fn starts_blank(text: &str) -> bool {
    text.chars().next().is_none_or(char::is_whitespace)
}

impl CellValue for Answer<Vec<Medium>> {
    const WORDS: Option<&'static [&'static str]> = Some(Medium::WORDS);
    const HOLDS: Holds = Holds::Words;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        if let Some(answer) = nothing(text) {
            *self = answer;
            return Ok(());
        }
        let (values, fault) = several(text);
        *self = if values.is_empty() {
            Self::Blank
        } else {
            Self::Given(values)
        };
        fault.map_or(Ok(()), Err)
    }

    fn write_cell(&self) -> String {
        written(self, |values| joined(values))
    }
}

/// A tie is written `A-002 (why)`; `A-002: why` is read too.
impl OneValue for BelongsWith {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::References;
    const HOLDS_SEVERAL: Holds = Holds::Texts;

    fn from_text(text: &str) -> Result<Self, CellFault> {
        let text = text.trim();
        let in_brackets = text
            .strip_suffix(')')
            .and_then(|inner| inner.split_once('('))
            .filter(|(number, _)| !number.trim().is_empty());
        let (number, reason) = in_brackets
            .or_else(|| text.split_once(':'))
            .unwrap_or((text, ""));
        Ok(Self {
            portrait: PortraitNumber::new(number),
            reason: reason.trim().to_owned(),
        })
    }

    fn to_text(&self) -> String {
        if self.reason.is_empty() {
            self.portrait.to_string()
        } else {
            format!("{} ({})", self.portrait, self.reason)
        }
    }
}

impl CellValue for String {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::Text;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        text.clone_into(self);
        Ok(())
    }

    fn take_cell(&mut self, text: &mut String) -> Result<(), CellFault> {
        *self = std::mem::take(text);
        Ok(())
    }

    fn write_cell(&self) -> String {
        self.clone()
    }
}

impl CellValue for Option<String> {
    const WORDS: Option<&'static [&'static str]> = None;
    const HOLDS: Holds = Holds::Text;

    fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
        *self = (!text.trim().is_empty()).then(|| text.to_owned());
        Ok(())
    }

    fn take_cell(&mut self, text: &mut String) -> Result<(), CellFault> {
        *self = (!text.trim().is_empty()).then(|| std::mem::take(text));
        Ok(())
    }

    fn write_cell(&self) -> String {
        self.clone().unwrap_or_default()
    }
}

macro_rules! whole_number {
    ($($kind:ty)+) => {
        $(impl CellValue for Option<$kind> {
            const WORDS: Option<&'static [&'static str]> = None;
            const HOLDS: Holds = Holds::WholeNumber;

            fn read_cell(&mut self, text: &str) -> Result<(), CellFault> {
                let plain = text.trim();
                *self = if plain.is_empty() {
                    None
                } else {
                    Some(plain.parse().map_err(|_| CellFault::NotANumber)?)
                };
                Ok(())
            }

            fn write_cell(&self) -> String {
                self.map(|number| number.to_string()).unwrap_or_default()
            }
        })+
    };
}

whole_number! { u32 u64 }
