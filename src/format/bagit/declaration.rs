//! `bagit.txt`: which version of the rules, and the encoding of the other tag files. [RFC8493 2.1.1]

use super::encoding::TagEncoding;
use super::lines::lines;
use super::version::Version;
use crate::concern::ConcernList;
use crate::concern::Place;

/// The name of the file.
pub const FILE: &str = "bagit.txt";

/// The file as kithbag writes it.
pub const TEXT: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

const VERSION_LABEL: &str = "BagIt-Version";
const ENCODING_LABEL: &str = "Tag-File-Character-Encoding";

/// What `bagit.txt` declares. Where it says nothing usable, the last draft and UTF-8 are taken, so that the rest of the bag can
/// still be looked at; the concern that goes with it keeps the bag from being called valid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Declaration {
    /// The version.
    pub version: Version,
    /// The encoding of the other tag files.
    pub encoding: TagEncoding,
}

impl Default for Declaration {
    fn default() -> Self {
        Self {
            version: Version::V0_97,
            encoding: TagEncoding::UTF_8,
        }
    }
}

/// Reads `bagit.txt`.
pub fn read(bytes: &[u8], concerns: &mut ConcernList) -> Declaration {
    let place = || Place::file(FILE);
    let Ok(decoded) = TagEncoding::UTF_8.decode(bytes) else {
        malformed(concerns, place(), "It is not UTF-8 text.");
        return Declaration::default();
    };
    if decoded.needless_mark {
        concerns.stop(
            "bag-byte-order-mark",
            place(),
            "The file begins with an invisible mark (byte order mark) that the rules forbid.",
            "A text editor probably added it when the file was saved. Take the file from another copy.",
        );
    }
    let found: Vec<&str> = lines(&decoded.text).collect();
    let version = version(found.first().copied(), concerns);
    let encoding = encoding(found.get(1).copied(), version, concerns);
    if found.len() > 2 {
        malformed(concerns, place(), "It has more than two lines.");
    }
    Declaration { version, encoding }
}

fn version(line: Option<&str>, concerns: &mut ConcernList) -> Version {
    let Some(element) = line.and_then(|line| element(line, VERSION_LABEL)) else {
        malformed(
            concerns,
            Place::file(FILE).row(Some(1)),
            "Its first line does not say “BagIt-Version: ” and a number.",
        );
        return Version::V0_97;
    };
    let Some(version) = Version::parse(element.value.trim()) else {
        malformed(
            concerns,
            Place::file(FILE).row(Some(1)),
            &format!("“{}” is no version of BagIt.", element.value.trim()),
        );
        return Version::V0_97;
    };
    if !version.is_known() {
        concerns.stop(
            "bag-version-unknown",
            Place::file(FILE).row(Some(1)),
            format!("The rules of BagIt version {version} are not known here."),
            "Checksums are compared all the same. Look for a newer kithbag to check the rest.",
        );
    }
    check_spacing(&element, version, 1, concerns);
    version
}

fn encoding(line: Option<&str>, version: Version, concerns: &mut ConcernList) -> TagEncoding {
    let Some(element) = line.and_then(|line| element(line, ENCODING_LABEL)) else {
        malformed(
            concerns,
            Place::file(FILE).row(Some(2)),
            "Its second line does not say “Tag-File-Character-Encoding: ” and a name.",
        );
        return TagEncoding::UTF_8;
    };
    check_spacing(&element, version, 2, concerns);
    let name = element.value.trim();
    let Some(encoding) = TagEncoding::named(name) else {
        concerns.stop(
            "bag-encoding-unknown",
            Place::file(FILE).row(Some(2)),
            format!(
                "The encoding “{name}” is not known here; the other tag files were read as UTF-8."
            ),
            "Ask whoever made the bag which encoding is meant.",
        );
        return TagEncoding::UTF_8;
    };
    if version.is_strict() && !encoding.is_utf_8() {
        concerns.warning(
            "bag-encoding-not-utf-8",
            Place::file(FILE).row(Some(2)),
            format!("The tag files are declared to be {name}; UTF-8 is recommended."),
            "Nothing needs to be done; a bag made anew should use UTF-8.",
        );
    }
    encoding
}

