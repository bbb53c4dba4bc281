//! Lettering: a stroke alphabet of our own, written by a slightly unsteady hand, and set as if from type.
//!
//! Letters live in a cell: x to the right, y down, base line at y = 0, lower-case height 0.5, capitals and risers to -1.

use super::canvas::Canvas;
use super::noise::Chance;
use super::noise::noise2;

/// How words are put down.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Height of a capital in pixels.
    pub size: f32,
    /// Half the width of a stroke in pixels.
    pub weight: f32,
    /// Lean to the right: 0 upright, 0.3 a running hand.
    pub slant: f32,
    /// Unsteadiness: 0 type, 1 a shaking hand.
    pub shake: f32,
    /// How far the line rises over its length: 0 level.
    pub rise: f32,
    /// Space between letters, in cells.
    pub gap: f32,
    /// Colour.
    pub colour: [f32; 3],
    /// How much covers: 1 ink, 0.5 pencil.
    pub cover: f32,
    /// How much the tooth of the surface breaks the stroke: 0 ink, 1 crayon.
    pub broken: f32,
    /// Whether down strokes swell, as from a pen.
    pub swelling: bool,
    /// Number that makes hands differ.
    pub seed: u32,
}

/// Strokes of a character as points, and its width.
type Glyph = (f32, Vec<Vec<(f32, f32)>>);

/// Writes words with their base line starting at a place. Returns where the line ended.
pub fn write(canvas: &mut Canvas, words: &str, x: f32, y: f32, pen: &Pen) -> f32 {
    let mut chance = Chance::new(u64::from(pen.seed));
    let mut at = x;
    for letter in words.chars() {
        let (width, strokes) = glyph(letter);
        let drift = pen.shake * 0.035 * chance.normal();
        let scale = pen.size * (1.0 + pen.shake * 0.05 * chance.normal());
        for stroke in strokes {
            let points: Vec<(f32, f32)> = smooth(&stroke)
                .into_iter()
                .map(|(u, v)| {
                    let wobble = pen.shake * 0.045;
                    let du = wobble * (noise2(at * 0.05 + u * 3.0, v * 3.0, pen.seed) - 0.5);
                    let dv = wobble * (noise2(at * 0.05 + u * 3.0, v * 3.0, pen.seed + 1) - 0.5);
                    let px = at + (u + du - (v + dv) * pen.slant) * scale;
                    (px, y - (px - x) * pen.rise + (v + dv + drift) * scale)
                })
                .collect();
            trace(canvas, &points, pen);
        }
        at += (width + pen.gap) * scale;
    }
    at
}

/// Returns how wide words will be in pixels, apart from unsteadiness.
pub fn width(words: &str, pen: &Pen) -> f32 {
    words
        .chars()
        .map(|letter| (glyph(letter).0 + pen.gap) * pen.size)
        .sum()
}

/// Writes words centred about a place.
pub fn write_centred(canvas: &mut Canvas, words: &str, x: f32, y: f32, pen: &Pen) {
    write(canvas, words, x - width(words, pen) / 2.0, y, pen);
}

/// Draws a line through points.
pub fn trace(canvas: &mut Canvas, points: &[(f32, f32)], pen: &Pen) {
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let length = ((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0)).sqrt();
        let down = if length > 0.0 {
            (y1 - y0) / length
        } else {
            0.0
        };
        let swell = if pen.swelling {
            0.62 + 0.62 * down.max(0.0)
        } else {
            1.0
        };
        segment(canvas, (x0, y0), (x1, y1), pen.weight * swell, pen);
    }
}

fn segment(canvas: &mut Canvas, from: (f32, f32), to: (f32, f32), weight: f32, pen: &Pen) {
    let reach = weight + 1.5;
    let left = (from.0.min(to.0) - reach).floor().max(0.0) as usize;
    let right = (from.0.max(to.0) + reach).ceil().max(0.0) as usize;
    let top = (from.1.min(to.1) - reach).floor().max(0.0) as usize;
    let bottom = (from.1.max(to.1) + reach).ceil().max(0.0) as usize;
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let square = (dx * dx + dy * dy).max(1e-6);
    for row in top..bottom.min(canvas.height) {
        for column in left..right.min(canvas.width) {
            let (px, py) = (column as f32 - from.0, row as f32 - from.1);
            let share = ((px * dx + py * dy) / square).clamp(0.0, 1.0);
            let (ox, oy) = (px - dx * share, py - dy * share);
            let away = (ox * ox + oy * oy).sqrt();
            let mut ink = (weight + 0.6 - away).clamp(0.0, 1.2) / 1.2;
            let tooth = noise2(column as f32 / 2.2, row as f32 / 2.2, pen.seed + 9);
            ink *=
                1.0 - pen.broken * (0.9 * tooth + 0.35 * away / weight.max(0.1)).clamp(0.0, 0.95);
            let flow = 0.85 + 0.15 * noise2(column as f32 / 40.0, row as f32 / 40.0, pen.seed + 10);
            if ink > 0.0 {
                // Strokes that cross must not become darker than ink can be.
                darken(
                    canvas,
                    column,
                    row,
                    pen.colour,
                    (ink * pen.cover * flow).min(1.0),
                );
            }
        }
    }
}

