//! Payload-Oxum: how many bytes in how many files the payload has. A quick test only. [RFC8493 2.2.2]

use std::fmt;

/// The count of bytes and files that `Payload-Oxum` states.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
pub struct Oxum {
    /// All bytes of the payload.
    pub bytes: u64,
    /// All files of the payload.
    pub files: u64,
}

impl Oxum {
    /// Reads "OCTETS.STREAMS", digits only.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (bytes, files) = text.split_once('.')?;
        Some(Self {
            bytes: number(bytes)?,
            files: number(files)?,
        })
    }
}

fn number(text: &str) -> Option<u64> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

impl fmt::Display for Oxum {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}.{}", self.bytes, self.files)
    }
}

#[cfg(test)]
mod tests {
    use super::Oxum;

    /// The example of RFC 8493 section 2.2.2.
    #[test]
    fn published_example() {
        let oxum = Oxum::parse("279164409832.1198").unwrap();
        assert_eq!((oxum.bytes, oxum.files), (279_164_409_832, 1198));
        assert_eq!(oxum.to_string(), "279164409832.1198");
    }

    #[test]
    fn other_forms_are_refused() {
        for text in [
            "",
            "1",
            "1.",
            ".1",
            "1.2.3",
            "-1.2",
            "+1.2",
            "1,2",
            " 1.2",
            "99999999999999999999.1",
        ] {
            assert_eq!(Oxum::parse(text), None, "{text}");
        }
    }
}
