//! Names of packages and of the files in them: ASCII, short, and never the name of a person.

use crate::record::Audience;

/// Longest name of a package, in characters: long paths fail on some systems.
const LONGEST_NAME: usize = 60;

/// Returns the name of a package: the collection's folder, the audience and the day.
#[must_use]
pub fn package_name(collection_folder: &str, audience: Audience, day: &str) -> String {
    format!(
        "{}-{}-{day}",
        plain(collection_folder, LONGEST_NAME),
        audience.word()
    )
}

/// Returns a text as a file name: ASCII letters, digits, `-` and `_`, everything else a hyphen.
#[must_use]
pub(super) fn plain(text: &str, longest: usize) -> String {
    let mut name = String::new();
    for character in text.chars() {
        let kept = if character.is_ascii_alphanumeric() || character == '_' {
            character
        } else {
            '-'
        };
        if kept != '-' || !name.ends_with('-') {
            name.push(kept);
        }
        if name.len() >= longest {
            break;
        }
    }
    let trimmed = name.trim_matches('-');
    if trimmed.is_empty() {
        "collection".to_owned()
    } else {
        trimmed.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain() {
        assert_eq!(
            package_name("Zoë's box (1)", Audience::Family, "2026-11-25"),
            "Zo-s-box-1-family-2026-11-25"
        );
        assert_eq!(plain("日本", 60), "collection");
    }
}
