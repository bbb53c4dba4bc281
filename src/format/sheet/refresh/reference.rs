//! References to cells: `B12`, `$B$12`, `A1:D20`. [ECMA-376-1 18.17.2.3.1]

/// One cell: row and column, both counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cell {
    pub(super) row: u32,
    pub(super) column: u32,
}

/// A block of cells, both corners included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Block {
    pub(super) first: Cell,
    pub(super) last: Cell,
}

impl Cell {
    /// Reads a reference to one cell.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let plain: String = text.chars().filter(|c| *c != '$').collect();
        let digits = plain.find(|c: char| c.is_ascii_digit())?;
        let (letters, digits) = plain.split_at_checked(digits)?;
        if letters.is_empty() || letters.len() > 3 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let mut column = 0_u32;
        for letter in letters.chars() {
            let value = letter.to_ascii_uppercase().to_digit(36)?.checked_sub(9)?;
            column = column.checked_mul(26)?.checked_add(value)?;
        }
        let row = digits.parse().ok().filter(|row| *row > 0)?;
        Some(Self { row, column })
    }

    /// Returns the reference.
    pub(super) fn text(self) -> String {
        format!("{}{}", letters(self.column), self.row)
    }
}

impl Block {
    /// Reads a reference to one cell or a block.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let (first, last) = text.split_once(':').unwrap_or((text, text));
        let (first, last) = (Cell::parse(first)?, Cell::parse(last)?);
        (first.row <= last.row && first.column <= last.column).then_some(Self { first, last })
    }

    /// Tells whether a cell lies in the block.
    pub(super) fn holds(self, cell: Cell) -> bool {
        (self.first.row..=self.last.row).contains(&cell.row)
            && (self.first.column..=self.last.column).contains(&cell.column)
    }

    /// Returns the smallest block that holds this one and a cell.
    pub(super) fn with(self, cell: Cell) -> Self {
        Self {
            first: Cell {
                row: self.first.row.min(cell.row),
                column: self.first.column.min(cell.column),
            },
            last: Cell {
                row: self.last.row.max(cell.row),
                column: self.last.column.max(cell.column),
            },
        }
    }

    /// Returns the reference.
    pub(super) fn text(self) -> String {
        format!("{}:{}", self.first.text(), self.last.text())
    }
}

/// Returns the letters of a column, counted from 1.
fn letters(column: u32) -> String {
    let mut rest = column;
    let mut reversed = Vec::new();
    while let Some(from_zero) = rest.checked_sub(1) {
        let letter = from_zero.checked_rem(26).unwrap_or(0).saturating_add(10);
        reversed.extend(char::from_digit(letter, 36));
        rest = from_zero.checked_div(26).unwrap_or(0);
    }
    reversed
        .iter()
        .rev()
        .map(char::to_ascii_uppercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn references_read_back() {
        for (text, row, column) in [
            ("A1", 1, 1),
            ("Z9", 9, 26),
            ("AA10", 10, 27),
            ("AZ2", 2, 52),
            ("XFD1048576", 1_048_576, 16_384),
        ] {
            let cell = Cell::parse(text).unwrap();
            assert_eq!(cell, Cell { row, column }, "{text}");
            assert_eq!(cell.text(), text);
        }
        assert_eq!(Cell::parse("$B$3"), Cell::parse("B3"));
    }

    #[test]
    fn odd_references_are_refused() {
        for text in ["", "A", "1", "A0", "ABCD1", "A1B", "é1", "A99999999999"] {
            assert_eq!(Cell::parse(text), None, "{text}");
        }
        assert_eq!(Block::parse("B2:A1"), None);
    }

    #[test]
    fn blocks_hold_their_corners() {
        let block = Block::parse("B2:C4").unwrap();
        assert!(block.holds(Cell::parse("B2").unwrap()));
        assert!(block.holds(Cell::parse("C4").unwrap()));
        assert!(!block.holds(Cell::parse("D4").unwrap()));
        assert_eq!(block.with(Cell::parse("D9").unwrap()).text(), "B2:D9");
    }
}
