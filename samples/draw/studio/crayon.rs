//! Large portraits in the manner of the copying houses: a faint photograph, worked over with charcoal and stump, stippled
//! background, the whole fading into bare paper.

use super::arithmetic::mix;
use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::Field;
use super::canvas::blend;
use super::figure::Seen;
use super::figure::backdrop;
use super::noise::clouds;
use super::noise::lattice;
use super::noise::noise2;

/// How a portrait is worked.
#[derive(Debug, Clone, Copy)]
pub struct Manner {
    /// Number that makes grain and strokes differ.
    pub seed: u32,
    /// Units of space that the height shows, and the middle: as the camera saw.
    pub units: f32,
    /// The middle of the picture in space.
    pub middle: (f32, f32),
    /// Colour of the bare paper.
    pub paper: [f32; 3],
    /// Colour of the deepest black.
    pub black: [f32; 3],
    /// Colour between.
    pub middle_tone: [f32; 3],
    /// How strongly the hand shows: 0 photograph alone, 1 worked all over.
    pub worked: f32,
    /// Darkness of the background: 0 bare, 1 dark.
    pub ground: f32,
    /// Whether the edges fade into bare paper.
    pub fades: bool,
}

/// Charcoal on cream paper.
pub const CHARCOAL: Manner = Manner {
    seed: 1,
    units: 6.0,
    middle: (0.0, -1.3),
    paper: [0.905, 0.855, 0.745],
    black: [0.115, 0.105, 0.110],
    middle_tone: [0.520, 0.475, 0.420],
    worked: 1.0,
    ground: 0.55,
    fades: true,
};

/// Returns the finished picture.
pub fn portrait(seen: &Seen, manner: &Manner) -> Canvas {
    let (width, height) = (seen.width, seen.height);
    let tone = Field {
        width,
        height,
        values: seen.tone.clone(),
    };
    let cover = Field {
        width,
        height,
        values: seen.cover.clone(),
    };
    let fine = (height / 900).max(1);
    let cover = cover.blurred(fine);
    let soft = premultiplied(&tone, &seen.cover).blurred(fine);
    let broad = soft.blurred(height / 90);
    let near = soft.blurred(height / 260 + 1);
    let shadow = cover.blurred(height / 28);
    Canvas::from(width, height, &|x, y| {
        let (u, v) = place(x, y, width, height, manner);
        let covered = cover.at(x, y);
        let ground = ground(u, v, shadow.at(x, y), manner);
        let here = soft.at(x, y);
        // The artist strengthens every edge and the modelling.
        let drawn =
            here + manner.worked * (0.75 * (here - near.at(x, y)) + 0.30 * (here - broad.at(x, y)));
        let figure = drawn + (1.0 - covered) * ground;
        let value = tone_curve(figure);
        let fade = fading(x, y, width, height, manner);
        let value = mix(0.97, value, fade);
        coloured(rubbed(value, x, y, covered, manner), manner)
    })
}

fn premultiplied(tone: &Field, cover: &[f32]) -> Field {
    let mut field = tone.clone();
    for (value, share) in field.values.iter_mut().zip(cover) {
        *value *= share;
    }
    field
}

fn place(x: f32, y: f32, width: usize, height: usize, manner: &Manner) -> (f32, f32) {
    let scale = manner.units / height as f32;
    (
        (x - width as f32 / 2.0) * scale + manner.middle.0,
        (height as f32 / 2.0 - y) * scale + manner.middle.1,
    )
}

fn ground(u: f32, v: f32, shadow: f32, manner: &Manner) -> f32 {
    let cloudy = clouds(u * 1.3, v * 1.3, 4, manner.seed + 40) - 0.5;
    let light = backdrop(u, v) + 0.16 * cloudy;
    // A soft dark halo sets the head off on its lit side.
    let halo = 0.20 * shadow * step(0.9, -0.6, u);
    mix(0.97, light - halo, manner.ground)
}

fn tone_curve(value: f32) -> f32 {
    let value = value.clamp(0.0, 1.0);
    // Photographic paper: open shadows, gentle shoulder.
    let lifted = value.sqrt() * 0.50 + value * 0.50;
    mix(lifted, step(0.04, 0.98, lifted), 0.70)
}

fn fading(x: f32, y: f32, width: usize, height: usize, manner: &Manner) -> f32 {
    if !manner.fades {
        return 1.0;
    }
    let (u, v) = (
        (x / width as f32 - 0.5) / 0.50,
        (y / height as f32 - 0.47) / 0.50,
    );
    let ragged = 0.16
        * (clouds(
            x / width as f32 * 5.0,
            y / height as f32 * 7.0,
            4,
            manner.seed + 44,
        ) - 0.5)
        + 0.10 * (hatch(x, y, height, manner.seed) - 0.5);
    let out = (u * u + v * v).sqrt() + ragged;
    1.0 - step(0.62, 0.98, out)
}

/// Returns strokes of the stick: long, thin, slanting.
fn hatch(x: f32, y: f32, height: usize, seed: u32) -> f32 {
    let size = height as f32 / 1400.0;
    let along = (x * 0.57 + y * 0.82) / size;
    let across = (x * 0.82 - y * 0.57) / size;
    let bend = 6.0 * noise2(along / 160.0, across / 160.0, seed + 51);
    noise2(along / 55.0, (across + bend) / 2.6, seed + 52) * 0.6
        + noise2(along / 110.0, (across + bend) / 5.0, seed + 53) * 0.4
}

/// Lays the value down as charcoal: it catches on the tooth of the paper and shows the stroke.
fn rubbed(value: f32, x: f32, y: f32, covered: f32, manner: &Manner) -> f32 {
    let dark = 1.0 - value.clamp(0.0, 1.0);
    let tooth = 0.55 * lattice(x as i32, y as i32, 0, manner.seed + 60)
        + 0.45 * noise2(x / 1.9, y / 1.9, manner.seed + 61)
        - 0.5;
    let catches = 4.0 * dark * (1.0 - dark);
    let stroke = hatch(x, y, 1400, manner.seed + 7) - 0.5;
    let open = mix(0.75, 0.30, covered);
    let laid = dark
        + manner.worked * catches * (0.20 * tooth + 0.34 * open * stroke)
        + manner.worked * 0.10 * stroke * step(0.55, 0.9, dark);
    1.0 - laid.clamp(0.0, 1.0)
}

fn coloured(value: f32, manner: &Manner) -> [f32; 3] {
    if value < 0.5 {
        blend(manner.black, manner.middle_tone, value * 2.0)
    } else {
        blend(manner.middle_tone, manner.paper, value * 2.0 - 1.0)
    }
}
