//! Numbers with their nouns, as people write them.

/// Writes a number with the right form of its noun, digits in groups of three: "1 scan", "12,345 scans".
#[must_use]
pub fn counted(number: impl TryInto<u64>, one: &str, many: &str) -> String {
    let number = number.try_into().unwrap_or(u64::MAX);
    let digits = number.to_string();
    let mut grouped = String::new();
    for (index, digit) in digits.chars().enumerate() {
        let left = digits.len().saturating_sub(index);
        if index > 0 && left.is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{grouped} {}", if number == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_groups_of_three() {
        assert_eq!(counted(0_usize, "file", "files"), "0 files");
        assert_eq!(counted(1_u64, "file", "files"), "1 file");
        assert_eq!(counted(999_u64, "file", "files"), "999 files");
        assert_eq!(counted(1000_usize, "file", "files"), "1,000 files");
        assert_eq!(counted(12_345_678_u64, "byte", "bytes"), "12,345,678 bytes");
    }
}
