//! Lines that end in LF, CR or CRLF. [RFC8493 2.3]

/// Returns the lines of a text without their ends; a missing end of the last line makes no difference.
pub(super) fn lines(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let (line, after) = rest.split_at_checked(end)?;
        rest = after
            .strip_prefix("\r\n")
            .or_else(|| after.strip_prefix(['\n', '\r']))
            .unwrap_or("");
        Some(line)
    })
}

/// Returns the number of a line as people count it, from its index.
pub(super) fn number(index: usize) -> Option<u32> {
    u32::try_from(index.saturating_add(1)).ok()
}

#[cfg(test)]
mod tests {
    use super::lines;

    #[test]
    fn three_ends_are_one() {
        for text in ["a\n\nb\n", "a\r\rb\r", "a\r\n\r\nb\r\n", "a\n\nb"] {
            assert_eq!(lines(text).collect::<Vec<_>>(), ["a", "", "b"], "{text:?}");
        }
        assert_eq!(lines("").count(), 0);
    }
}