struct Element<'a> {
    value: &'a str,
    /// Whether the label is followed at once by a colon, one space and a value without outer blanks.
    is_exact: bool,
}

fn element<'a>(line: &'a str, label: &str) -> Option<Element<'a>> {
    let (found, rest) = line.split_once(':')?;
    let value = rest.strip_prefix(' ');
    found.trim().eq_ignore_ascii_case(label).then(|| Element {
        value: rest,
        is_exact: found.eq_ignore_ascii_case(label) && value.is_some_and(|v| v == v.trim()),
    })
}

/// Up to draft 0.97 any blanks about the colon were accepted; RFC 8493 has exactly one space. // [RFC8493 2.1.1]
fn check_spacing(element: &Element<'_>, version: Version, row: u32, concerns: &mut ConcernList) {
    if version.is_strict() && !element.is_exact {
        malformed(
            concerns,
            Place::file(FILE).row(Some(row)),
            "It has blanks where version 1.0 allows none, or lacks the one that must be there.",
        );
    }
}

fn malformed(concerns: &mut ConcernList, place: Place, what: &str) {
    concerns.stop(
        "bag-declaration-malformed",
        place,
        format!("The file that says what kind of bag this is does not keep to its form. {what}"),
        "Take this file from another copy of the bag.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(text: &[u8]) -> Vec<String> {
        let mut concerns = ConcernList::default();
        read(text, &mut concerns);
        concerns.iter().map(|one| one.code.to_string()).collect()
    }

    #[test]
    fn what_kithbag_writes_is_sound() {
        let mut concerns = ConcernList::default();
        let declaration = read(TEXT.as_bytes(), &mut concerns);
        assert!(concerns.is_empty());
        assert_eq!(declaration.version, Version::V1_0);
        assert!(declaration.encoding.is_utf_8());
    }

    #[test]
    fn spacing_is_strict_from_1_0_on() {
        let loose = "BagIt-Version : 0.97\nTag-File-Character-Encoding :  UTF-8";
        assert!(codes(loose.as_bytes()).is_empty());
        for line in [
            "BagIt-Version : 1.0",
            "BagIt-Version: 1.0 ",
            "BagIt-Version:1.0",
            "BagIt-Version:  1.0",
        ] {
            let text = format!("{line}\nTag-File-Character-Encoding: UTF-8\n");
            assert_eq!(codes(text.as_bytes()), ["bag-declaration-malformed"]);
        }
    }

    #[test]
    fn the_case_of_labels_does_not_count() {
        assert!(codes(b"BagIt-version: 1.0\nTag-File-Character-Encoding: UTF-8\n").is_empty());
    }

    #[test]
    fn each_refusal() {
        let cases: [(&[u8], &str); 6] = [
            (
                b"\xEF\xBB\xBFBagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n",
                "bag-byte-order-mark",
            ),
            (b"BagIt-Version: 0.97\n", "bag-declaration-malformed"),
            (
                b"BagIt-Version: .97\nTag-File-Character-Encoding: UTF-8\n",
                "bag-declaration-malformed",
            ),
            (
                b"BagIt-Version: 3.0\nTag-File-Character-Encoding: UTF-8\n",
                "bag-version-unknown",
            ),
            (
                b"BagIt-Version: 1.0\nTag-File-Character-Encoding: klingon\n",
                "bag-encoding-unknown",
            ),
            (
                b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nMore: x\n",
                "bag-declaration-malformed",
            ),
        ];
        for (text, code) in cases {
            assert_eq!(codes(text), [code], "{}", String::from_utf8_lossy(text));
        }
    }

    /// Cut anywhere before the encoding's name is whole, the file is refused.
    #[test]
    fn cut_at_every_byte() {
        let whole = TEXT.trim_end().as_bytes();
        for length in 0..whole.len() {
            assert!(!codes(&whole[..length]).is_empty(), "{length}");
        }
    }
}
