//! Card photographs: a print on its mount, the imprint, the back, and the sheet of a scanner.

use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::blend;
use super::canvas::lit;
use super::crayon::Manner;
use super::figure::Seen;
use super::figure::View;
use super::lettering;
use super::lettering::Pen;
use super::lettering::TYPE;
use super::noise::clouds;
use super::noise::lattice;
use super::surface;
use super::trevanick::drawn;

/// A card on which a print is mounted.
#[derive(Debug, Clone, Copy)]
pub struct Card {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// Margin between print and edge at sides and top, in pixels.
    pub margin: usize,
    /// Margin below the print, in pixels.
    pub foot: usize,
    /// Colour of the card.
    pub colour: [f32; 3],
    /// The finish of its edge.
    pub edge: Edge,
    /// Number that makes it differ.
    pub seed: u32,
}

/// The finish of a card's edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Cut square.
    Square,
    /// A fine red rule.
    Ruled,
    /// Bevelled and gilded.
    Gilt,
    /// A pressed border.
    Embossed,
}

/// A carte-de-visite: 2½ by 4 inches at 300 dots per inch.
pub const VISITING_CARD: Card = Card {
    width: 750,
    height: 1200,
    margin: 48,
    foot: 150,
    colour: [0.90, 0.86, 0.76],
    edge: Edge::Square,
    seed: 100,
};

/// A cabinet card: 4¼ by 6½ inches at 200 dots per inch.
pub const CABINET: Card = Card {
    width: 850,
    height: 1300,
    margin: 30,
    foot: 160,
    colour: [0.84, 0.78, 0.64],
    edge: Edge::Square,
    seed: 200,
};

/// A photograph on albumen paper, toned and faded.
pub const ALBUMEN: Manner = Manner {
    seed: 60,
    units: 6.4,
    middle: (0.0, -1.2),
    paper: [0.900, 0.820, 0.660],
    black: [0.205, 0.120, 0.085],
    middle_tone: [0.570, 0.410, 0.285],
    worked: 0.0,
    ground: 0.75,
    fades: false,
};

/// Returns the front of a card: print, edge, and the words printed below it left and right.
pub fn front(
    card: &Card,
    model: &dyn Fn(&View) -> Seen,
    manner: &Manner,
    left: &str,
    right: &str,
) -> Canvas {
    let (width, height) = (
        card.width - 2 * card.margin,
        card.height - card.margin - card.foot,
    );
    let mut print = drawn(model, width, height, manner, 0.5);
    aged(&mut print, card.seed);
    let mut canvas = blank(card);
    let margin = card.margin as f32;
    canvas.touch(&|x, y, pixel| {
        let (u, v) = (x - margin, y - margin);
        if u < 0.0 || v < 0.0 || u >= width as f32 || v >= height as f32 {
            return pixel;
        }
        // Corners of prints were often rounded a little.
        let (dx, dy) = (u.min(width as f32 - u), v.min(height as f32 - v));
        let corner = 14.0;
        if dx < corner
            && dy < corner
            && (corner - dx) * (corner - dx) + (corner - dy) * (corner - dy) > corner * corner
        {
            return pixel;
        }
        print.at(u, v)
    });
    let base = card.height as f32 - card.foot as f32 * 0.42;
    let pen = imprint_pen(card);
    let end = card.width as f32 - margin - 14.0 - lettering::width(right, &pen);
    for (words, x) in [(left, margin + 14.0), (right, end)] {
        if is_dark(card) {
            gilded(&mut canvas, words, x, base, &pen);
        } else {
            lettering::write(&mut canvas, words, x, base, &pen);
        }
    }
    finish(&mut canvas, card)
}

/// Returns a card without a print.
pub fn blank(card: &Card) -> Canvas {
    let mut canvas = surface::board(card.width, card.height, card.colour, card.seed + 1);
    let (w, h) = (card.width as f32, card.height as f32);
    let edge = card.edge;
    canvas.touch(&|x, y, pixel| {
        let out = x.min(y).min(w - x).min(h - y);
        let line = |at: f32, half: f32| (half + 0.6 - (out - at).abs()).clamp(0.0, 1.0);
        match edge {
            Edge::Square => pixel,
            Edge::Ruled => blend(
                pixel,
                [0.62, 0.20, 0.16],
                0.8 * line(18.0, 1.3).max(line(24.0, 0.4)),
            ),
            Edge::Gilt => {
                let gold = 0.9 + 0.3 * clouds(x / 30.0, y / 30.0, 3, 5);
                blend(
                    pixel,
                    lit([0.74, 0.58, 0.28], gold),
                    1.0 - step(9.0, 12.0, out),
                )
            }
            Edge::Embossed => {
                let wave = 3.0 * super::arithmetic::sin((x + y) / 9.0);
                let ridge = step(4.0, 0.0, (out - 26.0 - wave).abs())
                    - step(4.0, 0.0, (out - 31.0 - wave).abs());
                lit(pixel, 1.0 + 0.10 * ridge)
            }
        }
    });
    canvas
}

