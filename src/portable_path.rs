//! Names of files inside a collection or package that mean the same on every computer.

use std::fmt;
use unicode_normalization::UnicodeNormalization;

/// A relative path with `/` between its parts that cannot leave the folder it belongs to: no `.` or `..` part, no leading
/// slash, drive, `~` or `%VAR%`, no backslash, no control character. [RFC8493 5.1]
///
/// The text is kept as given: normalisation forms differ between disks, so [`PortablePath::folded`] is for comparing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PortablePath(String);

/// Why a name cannot be used, in words that finish the sentence "this name …".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{why}")]
pub struct UnsafeName {
    why: &'static str,
}

impl PortablePath {
    /// Reads a path.
    ///
    /// # Errors
    /// Gives the reason when the path could point outside its folder or is read differently by another system.
    pub fn new(text: &str) -> Result<Self, UnsafeName> {
        match fault(text) {
            Some(why) => Err(UnsafeName { why }),
            None => Ok(Self(text.to_owned())),
        }
    }

    /// Returns the path as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Returns the last part.
    #[must_use]
    pub fn file_name(&self) -> &str {
        self.0.rsplit('/').next().unwrap_or(&self.0)
    }

    /// Returns a form that is equal for names which some disks hold to be the same: NFC, lower case. [RFC8493 6.1.1.3]
    #[must_use]
    pub fn folded(&self) -> String {
        fold(&self.0)
    }
}

impl fmt::Display for PortablePath {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

/// Returns the form of a name in which case and normalisation do not count.
#[must_use]
pub fn fold(name: &str) -> String {
    if name.is_ascii() {
        return name.to_ascii_lowercase();
    }
    name.nfc()
        .collect::<String>()
        .to_lowercase()
        .nfc()
        .collect()
}

/// Returns the form of a name in which only normalisation does not count.
#[must_use]
pub fn normalised(name: &str) -> String {
    name.nfc().collect()
}

/// Tells why a path that somebody else wrote could lead out of the folder it belongs to, on this system or any other; `None`
/// when it cannot. Looser than [`PortablePath`]: a backslash or a line end inside a name is odd but does not lead out. [RFC8493 5.1]
#[must_use]
pub fn leads_out(text: &str) -> Option<&'static str> {
    let as_windows_reads = text.replace('\\', "/");
    if as_windows_reads.starts_with('/') {
        return Some("begins with a slash, so it points to a place of its own on the disk");
    }
    if as_windows_reads.split('/').any(|part| part == "..") {
        return Some("climbs out of its folder with two dots");
    }
    if text.contains('\0') {
        return Some("has a zero byte, at which some programs stop reading");
    }
    prefix_fault(&as_windows_reads)
}

/// Tells why a name cannot be kept on every system although it leads nowhere wrong; `None` when it can. [RFC8493 6.1.2]
#[must_use]
pub fn awkward(text: &str) -> Option<&'static str> {
    const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
    for part in text.split('/') {
        let stem = part.split('.').next().unwrap_or(part).to_ascii_lowercase();
        let numbered = matches!(stem.get(..3), Some("com" | "lpt"))
            && stem.get(3..).is_some_and(|rest| {
                rest.len() == 1 && rest.bytes().all(|digit| (b'1'..=b'9').contains(&digit))
            });
        if DEVICES.contains(&stem.as_str()) || numbered {
            return Some("is a name that Windows keeps for a device");
        }
        if part.contains(['<', '>', ':', '"', '|', '?', '*', '\\']) {
            return Some("has a character that Windows does not allow in names");
        }
        if part.ends_with(['.', ' ']) {
            return Some("ends in a dot or a blank, which Windows cuts off");
        }
        if part.chars().any(char::is_control) {
            return Some("has a line end or another control character in it");
        }
        if part.len() > 255 {
            return Some("is longer than most disks allow");
        }
    }
    None
}

