//! The frame that every page shares: policy, style, escaping, the words of certainty.

use crate::record::Certainty;
use maud::DOCTYPE;
use maud::Markup;
use maud::PreEscaped;
use maud::html;
use sha2::Digest as _;
use sha2::Sha256;

/// The style of every page.
const STYLE: &str = include_str!("style.css");

/// One page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Document<'a> {
    /// The title, for the window.
    pub(super) title: &'a str,
    /// What stands at the foot of every printed sheet: letters, digits and blanks only.
    pub(super) sheet_foot: Option<&'a str>,
    /// Style of its own, beside that of every page.
    pub(super) style: Option<&'a str>,
    /// The script.
    pub(super) script: Option<&'a str>,
    /// Whether the pictures are inside the page and not beside it.
    pub(super) holds_pictures: bool,
    /// What the page says.
    pub(super) body: &'a Markup,
}

/// Returns a page without a script that holds its pictures itself, as `data:` addresses: `title` names the window, `body` is
/// what the page says.
#[must_use]
pub fn shell(title: &str, body: &Markup) -> String {
    document(&Document {
        title,
        sheet_foot: None,
        style: None,
        script: None,
        holds_pictures: true,
        body,
    })
}

/// Returns a page without a script that has a style of its own beside that of every page.
#[must_use]
pub fn styled(title: &str, style: &str, body: &Markup) -> String {
    document(&Document {
        title,
        sheet_foot: None,
        style: Some(style),
        script: None,
        holds_pictures: false,
        body,
    })
}

/// Returns a whole page.
pub(super) fn document(page: &Document<'_>) -> String {
    let foot = page.sheet_foot.map(sheet_foot_style);
    let styles: Vec<&str> = [Some(STYLE), page.style, foot.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy(&styles, page));
                meta name="referrer" content="no-referrer";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (window_title(page.title)) }
                @for style in styles { style { (PreEscaped(style)) } }
            }
            body {
                (page.body)
                @if let Some(script) = page.script { script { (PreEscaped(script)) } }
            }
        }
    }
    .into_string()
}

/// The page may run and be styled only by the very texts that it was made with, and may reach nothing but its pictures.
/// [Content Security Policy Level 3, 6.7.3.3]
fn policy(styles: &[&str], page: &Document<'_>) -> String {
    let style_sources: Vec<String> = styles.iter().map(|style| source(style)).collect();
    let script_source = page.script.map_or_else(|| "'none'".to_owned(), source);
    let worker = if page.script.is_some() {
        "blob:"
    } else {
        "'none'"
    };
    let pictures = if page.holds_pictures {
        "data:"
    } else {
        "'self'"
    };
    format!(
        "default-src 'none'; script-src {script_source}; style-src {}; img-src {pictures}; worker-src {worker}; base-uri 'none'; form-action 'none'",
        style_sources.join(" ")
    )
}

fn source(text: &str) -> String {
    format!("'sha256-{}'", base64(&Sha256::digest(text.as_bytes())))
}

/// Returns bytes in base64 with padding. [RFC4648 4]
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::new();
    for group in bytes.chunks(3) {
        let byte = |at: usize| u32::from(group.get(at).copied().unwrap_or(0));
        let bits = (byte(0) << 16) | (byte(1) << 8) | byte(2);
        for (place, shift) in [18_u32, 12, 6, 0].into_iter().enumerate() {
            let index = usize::try_from((bits >> shift) & 63).unwrap_or(0);
            let letter = LETTERS.get(index).copied().unwrap_or(b'=');
            text.push(if place <= group.len() {
                char::from(letter)
            } else {
                '='
            });
        }
    }
    text
}

/// Firefox ignores the margin boxes; there the style sheet's own foot serves. [CSS Paged Media 3, 4]
fn sheet_foot_style(text: &str) -> String {
    let safe: String = text
        .chars()
        .filter(|one| one.is_ascii_alphanumeric() || *one == ' ')
        .collect();
    format!("@page{{@bottom-left{{content:\"{safe}\"}}}}")
}

/// Returns a title without anything that could turn a window's title round.
fn window_title(title: &str) -> String {
    printable(title)
        .chars()
        .filter(|one| !is_direction_mark(*one))
        .map(|one| if one.is_whitespace() { ' ' } else { one })
        .collect()
}

const fn is_direction_mark(one: char) -> bool {
    matches!(one, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Returns text in which the control characters that HTML forbids are shown as replacement characters. [HTML 13.2.3.5]
pub(super) fn printable(text: &str) -> String {
    text.replace("\r\n", "\n")
        .chars()
        .map(|one| match one {
            '\n' | '\t' => one,
            '\r' => '\n',
            _ if one.is_control() => '\u{fffd}',
            _ => one,
        })
        .collect()
}

/// Returns a path as a relative address: everything but plain letters, digits and `-._~/` escaped. [RFC3986 2.3]
pub(super) fn address(path: &str) -> String {
    let mut text = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            text.push(char::from(byte));
        } else {
            text.push_str(&format!("%{byte:02X}"));
        }
    }
    text
}

/// Returns the word of a certainty; the style sheet draws the mark before it.
pub(super) fn certainty(certainty: Option<Certainty>) -> Markup {
    marked(certainty, certainty.map_or("not said", Certainty::word))
}

/// Returns words that the mark of a certainty stands before.
pub(super) fn marked(certainty: Option<Certainty>, words: &str) -> Markup {
    html! { span class={ "sure " (certainty_name(certainty)) } { (words) } }
}

/// Returns the name of a certainty in the style sheet and the script.
pub(super) const fn certainty_name(certainty: Option<Certainty>) -> &'static str {
    match certainty {
        Some(Certainty::RuledOut) => "ruled-out",
        Some(one) => one.word(),
        None => "not-said",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648 section 10.
    #[test]
    fn base64_vectors() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in vectors {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    /// The digest of the empty text, as CSP writes it, from FIPS 180-4's value for an empty message.
    #[test]
    fn the_source_of_nothing() {
        assert_eq!(
            source(""),
            "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
        );
    }

    #[test]
    fn a_shell_has_no_script() {
        let page = shell("A & \u{202e}B", &html! { p { "x" } });
        assert!(page.contains("script-src 'none'") && page.contains("img-src data:;"));
        assert!(page.contains("<title>A &amp; B</title>"));
        assert!(!page.contains("<script"));
    }

    #[test]
    fn addresses_hide_nothing() {
        assert_eq!(address("data/a b\"<.jpg"), "data/a%20b%22%3C.jpg");
        assert_eq!(address("data/Zoë"), "data/Zo%C3%AB");
    }

    #[test]
    fn control_characters_are_shown() {
        assert_eq!(printable("a\u{0}\u{1b}\tb\r\n"), "a\u{fffd}\u{fffd}\tb\n");
    }
}
