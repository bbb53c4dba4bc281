//! The values of XMP: texts, arrays and structures. [ISO 16684-1 6.3]

use super::vocabulary::Name;
use crate::fixity::Algorithm;
use crate::fixity::Digest;

/// A property: a name and its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Property {
    /// The name.
    pub(super) name: Name,
    /// The value.
    pub(super) value: Value,
}

/// A value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Value {
    /// Text, dates, numbers and addresses.
    Text(String),
    /// Several values.
    Array(ArrayKind, Vec<Item>),
    /// Named fields.
    Structure(Vec<Property>),
}

/// The three kinds of array. [ISO 16684-1 6.3.4]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ArrayKind {
    /// Without order.
    Bag,
    /// In order.
    Seq,
    /// Choices, the first being the default.
    Alt,
}

/// One item of an array.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Item {
    /// The language of a text, where it is given.
    pub(super) language: Option<String>,
    /// The value.
    pub(super) value: Value,
}

/// The language of the text that is shown when no other fits. [ISO 16684-1 8.2.2.4]
pub(super) const DEFAULT_LANGUAGE: &str = "x-default";

impl ArrayKind {
    /// Returns the name in RDF.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Bag => "Bag",
            Self::Seq => "Seq",
            Self::Alt => "Alt",
        }
    }

    /// Finds the kind by its name in RDF.
    pub(super) fn named(name: &str) -> Option<Self> {
        [Self::Bag, Self::Seq, Self::Alt]
            .into_iter()
            .find(|kind| kind.name() == name)
    }
}

impl Property {
    /// Returns a property of any value.
    pub(super) const fn new(name: Name, value: Value) -> Self {
        Self { name, value }
    }

    /// Returns a property of one text, or nothing where the text is blank.
    pub(super) fn text(name: Name, text: &str) -> Option<Self> {
        (!text.trim().is_empty()).then(|| Self::new(name, Value::text(text)))
    }

    /// Returns a property of one text in the default language, or nothing where the text is blank.
    pub(super) fn alternatives(name: Name, text: &str) -> Option<Self> {
        (!text.trim().is_empty()).then(|| Self::new(name, Value::alternatives(text)))
    }

    /// Returns a property of several texts, or nothing where none is left after leaving out blank and repeated ones.
    pub(super) fn texts<T: AsRef<str>>(
        name: Name,
        kind: ArrayKind,
        texts: impl IntoIterator<Item = T>,
    ) -> Option<Self> {
        let mut items: Vec<Item> = Vec::new();
        for text in texts {
            let item = Item::from(Value::text(text.as_ref()));
            if !text.as_ref().trim().is_empty() && !items.contains(&item) {
                items.push(item);
            }
        }
        Self::items(name, kind, items)
    }

    /// Returns a property of several values, or nothing where there is none.
    pub(super) fn values(
        name: Name,
        kind: ArrayKind,
        values: impl IntoIterator<Item = Value>,
    ) -> Option<Self> {
        Self::items(name, kind, values.into_iter().map(Item::from).collect())
    }

    fn items(name: Name, kind: ArrayKind, items: Vec<Item>) -> Option<Self> {
        (!items.is_empty()).then(|| Self::new(name, Value::Array(kind, items)))
    }
}

impl From<Value> for Item {
    fn from(value: Value) -> Self {
        Self {
            language: None,
            value,
        }
    }
}

impl Value {
    /// Returns a text. Characters that XML cannot hold, and U+007F, which readers turn into a blank,
    /// are replaced by U+FFFD; the record keeps them exactly, as JSON.
    pub(super) fn text(text: &str) -> Self {
        Self::Text(
            text.chars()
                .map(|one| {
                    if is_xml(one) && one != '\u{7F}' {
                        one
                    } else {
                        '\u{FFFD}'
                    }
                })
                .collect(),
        )
    }

    /// Returns a text in the default language.
    pub(super) fn alternatives(text: &str) -> Self {
        let item = Item {
            language: Some(DEFAULT_LANGUAGE.to_owned()),
            value: Self::text(text),
        };
        Self::Array(ArrayKind::Alt, vec![item])
    }

    /// Returns the text: of a plain text, of the default language, or of the first item.
    pub(super) fn shown(&self) -> Option<&str> {
        match self {
            Self::Text(text) => Some(text),
            Self::Array(_, items) => items
                .iter()
                .find(|item| item.language.as_deref() == Some(DEFAULT_LANGUAGE))
                .or_else(|| items.first())
                .and_then(|item| item.value.shown()),
            Self::Structure(_) => None,
        }
    }

    /// Returns all texts of an array, or the one text.
    pub(super) fn texts(&self) -> Vec<&str> {
        match self {
            Self::Array(_, items) => items.iter().filter_map(|item| item.value.shown()).collect(),
            _ => self.shown().into_iter().collect(),
        }
    }

    /// Returns the field of a structure.
    pub(super) fn field(&self, name: &Name) -> Option<&Self> {
        match self {
            Self::Structure(fields) => fields
                .iter()
                .find(|field| &field.name == name)
                .map(|field| &field.value),
            _ => None,
        }
    }

