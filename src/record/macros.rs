//! The three shapes that every type of the record has, written once.

/// Makes a closed vocabulary: an enum whose words are the same in sheets, in JSON and on screen.
macro_rules! vocabulary {
    ($(#[$about:meta])* $name:ident { $($(#[$note:meta])* $variant:ident = $word:literal $(| $also:literal)*),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name { $($(#[$note])* #[serde(rename = $word)] $variant),+ }

        impl $name {
            /// Every word, in the order in which a sheet offers them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// Every word as people read and write it, in the order in which a sheet offers them.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// Returns the word as people read and write it.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// Finds the entry that a person means; case and outer blanks do not count, and a few other spellings are known.
            #[must_use]
            pub fn from_word(text: &str) -> Option<Self> {
                // Nearly every cell holds the word as it is: found without a copy.
                match text {
                    $($word => return Some(Self::$variant),)+
                    _ => {}
                }
                let plain = text.trim().to_lowercase();
                match plain.as_str() {
                    $($word $(| $also)* => Some(Self::$variant),)+
                    _ => None,
                }
            }
        }

        impl crate::record::vocabulary::Vocabulary for $name {
            const WORDS: &'static [&'static str] = Self::WORDS;

            fn from_word(text: &str) -> Option<Self> {
                Self::from_word(text)
            }

            fn word(self) -> &'static str {
                self.word()
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str(self.word())
            }
        }
    };
}

/// Makes a number or name that identifies one thing, so that a portrait's number is never taken for a person's.
macro_rules! identifier {
    ($(#[$about:meta])* $name:ident) => {
        $(#[$about])*
        #[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// Takes the text as it is written, without outer blanks.
            #[must_use]
            pub fn new(text: impl AsRef<str>) -> Self {
                Self(text.as_ref().trim().to_owned())
            }

            /// Returns the text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// Tells whether there is no text.
            #[must_use]
            pub fn is_empty(&self) -> bool {
                self.0.is_empty()
            }
        }

        impl crate::record::identifier::Identifier for $name {
            fn new(text: &str) -> Self {
                Self::new(text)
            }

            fn as_str(&self) -> &str {
                self.as_str()
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str(&self.0)
            }
        }

        impl From<String> for $name {
            fn from(text: String) -> Self {
                if text.trim().len() == text.len() {
                    Self(text)
                } else {
                    Self::new(text)
                }
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self::new(text)
            }
        }
    };
}

/// Makes a part of the record: every field public, absent in JSON while it has its default, and listed in `FIELDS` so that
/// the rules of what leaves the house can be shown to forget none.
macro_rules! record_part {
    ($(#[$about:meta])* $name:ident { $($(#[$note:meta])* $field:ident : $kind:ty),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(default)]
        pub struct $name {
            $($(#[$note])* #[serde(skip_serializing_if = "crate::record::is_default")] pub $field: $kind,)+
        }

        impl $name {
            /// The names of all fields, as they stand in JSON.
            pub const FIELDS: &'static [&'static str] = &[$(stringify!($field)),+];
        }
    };
}

pub(crate) use identifier;
pub(crate) use record_part;
pub(crate) use vocabulary;
