//! Sizes as a person writes them.

/// Units and their lengths in bytes. [IEC 80000-13]
const UNITS: [(&str, u64); 13] = [
    ("", 1),
    ("b", 1),
    ("k", 1_000),
    ("kb", 1_000),
    ("kib", 1 << 10),
    ("m", 1_000_000),
    ("mb", 1_000_000),
    ("mib", 1 << 20),
    ("g", 1_000_000_000),
    ("gb", 1_000_000_000),
    ("gib", 1 << 30),
    ("tb", 1_000_000_000_000),
    ("tib", 1 << 40),
];

/// Reads a size such as `4.7GB`, `700 MB` or `4GiB` as bytes.
pub(super) fn read(text: &str) -> Option<u64> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at_checked(end)?;
    let unit = unit.trim().to_ascii_lowercase();
    let (_, unit) = UNITS.iter().find(|(name, _)| *name == unit)?;
    let (whole, part) = number.split_once('.').unwrap_or((number, "0"));
    let whole: u64 = whole.parse().ok()?;
    let scale = 10_u64.checked_pow(u32::try_from(part.len()).ok()?)?;
    let part: u64 = part.parse().ok()?;
    let part = u128::from(part)
        .checked_mul(u128::from(*unit))?
        .checked_div(u128::from(scale))?;
    whole
        .checked_mul(*unit)?
        .checked_add(u64::try_from(part).ok()?)
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn sizes_as_people_write_them() {
        assert_eq!(read("4.7GB"), Some(4_700_000_000));
        assert_eq!(read(" 700 mb "), Some(700_000_000));
        assert_eq!(read("4GiB"), Some(4_294_967_296));
        assert_eq!(read("1.5KiB"), Some(1536));
        assert_eq!(read("25000000"), Some(25_000_000));
        for text in [
            "",
            "GB",
            "4,7GB",
            "-1MB",
            "1.MB",
            "4 quires",
            "99999999999TB",
            "1.2.3GB",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
