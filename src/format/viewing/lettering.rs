//! Letters for pictures: the one font that the program carries, measured and drawn.
//!
//! The font is a part of `DejaVu` Sans with the Latin, Greek and Cyrillic alphabets; its licence lies beside it. Drawing uses
//! nothing but plain arithmetic that every machine rounds alike, so the same words give the same dots everywhere.

use ab_glyph_rasterizer::Point;
use ab_glyph_rasterizer::Rasterizer;
use ab_glyph_rasterizer::point;
use ttf_parser::Face;
use ttf_parser::GlyphId;
use ttf_parser::OutlineBuilder;

const FONT: &[u8] = include_bytes!("font/DejaVuSans-subset.ttf");

/// The font, ready to measure and draw.
pub(super) struct Lettering {
    face: Face<'static>,
}

impl Lettering {
    /// Returns the font that the program carries.
    pub(super) fn new() -> Option<Self> {
        let face = Face::parse(FONT, 0).ok()?;
        Some(Self { face })
    }

    /// Tells whether the font has every letter of a text.
    pub(super) fn has(&self, text: &str) -> bool {
        text.chars().all(|one| self.glyph(one).is_some())
    }

    /// Returns the width of a text in pixels; `em` is the size of the letters.
    pub(super) fn width(&self, text: &str, em: u16) -> f32 {
        let advances = text.chars().map(|one| self.advance(one));
        advances.sum::<f32>() * self.scale(em)
    }

    /// Adds the outlines of a text, from `left` on, standing on the line `base`.
    pub(super) fn draw(&self, text: &str, em: u16, left: f32, base: f32, onto: &mut Rasterizer) {
        let scale = self.scale(em);
        let mut pen = Pen {
            left,
            base,
            scale,
            start: point(0.0, 0.0),
            at: point(0.0, 0.0),
            onto,
        };
        for one in text.chars() {
            if let Some(glyph) = self.glyph(one) {
                self.face.outline_glyph(glyph, &mut pen);
            }
            pen.left += self.advance(one) * scale;
        }
    }

    fn glyph(&self, letter: char) -> Option<GlyphId> {
        self.face.glyph_index(letter).filter(|one| one.0 != 0)
    }

    /// In units of the font.
    fn advance(&self, letter: char) -> f32 {
        let glyph = self.glyph(letter);
        let advance = glyph.and_then(|one| self.face.glyph_hor_advance(one));
        f32::from(advance.unwrap_or(0))
    }

    fn scale(&self, em: u16) -> f32 {
        f32::from(em) / f32::from(self.face.units_per_em().max(1))
    }
}

/// Turns outlines of the font, which count upwards from the line, into places in the picture.
struct Pen<'a> {
    left: f32,
    base: f32,
    scale: f32,
    start: Point,
    at: Point,
    onto: &'a mut Rasterizer,
}

impl Pen<'_> {
    fn place(&self, x: f32, y: f32) -> Point {
        point(self.left + x * self.scale, self.base - y * self.scale)
    }
}

impl OutlineBuilder for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.start = self.place(x, y);
        self.at = self.start;
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let to = self.place(x, y);
        self.onto.draw_line(self.at, to);
        self.at = to;
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (by, to) = (self.place(x1, y1), self.place(x, y));
        self.onto.draw_quad(self.at, by, to);
        self.at = to;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (by, then, to) = (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.onto.draw_cubic(self.at, by, then, to);
        self.at = to;
    }

    fn close(&mut self) {
        self.onto.draw_line(self.at, self.start);
        self.at = self.start;
    }
}
