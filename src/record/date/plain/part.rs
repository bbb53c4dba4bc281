//! Parts of decades and centuries.

/// Which part of a decade or century is meant. The words have no fixed meaning; kithbag reads "early" as the first four years of
/// a decade, "mid" as the four in its middle and "late" as the last four (0 to 3, 3 to 6, 6 to 9), and parts of a century in the
/// same way (0 to 33, 33 to 66, 66 to 99).
#[derive(Clone, Copy)]
pub(super) enum Part {
    Whole,
    Early,
    Mid,
    Late,
}

impl Part {
    const fn of_ten(self) -> (i64, i64) {
        match self {
            Self::Whole => (0, 9),
            Self::Early => (0, 3),
            Self::Mid => (3, 6),
            Self::Late => (6, 9),
        }
    }

    const fn of_hundred(self) -> (i64, i64) {
        match self {
            Self::Whole => (0, 99),
            Self::Early => (0, 33),
            Self::Mid => (33, 66),
            Self::Late => (66, 99),
        }
    }
}

/// Returns a decade or a part of it; `tens` are the year's first three digits.
pub(super) fn of_decade(tens: &str, part: Part) -> String {
    match part {
        Part::Whole => format!("{tens}X"),
        _ => {
            let (first, last) = part.of_ten();
            format!("[{tens}{first}..{tens}{last}]")
        }
    }
}

/// Returns a century or a part of it; `hundreds` are the year's first two digits.
pub(super) fn of_century(hundreds: i64, part: Part) -> String {
    match part {
        Part::Whole => format!("{hundreds:02}XX"),
        _ => {
            let (first, last) = part.of_hundred();
            format!("[{hundreds:02}{first:02}..{hundreds:02}{last:02}]")
        }
    }
}