fn is_dark(card: &Card) -> bool {
    card.colour[0] < 0.4
}

/// Writes pale words on a dark card, which the pens for paper cannot.
pub fn gilded(canvas: &mut Canvas, words: &str, x: f32, y: f32, pen: &Pen) {
    let mut mask = Canvas::from(canvas.width, canvas.height, &|_, _| [1.0; 3]);
    let black = Pen {
        colour: [0.0; 3],
        ..*pen
    };
    lettering::write(&mut mask, words, x, y, &black);
    canvas.touch(&|x, y, pixel| blend(pixel, pen.colour, 1.0 - mask.at(x, y)[0]));
}

fn imprint_pen(card: &Card) -> Pen {
    let dark = is_dark(card);
    Pen {
        size: 30.0,
        weight: 1.4,
        slant: 0.18,
        colour: if dark {
            [0.80, 0.66, 0.36]
        } else {
            [0.34, 0.22, 0.16]
        },
        ..TYPE
    }
}

/// Fades the edges of a print, yellows it, and lets the light break through in specks.
pub fn aged(print: &mut Canvas, seed: u32) {
    let (w, h) = (print.width as f32, print.height as f32);
    print.touch(&|x, y, pixel| {
        let out = x.min(y).min(w - x).min(h - y) / h;
        let fade = 0.22 * (1.0 - step(0.0, 0.07, out + 0.03 * clouds(x / 90.0, y / 90.0, 3, seed)));
        let grain = 1.0 + 0.035 * (lattice(x as i32, y as i32, 0, seed + 1) - 0.5);
        blend(lit(pixel, grain), [0.90, 0.82, 0.64], fade)
    });
    surface::foxing(print, 7, 0.22, u64::from(seed) + 3);
    surface::scuffs(print, 9, [0.93, 0.88, 0.76], 0.35, u64::from(seed) + 4);
}

/// Returns the back of a card with lines of print in the middle.
pub fn back(card: &Card, lines: &[(&str, f32)], flourish: bool) -> Canvas {
    let mut canvas = blank(card);
    let middle = card.width as f32 / 2.0;
    let mut y = card.height as f32 * 0.42;
    for (words, size) in lines {
        let pen = Pen {
            size: *size,
            weight: size / 21.0,
            ..imprint_pen(card)
        };
        lettering::write_centred(&mut canvas, words, middle, y, &pen);
        y += size * 1.9;
    }
    if flourish {
        scroll(
            &mut canvas,
            middle,
            card.height as f32 * 0.33,
            &imprint_pen(card),
        );
        scroll(&mut canvas, middle, y + 10.0, &imprint_pen(card));
    }
    surface::foxing(&mut canvas, 16, 0.4, u64::from(card.seed) + 9);
    finish(&mut canvas, card)
}

/// Draws a printer's scroll.
fn scroll(canvas: &mut Canvas, x: f32, y: f32, pen: &Pen) {
    for side in [-1.0_f32, 1.0] {
        let points: Vec<(f32, f32)> = (0..=60)
            .map(|part| {
                let t = part as f32 / 60.0;
                let turn = t * 9.0;
                let wide = 120.0 * t - 26.0 * t * super::arithmetic::sin(turn);
                (
                    x + side * wide,
                    y - 24.0 * t * super::arithmetic::cos(turn) * (1.0 - t),
                )
            })
            .collect();
        lettering::trace(canvas, &points, pen);
    }
}

/// Lays the card on the scanner: pale lid around it, a soft shadow on one side, worn corners.
fn finish(canvas: &mut Canvas, card: &Card) -> Canvas {
    let (w, h) = (card.width as f32, card.height as f32);
    canvas.touch(&|x, y, pixel| {
        let (dx, dy) = (x.min(w - x), y.min(h - y));
        let corner = 9.0 + 10.0 * clouds(x / 60.0, y / 60.0, 2, card.seed + 5);
        let cut = dx + dy < corner * 0.55;
        let ragged = 1.0 + 1.6 * clouds(x / 9.0, y / 9.0, 2, card.seed + 6);
        if cut || dx.min(dy) < ragged {
            [0.90, 0.90, 0.89]
        } else {
            pixel
        }
    });
    canvas.clone()
}
