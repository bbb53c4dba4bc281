//! Where a face is in a picture.

/// A rectangle as parts of the picture's width and height, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceRegion {
    /// From the left edge of the picture to the left edge of the rectangle.
    pub left: f64,
    /// From the upper edge of the picture to the upper edge of the rectangle.
    pub top: f64,
    /// The width of the rectangle.
    pub width: f64,
    /// The height of the rectangle.
    pub height: f64,
}

/// How far a rectangle may reach over the edge before it is refused: the rounding of four numbers of two decimals.
const ROUNDING: f64 = 0.015;

impl FaceRegion {
    /// Reads left, top, width and height, separated by commas, semicolons or blanks: "0.25, 0.1, 0.5, 0.6". Decimal commas will
    /// do where the numbers are separated by semicolons or blanks. A rectangle that is not within the picture is no region.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let spaced = numbers(text, |one| one == ';' || one.is_whitespace());
        let listed = numbers(text, |one| one == ',' || one == ';' || one.is_whitespace());
        let [left, top, width, height] = spaced.or(listed)?;
        let within = |start: f64, length: f64| {
            start >= 0.0 && length > 0.0 && start + length <= 1.0 + ROUNDING
        };
        (within(left, width) && within(top, height)).then_some(Self {
            left,
            top,
            width,
            height,
        })
    }
}

fn numbers(text: &str, is_separator: impl Fn(char) -> bool) -> Option<[f64; 4]> {
    let numbers: Vec<f64> = text
        .split(is_separator)
        .map(|part| part.trim_matches(','))
        .filter(|part| !part.is_empty())
        .map(|part| part.replace(',', ".").parse::<f64>().ok())
        .collect::<Option<Vec<f64>>>()?;
    numbers.try_into().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_numbers_however_separated() {
        let expected = FaceRegion {
            left: 0.25,
            top: 0.1,
            width: 0.5,
            height: 0.6,
        };
        for text in [
            "0.25, 0.1, 0.5, 0.6",
            "0.25,0.1,0.5,0.6",
            "0.25 0.1 0.5 0.6",
            "0,25; 0,1; 0,5; 0,6",
            "0,25 0,1 0,5 0,6",
            "0,25, 0,1, 0,5, 0,6",
        ] {
            assert_eq!(FaceRegion::parse(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn what_is_not_within_the_picture_is_refused() {
        for text in [
            "",
            "left",
            "0.1 0.1 0.1",
            "0.1 0.1 0.1 0.1 0.1",
            "0.6, 0.1, 0.5, 0.6",
            "-0.1, 0.1, 0.5, 0.6",
            "0.1, 0.1, 0, 0.6",
            "NaN 0.1 0.5 0.6",
            "0.1 0.1 inf 0.6",
        ] {
            assert_eq!(FaceRegion::parse(text), None, "{text}");
        }
    }
}
