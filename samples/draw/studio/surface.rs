//! Surfaces and what time does to them: board, paper, cloth, foxing, scuffs, stains.

use super::arithmetic::exp;
use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::blend;
use super::canvas::lit;
use super::noise::Chance;
use super::noise::clouds;
use super::noise::lattice;
use super::noise::noise2;

/// Returns a canvas of pulp board: mottled, fibrous, browner towards the edges.
pub fn board(width: usize, height: usize, colour: [f32; 3], seed: u32) -> Canvas {
    let size = height as f32 / 1000.0;
    Canvas::from(width, height, &|x, y| {
        let (u, v) = (x / size, y / size);
        let mottled = clouds(u / 160.0, v / 160.0, 5, seed) - 0.5;
        let fibre = noise2(
            u / 14.0 + 4.0 * noise2(u / 90.0, v / 90.0, seed + 2),
            v / 1.7,
            seed + 3,
        ) - 0.5;
        let tooth = lattice(x as i32, y as i32, 0, seed + 4) - 0.5;
        let edge = edge_distance(x, y, width, height) / size;
        let tan = 0.16 * exp(-edge / 60.0) + 0.07 * exp(-edge / 220.0);
        let light = 1.0 + 0.13 * mottled + 0.05 * fibre + 0.035 * tooth;
        blend(lit(colour, light), [0.42, 0.28, 0.16], tan)
    })
}

fn edge_distance(x: f32, y: f32, width: usize, height: usize) -> f32 {
    x.min(y)
        .min(width as f32 - x)
        .min(height as f32 - y)
        .max(0.0)
}

/// Lays flat brown spots (foxing) over a canvas.
pub fn foxing(canvas: &mut Canvas, spots: u32, strength: f32, seed: u64) {
    let mut chance = Chance::new(seed);
    let size = canvas.height as f32 / 1000.0;
    for _ in 0..spots {
        let (x, y) = (
            chance.unit() * canvas.width as f32,
            chance.unit() * canvas.height as f32,
        );
        let large = chance.unit();
        let radius = size * (1.5 + 13.0 * large * large * large);
        let strong = strength * chance.between(0.25, 0.8);
        let number = chance.bits() as u32;
        stain(canvas, (x, y), radius, [0.45, 0.25, 0.10], strong, number);
    }
}

/// Lays one ragged spot.
pub fn stain(
    canvas: &mut Canvas,
    (x, y): (f32, f32),
    radius: f32,
    colour: [f32; 3],
    strength: f32,
    seed: u32,
) {
    let reach = radius * 2.2;
    let rows = (y - reach).max(0.0) as usize..(y + reach).max(0.0) as usize;
    for row in rows {
        for column in (x - reach).max(0.0) as usize..(x + reach).max(0.0) as usize {
            let (dx, dy) = (column as f32 - x, row as f32 - y);
            let ragged = 0.7 + 0.6 * clouds(dx / radius + 9.0, dy / radius + 9.0, 3, seed);
            let out = (dx * dx + dy * dy).sqrt() / (radius * ragged);
            canvas.lay(
                column,
                row,
                colour,
                strength * (1.0 - step(0.35, 1.35, out)),
            );
        }
    }
}

/// Rubs bright scratches and dull scuffs into a canvas.
pub fn scuffs(canvas: &mut Canvas, count: u32, colour: [f32; 3], strength: f32, seed: u64) {
    let mut chance = Chance::new(seed);
    let size = canvas.height as f32 / 1000.0;
    for _ in 0..count {
        let (mut x, mut y) = (
            chance.unit() * canvas.width as f32,
            chance.unit() * canvas.height as f32,
        );
        let (mut dx, mut dy) = (chance.normal(), chance.normal());
        let length = (dx * dx + dy * dy).sqrt().max(0.1);
        dx /= length;
        dy /= length;
        let strong = strength * chance.between(0.2, 1.0);
        for _ in 0..(chance.between(20.0, 130.0) * size) as u32 {
            x += dx;
            y += dy;
            dx += 0.04 * chance.normal();
            dy += 0.04 * chance.normal();
            let here = strong * chance.between(0.2, 1.0);
            if x >= 0.0 && y >= 0.0 {
                canvas.lay(x as usize, y as usize, colour, here);
            }
        }
    }
}

/// Darkens a tide line along the lower edge, where damp stood.
pub fn tide(canvas: &mut Canvas, level: f32, strength: f32, seed: u32) {
    let (width, height) = (canvas.width as f32, canvas.height as f32);
    canvas.touch(&|x, y, pixel| {
        let line = height * (level + 0.05 * (clouds(x / width * 4.0, 0.5, 4, seed) - 0.5));
        let past = (y - line) / height;
        let rim = exp(-(past / 0.006) * (past / 0.006));
        let below = step(0.0, 0.05, past) * 0.25;
        blend(pixel, [0.40, 0.27, 0.15], strength * (rim * 0.7 + below))
    });
}

/// Returns a canvas of dark cloth, as laid under things to be photographed.
pub fn cloth(width: usize, height: usize, colour: [f32; 3], seed: u32) -> Canvas {
    let size = height as f32 / 1000.0;
    Canvas::from(width, height, &|x, y| {
        let (u, v) = (x / size, y / size);
        let fold = clouds(u / 420.0 + v / 900.0, v / 700.0, 3, seed) - 0.5;
        let weave =
            (noise2(u / 2.4, v / 6.0, seed + 1) - 0.5) + (noise2(u / 6.0, v / 2.4, seed + 2) - 0.5);
        lit(colour, 1.0 + 0.75 * fold + 0.14 * weave)
    })
}

/// Returns a canvas of planed wood, grain running across.
pub fn wood(width: usize, height: usize, colour: [f32; 3], seed: u32) -> Canvas {
    let size = height as f32 / 1000.0;
    Canvas::from(width, height, &|x, y| {
        let (u, v) = (x / size, y / size);
        let warp = 18.0 * clouds(u / 300.0, v / 80.0, 3, seed);
        let ring = noise2(u / 260.0, (v + warp) / 6.5, seed + 1) - 0.5;
        let pore = noise2(u / 26.0, (v + warp) / 1.3, seed + 2);
        lit(colour, 1.0 + 0.45 * ring - 0.22 * step(0.66, 0.95, pore))
    })
}