    /// Returns the value in few words, for messages.
    pub(super) fn in_short(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Array(..) => self.texts().join("; "),
            Self::Structure(fields) => {
                let words: Vec<String> =
                    fields.iter().map(|field| field.value.in_short()).collect();
                words.join(", ")
            }
        }
    }

    /// Returns every single text under this value with its path, spelled as ISO 16684-1 annexes and toolkits spell it:
    /// `dc:title[1]`, `dc:title[1]/?xml:lang`, `kb:candidates[2]/kb:name`.
    pub(super) fn leaves(&self, path: &str) -> Vec<(String, String)> {
        match self {
            Self::Text(text) => vec![(path.to_owned(), text.clone())],
            Self::Structure(fields) => fields
                .iter()
                .flat_map(|field| {
                    field
                        .value
                        .leaves(&format!("{path}/{}", field.name.qualified()))
                })
                .collect(),
            Self::Array(_, items) => {
                let mut leaves = Vec::new();
                for (index, item) in (1_usize..).zip(items) {
                    let place = format!("{path}[{index}]");
                    if let Some(language) = &item.language {
                        leaves.push((format!("{place}/?xml:lang"), language.clone()));
                    }
                    leaves.extend(item.value.leaves(&place));
                }
                leaves
            }
        }
    }
}

/// Returns the first 16 hexadecimal digits of the SHA-256 of a value: enough to know our own values again when
/// somebody has saved the file in between, and to notice when somebody has changed one.
pub(super) fn fingerprint(language: Option<&str>, value: &Value) -> String {
    let mut canonical = language.unwrap_or_default().to_lowercase();
    canonical.push('\n');
    write_canonical(value, &mut canonical);
    let digest = Digest::of(Algorithm::Sha256, canonical.as_bytes());
    digest.hex().chars().take(16).collect()
}

/// Every part is preceded by its length, so that no two values look the same; fields are sorted, because their order has
/// no meaning.
fn write_canonical(value: &Value, out: &mut String) {
    match value {
        Value::Text(text) => {
            out.push_str(&format!("text {} {text}", text.len()));
        }
        Value::Array(kind, items) => {
            out.push_str(&format!("{} {}", kind.name(), items.len()));
            for item in items {
                let language = item.language.as_deref().unwrap_or_default();
                out.push_str(&format!(" {} {language}", language.len()));
                write_canonical(&item.value, out);
            }
        }
        Value::Structure(fields) => {
            let mut sorted: Vec<&Property> = fields.iter().collect();
            sorted.sort_by(|one, other| one.name.cmp(&other.name));
            out.push_str(&format!("structure {}", sorted.len()));
            for field in sorted {
                let name = field.name.qualified();
                out.push_str(&format!(" {} {name}", name.len()));
                write_canonical(&field.value, out);
            }
        }
    }
}

/// Tells whether XML may hold a character. [XML 1.0 fifth edition, 2.2 Char]
pub(super) const fn is_xml(one: char) -> bool {
    matches!(one, '\t' | '\n' | '\r' | '\u{20}'..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'..='\u{10FFFF}')
}

#[cfg(test)]
mod tests {
    use super::super::vocabulary::DC;
    use super::super::vocabulary::IPTC;
    use super::*;

    #[test]
    fn the_default_language_is_shown_wherever_it_stands() {
        let item = |language: &str, text: &str| Item {
            language: Some(language.to_owned()),
            value: Value::text(text),
        };
        let value = Value::Array(
            ArrayKind::Alt,
            vec![item("de", "Mann"), item("x-default", "man")],
        );
        assert_eq!(value.shown(), Some("man"));
        let value = Value::Array(ArrayKind::Alt, vec![item("de", "Mann")]);
        assert_eq!(value.shown(), Some("Mann"));
    }

    #[test]
    fn blank_and_repeated_texts_are_left_out() {
        let property = Property::texts(DC.name("subject"), ArrayKind::Bag, ["a", " ", "b", "a"]);
        assert_eq!(property.unwrap().value.texts(), ["a", "b"]);
        assert!(Property::text(DC.name("source"), " \n").is_none());
    }

    #[test]
    fn fingerprints_ignore_the_order_of_fields_but_nothing_else() {
        let field = |local, text| Property::new(IPTC.name(local), Value::text(text));
        let one = Value::Structure(vec![field("AOTitle", "a"), field("AOSource", "b")]);
        let other = Value::Structure(vec![field("AOSource", "b"), field("AOTitle", "a")]);
        let third = Value::Structure(vec![field("AOSource", "a"), field("AOTitle", "b")]);
        assert_eq!(fingerprint(None, &one), fingerprint(None, &other));
        assert_ne!(fingerprint(None, &one), fingerprint(None, &third));
        assert_ne!(fingerprint(None, &one), fingerprint(Some("en"), &one));
    }

    #[test]
    fn characters_that_xml_forbids_are_replaced() {
        assert_eq!(
            Value::text("a\u{0}b\u{FFFE}c\u{7F}\t\r\n𠮷"),
            Value::Text("a\u{FFFD}b\u{FFFD}c\u{FFFD}\t\r\n𠮷".to_owned())
        );
    }
}
