//! Versions of the BagIt specification and what differs between them.

use std::fmt;

/// A version that a bag declares, for example 1.0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Version {
    major: u32,
    minor: u32,
}

impl Version {
    /// RFC 8493.
    pub const V1_0: Self = Self { major: 1, minor: 0 };
    /// The last draft before RFC 8493.
    pub const V0_97: Self = Self {
        major: 0,
        minor: 97,
    };
    /// The draft from which on the metadata file is called `bag-info.txt`.
    const V0_96: Self = Self {
        major: 0,
        minor: 96,
    };
    /// The oldest draft whose bags are still met with.
    const V0_93: Self = Self {
        major: 0,
        minor: 93,
    };

    /// Reads "M.N", digits on both sides of the dot. // [RFC8493 2.1.1]
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (major, minor) = text.split_once('.')?;
        Some(Self {
            major: number(major)?,
            minor: number(minor)?,
        })
    }

    /// Tells whether the rules of this version are known here.
    #[must_use]
    pub fn is_known(self) -> bool {
        self == Self::V1_0 || (self >= Self::V0_93 && self <= Self::V0_97)
    }

    /// Tells whether this is RFC 8493 or later, where spacing is strict and `%` is encoded.
    #[must_use]
    pub fn is_strict(self) -> bool {
        self >= Self::V1_0
    }

    /// Returns the name of the file that describes the bag.
    #[must_use]
    pub fn info_file(self) -> &'static str {
        if self < Self::V0_96 {
            "package-info.txt"
        } else {
            "bag-info.txt"
        }
    }
}

fn number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

impl fmt::Display for Version {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}.{}", self.major, self.minor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_numbers_are_needed() {
        for text in ["", ".97", "1", "1.", "1.0 ", "+1.0", "1.0.0", "a.b"] {
            assert_eq!(Version::parse(text), None, "{text}");
        }
        assert_eq!(Version::parse("1.0"), Some(Version::V1_0));
    }

    #[test]
    fn the_file_that_describes_the_bag_changed_its_name() {
        let named = |text| Version::parse(text).unwrap().info_file();
        assert_eq!(named("0.95"), "package-info.txt");
        assert_eq!(named("0.96"), "bag-info.txt");
        assert_eq!(named("1.0"), "bag-info.txt");
    }

    #[test]
    fn only_published_versions_are_known() {
        let known = |text| Version::parse(text).unwrap().is_known();
        assert!(known("0.93") && known("0.97") && known("1.0"));
        assert!(!known("0.92") && !known("0.98") && !known("2.0"));
    }
}
