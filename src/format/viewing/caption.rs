//! Captioned copies: the picture with a strip under it that says who, when and which, so that a name survives being sent on.

use super::Picture;
use super::VIEWING_QUALITY;
use super::Viewing;
use super::ViewingFault;
use super::encode;
use super::lettering::Lettering;
use ab_glyph_rasterizer::Rasterizer;
use image::Rgb;
use image::RgbImage;
use image::imageops;
use unicode_normalization::UnicodeNormalization;

/// What stands under a picture. Every text is one paragraph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caption {
    /// Who it is, or what else stands in the first place.
    pub who: String,
    /// When it was made, which portrait and view it is.
    pub facts: String,
    /// What must not be overlooked, for example that the picture was altered.
    pub warning: Option<String>,
}

const PAPER: Rgb<u8> = Rgb([247, 243, 234]);
const INK: Rgb<u8> = Rgb([33, 28, 22]);
const SOFT: Rgb<u8> = Rgb([84, 76, 64]);
const ACCENT: Rgb<u8> = Rgb([125, 31, 23]);

/// The longest edge of the picture holds this many times the size of the letters of a name.
const LETTERS_TO_EDGE: u32 = 36;

/// Letters smaller than this many pixels cannot be read.
const SMALLEST: u16 = 16;

/// A strip is at least this many letters wide, however narrow the picture is.
const NARROWEST: u16 = 22;

/// A text of more lines than this is cut: it would hide the picture.
const MOST_LINES: usize = 5;

/// Tells whether the font that the program carries has every letter of a text: Latin, Greek and Cyrillic.
#[must_use]
pub fn can_be_lettered(text: &str) -> bool {
    Lettering::new().is_some_and(|font| font.has(&one_paragraph(text)))
}

fn one_paragraph(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").nfc().collect()
}

impl Picture {
    /// Returns a JPEG of the picture with its caption on a strip of paper under it; nothing of the picture is covered.
    ///
    /// # Errors
    /// [`ViewingFault::Write`] when the picture cannot be coded.
    pub fn captioned(&self, caption: &Caption) -> Result<Viewing, ViewingFault> {
        let font = Lettering::new()
            .ok_or_else(|| ViewingFault::Write("the font cannot be read".to_owned()))?;
        let strip = Strip::new(&font, self, caption);
        let height = self.height().saturating_add(strip.height);
        let mut sheet = RgbImage::from_pixel(strip.width, height, PAPER);
        let beside = strip.width.saturating_sub(self.width()).div_euclid(2);
        imageops::replace(&mut sheet, &self.pixels, i64::from(beside), 0);
        strip.draw(&font, self.height(), &mut sheet);
        encode(
            sheet.as_raw(),
            (strip.width, height),
            VIEWING_QUALITY,
            self.profile,
        )
    }
}

/// One line of a strip.
struct Line {
    text: String,
    em: u16,
    ink: Rgb<u8>,
}

impl Line {
    fn height(&self) -> u32 {
        part(self.em, 27, 20)
    }
}

/// A strip as it will be drawn.
struct Strip {
    lines: Vec<Line>,
    margin: u16,
    width: u32,
    height: u32,
}

impl Strip {
    fn new(font: &Lettering, picture: &Picture, caption: &Caption) -> Self {
        let edge = picture.width().max(picture.height());
        let em = u16::try_from(edge.div_euclid(LETTERS_TO_EDGE)).unwrap_or(u16::MAX);
        let em = em.max(SMALLEST);
        let width = picture.width().max(part(em, u32::from(NARROWEST), 1));
        let room = f32::from(u16::try_from(width).unwrap_or(u16::MAX)) - 2.0 * f32::from(em);
        let small = u16::try_from(part(em, 4, 5)).unwrap_or(em);
        let mut lines = Vec::new();
        for (text, em, ink) in [
            (Some(&caption.who), em, INK),
            (Some(&caption.facts), small, SOFT),
            (caption.warning.as_ref(), small, ACCENT),
        ] {
            let broken = broken(font, text.map_or("", String::as_str), em, room);
            lines.extend(broken.into_iter().map(|text| Line { text, em, ink }));
        }
        let of_lines = lines
            .iter()
            .fold(0, |sum: u32, line| sum.saturating_add(line.height()));
        Self {
            lines,
            margin: em,
            width,
            height: of_lines.saturating_add(part(em, 3, 2)),
        }
    }

