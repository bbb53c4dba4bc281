//! The words, numbers and signs of a date in plain words.

/// One word, number or sign, in small letters, with the character where it begins (counted from 0).
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) text: String,
    pub(super) start: usize,
}

impl Token {
    /// Tells whether this is a number.
    pub(super) fn is_number(&self) -> bool {
        self.text.starts_with(|first: char| first.is_ascii_digit())
    }
}

#[derive(PartialEq, Eq)]
enum Kind {
    Digit,
    Letter,
    Other,
}

/// Splits a text where letters, digits and signs meet; blanks are left out, every sign stands alone.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let mut found: Vec<Token> = Vec::new();
    let mut previous: Option<Kind> = None;
    for (start, character) in text.chars().enumerate() {
        if character.is_whitespace() {
            previous = None;
            continue;
        }
        let kind = if character.is_ascii_digit() {
            Kind::Digit
        } else if character.is_alphabetic() {
            Kind::Letter
        } else {
            Kind::Other
        };
        let plain = match character {
            // Typesetters' dashes and quotes.
            '–' | '—' | '‐' | '‑' | '−' => "-".to_owned(),
            '’' => "'".to_owned(),
            _ => character.to_lowercase().collect(),
        };
        match found.last_mut() {
            Some(last) if kind != Kind::Other && previous.as_ref() == Some(&kind) => {
                last.text.push_str(&plain);
            }
            _ => found.push(Token { text: plain, start }),
        }
        previous = Some(kind);
    }
    found
}
