//! `fetch.txt`: files that a bag leaves to be fetched from elsewhere. kithbag never fetches: it reads the list, looks for names
//! that lead out of the bag, and says what is not there. [RFC8493 2.2.3, 5.2]

use super::layout::PAYLOAD;
use super::lines;
use super::version::Version;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::portable_path;

/// The name of the file.
pub const FILE: &str = "fetch.txt";

/// One file to be fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// From where.
    pub url: String,
    /// Its length in bytes, when stated.
    pub length: Option<u64>,
    /// Its path in the bag, decoded.
    pub path: String,
    /// The line on which it stands.
    pub row: Option<u32>,
}

/// Reads the text of `fetch.txt`; lines that break the rules are left out and told of.
pub fn read(text: &str, version: Version, concerns: &mut ConcernList) -> Vec<Item> {
    let mut items = Vec::new();
    for (index, line) in lines::lines(text).enumerate() {
        let row = lines::number(index);
        if line.trim().is_empty() {
            continue;
        }
        match item(line, version, row) {
            Ok(item) => items.push(item),
            Err((code, what)) => concerns.stop(
                code,
                Place::file(FILE).row(row),
                what,
                "Do not fetch anything for this bag; take it from another copy or ask its maker.",
            ),
        }
    }
    items
}

fn item(
    line: &str,
    version: Version,
    row: Option<u32>,
) -> Result<Item, (&'static str, &'static str)> {
    const FORM: &str = "bag-fetch-line";
    let (url, rest) = line
        .split_once([' ', '\t'])
        .ok_or((FORM, "This line is no address, length and file name."))?;
    let (length, path) = rest
        .trim_start_matches([' ', '\t'])
        .split_once([' ', '\t'])
        .ok_or((FORM, "This line is no address, length and file name."))?;
    if !is_absolute(url) {
        return Err((
            FORM,
            "The address does not say how to get there (https: and its like).",
        ));
    }
    let length = match length {
        "-" => None,
        digits => Some(
            digits
                .parse::<u64>()
                .map_err(|_| (FORM, "The length is neither a number nor “-”."))?,
        ),
    };
    let path = decoded(path.trim_start_matches([' ', '\t']), version);
    if portable_path::leads_out(&path).is_some() {
        return Err(("bag-path-unsafe", "It would put a file outside the bag."));
    }
    if !path.starts_with(PAYLOAD) {
        return Err((
            "bag-path-outside-payload",
            "It names a file that is not below “data”, which is not allowed.",
        ));
    }
    if path.ends_with('/') {
        return Err((FORM, "It names a folder; only files can be fetched."));
    }
    Ok(Item {
        url: url.to_owned(),
        length,
        path,
        row,
    })
}

/// Tells whether an address begins with a scheme. // [RFC3986 3.1]
fn is_absolute(url: &str) -> bool {
    url.split_once(':').is_some_and(|(scheme, rest)| {
        scheme.starts_with(|c: char| c.is_ascii_alphabetic())
            && scheme
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.'))
            && !rest.is_empty()
    })
}

fn decoded(path: &str, version: Version) -> String {
    if !version.is_strict() {
        return path.strip_prefix("./").unwrap_or(path).to_owned();
    }
    super::manifest::decode_path(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> (Vec<Item>, Vec<String>) {
        let mut concerns = ConcernList::default();
        let items = read(text, Version::V1_0, &mut concerns);
        let codes = concerns.iter().map(|one| one.code.to_string()).collect();
        (items, codes)
    }

    /// The example of RFC 8493 section 4.2.
    #[test]
    fn published_example() {
        let text =
            "https://cdn.loc.gov/master/pnp/highsm/23300/23364a.tif 216951362 data/23364a.tif\n";
        let (items, codes) = parse(text);
        assert!(codes.is_empty());
        assert_eq!(items[0].length, Some(216_951_362));
        assert_eq!(items[0].path, "data/23364a.tif");
    }

    #[test]
    fn an_unstated_length_and_a_name_with_blanks() {
        let (items, codes) = parse("https://x.example/a%20b - data/a b%0A.txt\r\n");
        assert!(codes.is_empty());
        assert_eq!(items[0].length, None);
        assert_eq!(items[0].path, "data/a b\n.txt");
    }

    #[test]
    fn each_refusal() {
        let cases = [
            ("https://x.example/a", "bag-fetch-line"),
            ("https://x.example/a 12", "bag-fetch-line"),
            ("/a 12 data/a", "bag-fetch-line"),
            ("1http://x.example/a 12 data/a", "bag-fetch-line"),
            ("ht_tp://x.example/a 12 data/a", "bag-fetch-line"),
            ("https: 12 data/a", "bag-fetch-line"),
            ("https://x.example/a twelve data/a", "bag-fetch-line"),
            ("https://x.example/a -1 data/a", "bag-fetch-line"),
            (
                "https://x.example/a - bag-info.txt",
                "bag-path-outside-payload",
            ),
            (
                "https://x.example/a - ../../../README.md",
                "bag-path-unsafe",
            ),
            ("https://x.example/a - /tmp/foo", "bag-path-unsafe"),
            ("https://x.example/a - ~/foo", "bag-path-unsafe"),
            ("https://x.example/a - C:\\Windows\\foo", "bag-path-unsafe"),
            ("https://x.example/a - %HomeDrive%\\foo", "bag-path-unsafe"),
            ("https://x.example/a - \\\\?\\UNC\\foo", "bag-path-unsafe"),
        ];
        for (line, code) in cases {
            assert_eq!(parse(line), (vec![], vec![code.to_owned()]), "{line}");
        }
    }

    #[test]
    fn cut_at_every_byte() {
        let text = "https://x.example/a 12 data/a";
        for length in 0..text.len() {
            let (items, codes) = parse(&text[..length]);
            assert!(items.is_empty(), "{length}");
            assert_eq!(codes.is_empty(), length == 0, "{length}");
        }
    }
}