    /// Draws the lines, the first one `top` and a margin below the upper edge of the sheet.
    fn draw(&self, font: &Lettering, top: u32, sheet: &mut RgbImage) {
        let mut top = top.saturating_add(part(self.margin, 3, 5));
        for line in &self.lines {
            let (width, height) = (pixels(self.width), pixels(line.height()));
            let mut dots = Rasterizer::new(width, height);
            font.draw(
                &line.text,
                line.em,
                f32::from(self.margin),
                f32::from(line.em),
                &mut dots,
            );
            dots.for_each_pixel_2d(|x, y, coverage| {
                if let Some(dot) = sheet.get_pixel_mut_checked(x, top.saturating_add(y)) {
                    *dot = mixed(*dot, line.ink, level(coverage));
                }
            });
            top = top.saturating_add(line.height());
        }
    }
}

/// Returns `em` times `over` divided by `under`.
fn part(em: u16, over: u32, under: u32) -> u32 {
    u32::from(em)
        .saturating_mul(over)
        .checked_div(under)
        .unwrap_or(0)
}

fn pixels(length: u32) -> usize {
    usize::try_from(length).unwrap_or(0)
}

/// Returns a text in lines that fit into `room` pixels, broken between words, and inside a word only where it is too long alone.
fn broken(font: &Lettering, text: &str, em: u16, room: f32) -> Vec<String> {
    let fits = |line: &str| font.width(line, em) <= room;
    let mut lines: Vec<String> = Vec::new();
    for word in one_paragraph(text).split(' ').filter(|one| !one.is_empty()) {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        match (joined.filter(|line| fits(line)), lines.last_mut()) {
            (Some(joined), Some(last)) => *last = joined,
            _ => lines.extend(pieces(word, fits)),
        }
    }
    if lines.len() > MOST_LINES {
        lines.truncate(MOST_LINES);
        if let Some(last) = lines.last_mut() {
            last.push('…');
        }
    }
    lines
}

/// Returns a word in as few pieces as fit.
fn pieces(word: &str, fits: impl Fn(&str) -> bool) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in word.chars() {
        match pieces.last_mut() {
            Some(last) if last.is_empty() || fits(&format!("{last}{letter}")) => last.push(letter),
            _ => pieces.push(letter.to_string()),
        }
    }
    pieces
}

/// Returns how much of a dot is covered, from 0 to 255: the largest number that is not above it, bit by bit.
fn level(coverage: f32) -> u8 {
    let wanted = coverage.min(1.0) * 255.0 + 0.5;
    [128_u8, 64, 32, 16, 8, 4, 2, 1]
        .into_iter()
        .fold(0, |level, bit| {
            let more = level | bit;
            if f32::from(more) <= wanted {
                more
            } else {
                level
            }
        })
}