fn darken(canvas: &mut Canvas, column: usize, row: usize, colour: [f32; 3], share: f32) {
    let pixel = &mut canvas.pixels[row * canvas.width + column];
    for (value, ink) in pixel.iter_mut().zip(colour) {
        let wished = *value + (ink - *value) * share;
        *value = value.min(wished).max(ink.min(*value));
    }
}

/// Rounds the corners of a stroke (Catmull-Rom), unless it has only two points.
fn smooth(points: &[(f32, f32)]) -> Vec<(f32, f32)> {
    if points.len() < 3 {
        return points.to_vec();
    }
    let mut curve = Vec::new();
    for index in 0..points.len() - 1 {
        let before = points[index.saturating_sub(1)];
        let (from, to) = (points[index], points[index + 1]);
        let after = points[(index + 2).min(points.len() - 1)];
        for part in 0..6 {
            let t = part as f32 / 6.0;
            let blend = |a: f32, b: f32, c: f32, d: f32| {
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            curve.push((
                blend(before.0, from.0, to.0, after.0),
                blend(before.1, from.1, to.1, after.1),
            ));
        }
    }
    curve.push(points[points.len() - 1]);
    curve
}

/// Each character: its width, then strokes as pairs of hundredths, strokes parted by `|`.
const ALPHABET: &[(char, f32, &str)] = &[
    ('A', 0.72, "0,0 34,-100|34,-100 70,0|14,-36 58,-36"),
    (
        'B',
        0.62,
        "6,0 6,-100|6,-100 40,-98 54,-78 40,-56 8,-53|8,-53 46,-50 60,-26 44,-3 6,0",
    ),
    (
        'C',
        0.68,
        "64,-82 50,-98 30,-98 10,-76 6,-46 16,-14 36,0 56,-6 66,-20",
    ),
    (
        'D',
        0.70,
        "6,0 6,-100|6,-100 36,-98 60,-78 66,-48 56,-16 34,-1 6,0",
    ),
    ('E', 0.58, "56,-100 6,-100|6,-100 6,0|6,0 58,0|6,-52 46,-52"),
    ('F', 0.55, "56,-100 6,-100|6,-100 6,0|6,-52 44,-52"),
    (
        'G',
        0.72,
        "64,-82 50,-98 30,-98 10,-76 6,-46 16,-14 36,0 56,-6 66,-18|66,-18 66,-44|66,-44 44,-44",
    ),
    ('H', 0.70, "6,0 6,-100|64,0 64,-100|6,-52 64,-52"),
    ('I', 0.24, "10,0 10,-100"),
    ('J', 0.46, "38,-100 38,-22 28,-2 12,-2 2,-16"),
    ('K', 0.64, "6,0 6,-100|58,-100 8,-44|24,-58 62,0"),
    ('L', 0.52, "6,-100 6,0|6,0 54,0"),
    (
        'M',
        0.84,
        "4,0 10,-100|10,-100 42,-26|42,-26 74,-100|74,-100 80,0",
    ),
    ('N', 0.72, "6,0 6,-100|6,-100 66,0|66,0 66,-100"),
    (
        'O',
        0.76,
        "36,-100 14,-86 4,-50 14,-14 36,0 60,-14 70,-50 60,-86 36,-100",
    ),
    ('P', 0.58, "6,0 6,-100|6,-100 40,-98 56,-76 40,-52 8,-48"),
    (
        'Q',
        0.78,
        "36,-100 14,-86 4,-50 14,-14 36,0 60,-14 70,-50 60,-86 36,-100|46,-22 74,8",
    ),
    (
        'R',
        0.62,
        "6,0 6,-100|6,-100 40,-98 56,-76 40,-54 8,-50|30,-50 60,0",
    ),
    (
        'S',
        0.58,
        "52,-84 38,-98 18,-97 6,-80 14,-60 38,-48 54,-30 46,-6 24,0 4,-14",
    ),
    ('T', 0.62, "2,-100 60,-100|31,-100 31,0"),
    (
        'U',
        0.68,
        "6,-100 6,-30 18,-3 42,-3 58,-28|58,-100 58,-28 62,0",
    ),
    ('V', 0.66, "2,-100 32,0|32,0 62,-100"),
    (
        'W',
        0.92,
        "2,-100 24,0|24,0 44,-80|44,-80 64,0|64,0 88,-100",
    ),
    ('X', 0.64, "4,-100 60,0|60,-100 4,0"),
    ('Y', 0.62, "2,-100 30,-50|58,-100 30,-50|30,-50 30,0"),
    ('Z', 0.62, "4,-100 58,-100|58,-100 4,0|4,0 60,0"),
    (
        'a',
        0.50,
        "42,-44 26,-52 8,-38 6,-16 18,0 34,-8 42,-30|42,-50 40,-14 46,-2 54,-8",
    ),
    (
        'b',
        0.48,
        "6,-100 6,-4|6,-30 22,-50 40,-44 44,-20 30,-1 6,-6",
    ),
    ('c', 0.42, "40,-42 26,-52 8,-40 5,-18 18,0 34,-3 44,-14"),
    (
        'd',
        0.52,
        "42,-44 26,-52 8,-38 6,-16 18,0 34,-8 42,-30|44,-100 42,-14 48,-2 56,-8",
    ),
    (
        'e',
        0.44,
        "6,-26 34,-32 36,-46 22,-52 8,-38 6,-16 18,0 32,-3 44,-16",
    ),
    ('f', 0.34, "40,-92 28,-100 18,-86 16,-50 16,0|2,-52 34,-54"),
    (
        'g',
        0.50,
        "42,-44 26,-52 8,-38 6,-16 18,-2 34,-10 42,-30|42,-50 42,14 32,36 14,36 4,24",
    ),
    (
        'h',
        0.50,
        "6,-100 6,0|6,-30 20,-50 36,-48 40,-28 40,-8 46,0 54,-8",
    ),
    ('i', 0.24, "8,-50 8,-10 14,0 22,-8|8,-72 9,-74"),
    ('j', 0.26, "12,-50 12,16 4,36 -10,34|12,-72 13,-74"),
    ('k', 0.46, "6,-100 6,0|38,-52 8,-22|18,-30 42,0"),
    ('l', 0.24, "8,-100 8,-12 14,0 22,-8"),
    (
        'm',
        0.78,
        "5,-50 6,0|6,-30 18,-50 32,-46 34,-26 34,0|34,-30 46,-50 60,-46 64,-26 64,-8 70,0 78,-8",
    ),
    (
        'n',
        0.52,
        "5,-50 6,0|6,-30 20,-50 36,-48 40,-28 40,-8 46,0 54,-8",
    ),
    (
        'o',
        0.48,
        "24,-52 8,-40 5,-22 14,-2 30,-2 42,-20 40,-42 24,-52",
    ),
    (
        'p',
        0.48,
        "6,-50 6,40|6,-30 22,-50 40,-44 44,-20 30,-1 6,-8",
    ),
    (
        'q',
        0.48,
        "42,-44 26,-52 8,-38 6,-16 18,0 34,-8 42,-30|42,-50 42,40",
    ),
    ('r', 0.38, "5,-50 7,0|7,-28 18,-48 34,-50"),
    (
        's',
        0.38,
        "34,-44 22,-52 8,-44 12,-30 30,-22 32,-6 18,0 3,-8",
    ),
    ('t', 0.34, "14,-84 14,-12 20,0 32,-6|2,-54 32,-55"),
    (
        'u',
        0.52,
        "6,-50 6,-16 14,-1 30,-4 40,-24|40,-50 40,-10 46,0 54,-8",
    ),
    ('v', 0.46, "3,-50 20,0|20,0 40,-50"),
    ('w', 0.66, "3,-50 16,0|16,0 30,-42|30,-42 44,0|44,0 60,-50"),
    ('x', 0.44, "4,-50 40,0|40,-50 4,0"),
    (
        'y',
        0.48,
        "6,-50 10,-16 22,-4 38,-24|42,-50 38,8 26,36 8,34",
    ),
    ('z', 0.44, "4,-50 38,-50|38,-50 4,0|4,0 42,-1"),
    (
        '0',
        0.56,
        "28,-100 10,-86 4,-50 12,-12 28,0 44,-14 52,-50 44,-86 28,-100",
    ),
    ('1', 0.34, "6,-78 22,-100|22,-100 22,0"),
    ('2', 0.56, "6,-78 14,-96 32,-100 48,-84 44,-62 4,0|4,0 52,0"),
    (
        '3',
        0.54,
        "6,-88 24,-100 44,-88 42,-64 22,-54|22,-54 46,-46 50,-20 34,-1 14,-2 2,-16",
    ),
    ('4', 0.58, "40,0 40,-100|40,-100 4,-32|4,-32 54,-32"),
    (
        '5',
        0.54,
        "48,-100 12,-100|12,-100 8,-56|8,-56 30,-64 48,-48 48,-20 32,-1 12,-2 2,-14",
    ),
    (
        '6',
        0.56,
        "44,-96 26,-84 10,-52 6,-24 18,-1 38,-2 50,-22 44,-46 28,-54 10,-42",
    ),
    ('7', 0.52, "4,-100 50,-100|50,-100 18,0"),
    (
        '8',
        0.54,
        "28,-54 8,-66 8,-90 26,-100 46,-90 46,-68 28,-54 6,-40 4,-12 24,0 46,-8 50,-36 28,-54",
    ),
    (
        '9',
        0.56,
        "48,-76 34,-100 14,-96 6,-74 16,-54 36,-56 48,-76|48,-76 46,-34 36,-8 18,0",
    ),
    ('-', 0.46, "6,-40 40,-42"),
    ('–', 0.66, "6,-38 60,-40"),
    ('.', 0.22, "9,-2 10,-1"),
    (',', 0.22, "10,-4 11,0 4,12"),
    (
        '?',
        0.46,
        "4,-80 14,-98 32,-96 40,-78 22,-52 21,-26|21,-3 22,-1",
    ),
    (
        '&',
        0.70,
        "62,-40 42,-8 22,0 6,-14 12,-40 40,-70 36,-94 20,-98 14,-80 30,-46 64,0",
    ),
    ('\'', 0.18, "8,-100 6,-80"),
    (':', 0.22, "9,-40 10,-39|9,-4 10,-3"),
    (
        '¢',
        0.46,
        "40,-42 26,-52 8,-40 5,-18 18,0 34,-3 44,-14|24,-66 24,14",
    ),
    ('/', 0.44, "4,8 40,-104"),
    ('(', 0.30, "24,-106 10,-76 8,-30 22,10"),
    (')', 0.30, "6,-106 20,-76 22,-30 8,10"),
];

fn glyph(letter: char) -> Glyph {
    let Some((_, width, strokes)) = ALPHABET.iter().find(|(known, ..)| *known == letter) else {
        return (0.36, Vec::new());
    };
    let strokes = strokes
        .split('|')
        .map(|stroke| {
            stroke
                .split(' ')
                .filter_map(|point| {
                    let (x, y) = point.split_once(',')?;
                    Some((
                        x.parse::<f32>().ok()? / 100.0,
                        y.parse::<f32>().ok()? / 100.0,
                    ))
                })
                .collect()
        })
        .collect();
    (*width, strokes)
}

/// A soft crayon of the copying house.
pub const CRAYON: Pen = Pen {
    size: 150.0,
    weight: 6.5,
    slant: 0.16,
    shake: 0.8,
    rise: 0.03,
    gap: 0.12,
    colour: [0.16, 0.20, 0.34],
    cover: 0.95,
    broken: 0.75,
    swelling: false,
    seed: 618,
};

/// Iron-gall ink, gone brown.
pub const INK: Pen = Pen {
    size: 62.0,
    weight: 2.3,
    slant: 0.34,
    shake: 0.75,
    rise: 0.015,
    gap: 0.06,
    colour: [0.24, 0.15, 0.09],
    cover: 0.92,
    broken: 0.12,
    swelling: true,
    seed: 12,
};

/// Soft pencil.
pub const PENCIL: Pen = Pen {
    size: 60.0,
    weight: 1.7,
    slant: 0.26,
    shake: 0.9,
    rise: 0.02,
    gap: 0.07,
    colour: [0.30, 0.29, 0.29],
    cover: 0.75,
    broken: 0.55,
    swelling: false,
    seed: 33,
};

/// Printer's type.
pub const TYPE: Pen = Pen {
    size: 40.0,
    weight: 1.6,
    slant: 0.0,
    shake: 0.0,
    rise: 0.0,
    gap: 0.14,
    colour: [0.18, 0.15, 0.14],
    cover: 0.9,
    broken: 0.06,
    swelling: true,
    seed: 5,
};