fn fault(text: &str) -> Option<&'static str> {
    if text.is_empty() {
        return Some("is empty");
    }
    if text.starts_with('/') {
        return Some("begins with a slash, so it points to a place of its own on the disk");
    }
    if text.contains('\\') {
        return Some("has a backslash, which some systems read as a folder");
    }
    if text.chars().any(char::is_control) {
        return Some("has a control character");
    }
    prefix_fault(text).or_else(|| part_fault(text))
}

fn prefix_fault(text: &str) -> Option<&'static str> {
    if text.starts_with('~') {
        return Some("begins with a tilde, which some systems read as somebody's home folder");
    }
    if has_drive(text) {
        return Some("begins with a drive letter");
    }
    names_variable(text).then_some("has a %NAME% that some systems replace by a folder")
}

fn part_fault(text: &str) -> Option<&'static str> {
    for part in text.split('/') {
        match part {
            "" => return Some("has an empty part between two slashes"),
            "." => return Some("has a part that is a single dot"),
            ".." => return Some("climbs out of its folder with two dots"),
            _ => {}
        }
    }
    None
}

fn has_drive(text: &str) -> bool {
    let mut characters = text.chars();
    matches!((characters.next(), characters.next()), (Some(letter), Some(':')) if letter.is_ascii_alphabetic())
}

/// `%HomeDrive%` and its like: a name of letters between two per cent signs in the first part.
fn names_variable(text: &str) -> bool {
    let first = text.split('/').next().unwrap_or(text);
    let mut pieces = first.split('%');
    pieces.next();
    let named = pieces.next().is_some_and(|name| {
        !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
    });
    named && pieces.next().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinary_names_pass() {
        for name in [
            "data/a.tif",
            "data/Zoë.jpg",
            "data/test 1.txt",
            "data/a%20b.txt",
            "data/%7Etest1.txt",
            "a..b",
            "...",
            "data/100%",
        ] {
            assert!(PortablePath::new(name).is_ok(), "{name}");
        }
    }

    #[test]
    fn names_that_leave_the_folder_are_refused() {
        for name in [
            "",
            "/tmp/foo",
            "~/foo",
            "~root/foo",
            "../x",
            "data/../../x",
            "data/./x",
            "data//x",
            "C:\\Windows\\x",
            "C:x",
            "%HomeDrive%/x",
            "\\\\?\\UNC\\server",
            "data/a\nb",
        ] {
            assert!(PortablePath::new(name).is_err(), "{name}");
        }
    }

    #[test]
    fn what_others_wrote_may_be_odd_but_not_lead_out() {
        for name in [
            "data/a\nb",
            "data/a\\b",
            "data/./x",
            "data/%7Edir2/x",
            "data/~x",
            "data/%test2.txt",
        ] {
            assert_eq!(leads_out(name), None, "{name}");
        }
        for name in [
            "/tmp/foo",
            "~/foo",
            "~root/foo",
            "../../../README.md",
            "data/..\\..\\x",
            "C:\\Windows\\x",
            "%HomeDrive%\\x",
            "\\\\?\\UNC\\server",
            "data/a\0b",
        ] {
            assert!(leads_out(name).is_some(), "{name}");
        }
    }

    #[test]
    fn names_that_windows_cannot_keep() {
        for name in [
            "data/CON",
            "data/com1.txt",
            "data/a:b",
            "data/a.",
            "data/a ",
            "data/nul.tif/x",
        ] {
            assert!(awkward(name).is_some(), "{name}");
        }
        for name in [
            "data/console.txt",
            "data/com10.txt",
            "data/a.b",
            "data/Zoë.jpg",
        ] {
            assert_eq!(awkward(name), None, "{name}");
        }
    }

    #[test]
    fn folding_joins_what_some_disks_join() {
        assert_eq!(fold("data/HELLO.txt"), fold("data/hello.txt"));
        assert_eq!(fold("N\u{fa}\u{f1}ez"), fold("Nu\u{301}n\u{303}ez"));
    }
}