fn mixed(paper: Rgb<u8>, ink: Rgb<u8>, level: u8) -> Rgb<u8> {
    let [red, green, blue] = paper.0;
    let [ink_red, ink_green, ink_blue] = ink.0;
    let mix = |paper: u8, ink: u8| {
        let bare = u32::from(u8::MAX.saturating_sub(level));
        let sum = u32::from(paper)
            .saturating_mul(bare)
            .saturating_add(u32::from(ink).saturating_mul(u32::from(level)));
        u8::try_from(sum.saturating_add(127).div_euclid(255)).unwrap_or(u8::MAX)
    };
    Rgb([
        mix(red, ink_red),
        mix(green, ink_green),
        mix(blue, ink_blue),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(width: u32, height: u32) -> Picture {
        Picture {
            pixels: RgbImage::from_pixel(width, height, Rgb([120, 100, 80])),
            profile: super::super::Profile::Absent,
        }
    }

    fn caption(who: &str) -> Caption {
        Caption {
            who: who.to_owned(),
            facts: "about 1890 to 1905 · no. A-001 · front".to_owned(),
            warning: None,
        }
    }

    fn decoded(jpeg: &[u8]) -> RgbImage {
        image::load_from_memory(jpeg).expect("a JPEG").into_rgb8()
    }

    /// How many dots of these rows are darker than half.
    fn dark(sheet: &RgbImage, from: u32, to: u32) -> usize {
        let rows = (from..to).flat_map(|y| (0..sheet.width()).map(move |x| (x, y)));
        rows.filter(|(x, y)| sheet.get_pixel(*x, *y).0[1] < 128)
            .count()
    }

    #[test]
    fn three_alphabets_can_be_lettered_and_others_cannot() {
        for text in [
            "Łucja Ørsted, née Ångström",
            "Σοφία Παπαδοπούλου",
            "Ἀθηνᾶ",
            "Ольга Шевченко-Їжак",
            "Nguyễn Thị",
            "Zoe\u{308} (decomposed)",
        ] {
            assert!(can_be_lettered(text), "{text}");
        }
        for text in ["שרה בת יעקב", "山田花子", "محمد", "a\u{202e}b", "bell\u{7}"]
        {
            assert!(!can_be_lettered(text), "{text}");
        }
    }

    #[test]
    fn the_picture_stays_whole_and_the_words_stand_below() {
        let picture = picture(1400, 2000);
        let made = picture.captioned(&caption("Probably Cora Lunt")).unwrap();
        assert_eq!(made.width, 1400);
        assert!(made.height > 2000 && made.height < 2300, "{}", made.height);
        let sheet = decoded(&made.jpeg);
        assert_eq!((sheet.width(), sheet.height()), (made.width, made.height));
        let middle = sheet.get_pixel(700, 1000).0;
        assert!(
            middle
                .iter()
                .zip([120, 100, 80])
                .all(|(is, was)| is.abs_diff(was) < 4)
        );
        assert!(dark(&sheet, 2010, sheet.height()) > 2000);
        // Nothing is drawn to the very edge.
        assert_eq!(dark(&sheet, sheet.height() - 10, sheet.height()), 0);
    }

    #[test]
    fn other_words_give_other_dots_and_the_same_words_the_same() {
        let picture = picture(600, 840);
        let made = |who: &str| picture.captioned(&caption(who)).unwrap().jpeg;
        assert_eq!(made("Cora Lunt"), made("Cora Lunt"));
        assert_ne!(made("Cora Lunt"), made("Cora Lund"));
    }

    #[test]
    fn a_narrow_picture_gets_a_wider_strip_and_a_long_name_more_lines() {
        let small = picture(60, 84).captioned(&caption("Cora Lunt")).unwrap();
        assert!(small.width >= 300);
        let name = "Wilhelmina ".repeat(12);
        let short = picture(600, 840).captioned(&caption("Cora")).unwrap();
        let long = picture(600, 840).captioned(&caption(&name)).unwrap();
        assert!(long.height > short.height);
        let endless = picture(600, 840)
            .captioned(&caption(&"x".repeat(5000)))
            .unwrap();
        assert!(endless.height < 840 + 300, "{}", endless.height);
    }

    #[test]
    fn no_line_is_wider_than_its_room() {
        let font = Lettering::new().unwrap();
        let text = format!("Ann {} of the hill farm", "long".repeat(60));
        for line in broken(&font, &text, 20, 300.0) {
            assert!(font.width(&line, 20) <= 300.0 + 25.0, "{line}");
        }
    }

    #[test]
    fn levels_are_whole_and_in_order() {
        assert_eq!(
            (level(0.0), level(0.5), level(1.0), level(7.0)),
            (0, 128, 255, 255)
        );
        assert_eq!(level(f32::NAN), 255);
    }
}
