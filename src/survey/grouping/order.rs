//! The order in which people expect names: "A-2" before "A-10".

use crate::portable_path;

/// Returns a key by which "A-2" sorts before "A-10".
pub(in crate::survey) fn natural_key(text: &str) -> Vec<(u8, u64, String)> {
    let folded = portable_path::fold(text);
    let mut key = Vec::new();
    let mut rest = folded.as_str();
    while !rest.is_empty() {
        let digits = rest
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(rest.len());
        let others = rest
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(rest.len());
        let length = digits.max(others);
        let (piece, after) = rest.split_at_checked(length).unwrap_or((rest, ""));
        match piece.parse::<u64>() {
            Ok(number) => key.push((0, number, piece.to_owned())),
            Err(_) => key.push((1, 0, piece.to_owned())),
        }
        rest = after;
    }
    // The exact name decides between names that differ only in case.
    key.push((2, 0, text.to_owned()));
    key
}
