//! Clothes as solids: coats, bodices, gowns, and the bodies beneath them. The head's units hold: shoulders at y = -2.

use super::arithmetic::Vector;
use super::arithmetic::at;
use super::arithmetic::round_the_circle;
use super::arithmetic::sin;
use super::arithmetic::step;
use super::head::Stuff;
use super::noise::noise3;
use super::solid::block;
use super::solid::carve;
use super::solid::ellipsoid;
use super::solid::join;
use super::solid::rod;
use super::solid::tapered;

/// What a sitter wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dress {
    /// A seaman's double-breasted coat with broad lapels and a neckerchief.
    PilotCoat,
    /// A gentleman's coat with waistcoat and bow tie.
    FrockCoat,
    /// A bodice with high collar and full puffed sleeves.
    PuffedSleeves,
    /// A plain bodice with a small white collar and a brooch.
    PlainBodice,
    /// A stage gown with bare shoulders and flowers.
    Gown,
    /// A white infant's gown.
    Infant,
    /// A jacket with narrow lapels and a long tie.
    Suit,
    /// A veil and a light gown.
    Bride,
}

/// A quarter of a turn in radians: makes the four quarters of [`round_the_circle`] close.
pub const QUARTER: f32 = 1.570_796_4;

/// Returns how far in front the chest stands at a place.
fn chest_front(x: f32, y: f32) -> f32 {
    let inside = 1.0 - (x / 1.75) * (x / 1.75) - ((y + 3.5) / 1.75) * ((y + 3.5) / 1.75);
    -0.28 + 0.88 * inside.max(0.0).sqrt()
}

fn torso(p: Vector, breadth: f32) -> f32 {
    let m = p.mirrored();
    let chest = ellipsoid(p - at(0.0, -3.5, -0.28), at(1.75 * breadth, 1.75, 0.88));
    let shoulder = tapered(
        m,
        at(0.30, -1.78, -0.36),
        at(1.52 * breadth, -2.32, -0.34),
        0.36,
        0.42,
    );
    let arm = tapered(
        m,
        at(1.60 * breadth, -2.42, -0.34),
        at(1.98 * breadth, -4.6, -0.20),
        0.46,
        0.44,
    );
    join(join(chest, shoulder, 0.34), arm, 0.16)
}

/// Returns the depth of the folds of cloth at a point.
pub fn folds(p: Vector, seed: u32) -> f32 {
    let pull = p.mirrored();
    let slant = pull.x * 0.9 + pull.y * 0.7;
    0.055 * (noise3(slant * 2.6, pull.y * 1.1, p.z * 1.5, seed + 21) - 0.5)
        + 0.020 * (noise3(slant * 6.0, pull.y * 2.0, p.z * 3.0, seed + 22) - 0.5)
}

/// Returns the nearer of two.
pub fn nearer(one: (f32, Stuff), other: (f32, Stuff)) -> (f32, Stuff) {
    if other.0 < one.0 { other } else { one }
}

/// Returns distance and stuff of a dressed body at a point.
pub fn body(p: Vector, dress: Dress, seed: u32) -> (f32, Stuff) {
    match dress {
        Dress::PilotCoat => coat(p, seed, &PILOT),
        Dress::FrockCoat => coat(p, seed, &FROCK),
        Dress::Suit => coat(p, seed, &SUIT),
        Dress::PuffedSleeves => bodice(p, seed, true),
        Dress::PlainBodice => bodice(p, seed, false),
        Dress::Gown => gown(p, seed),
        Dress::Infant => infant(p, seed),
        Dress::Bride => bride(p, seed),
    }
}

/// The cut of a coat.
struct Cut {
    opening: f32,
    closes: f32,
    lapel: f32,
    rows: i32,
    breast: f32,
    kerchief: bool,
    bow: bool,
    tie: bool,
    waistcoat: bool,
}

const PILOT: Cut = Cut {
    opening: 0.46,
    closes: -2.85,
    lapel: 0.56,
    rows: 2,
    breast: 0.40,
    kerchief: true,
    bow: false,
    tie: false,
    waistcoat: false,
};

const FROCK: Cut = Cut {
    opening: 0.52,
    closes: -3.5,
    lapel: 0.42,
    rows: 1,
    breast: 0.03,
    kerchief: false,
    bow: true,
    tie: false,
    waistcoat: true,
};

const SUIT: Cut = Cut {
    opening: 0.48,
    closes: -3.7,
    lapel: 0.38,
    rows: 1,
    breast: 0.02,
    kerchief: false,
    bow: false,
    tie: true,
    waistcoat: false,
};

fn coat(p: Vector, seed: u32, cut: &Cut) -> (f32, Stuff) {
    let m = p.mirrored();
    let torso = torso(p, 1.0);
    let folded = torso - folds(p, seed);
    let down = ((p.y + 1.62) / (cut.closes + 1.62)).clamp(0.0, 1.0);
    let edge = cut.opening * (1.0 - down) * (1.0 - 0.25 * down);
    let gap = (m.x - edge).max(-p.z).max(cut.closes - p.y) * 0.8;
    let cloth = carve(folded - 0.05, gap, 0.03);
    let mut nearest = (cloth, Stuff::Cloth);
    let width = cut.lapel
        * step(1.0, 0.55, down)
        * step(-0.02, 0.25, down)
        * if (-2.42..-2.33).contains(&p.y) {
            0.72
        } else {
            1.0
        };
    let lapel_band = (edge - 0.015 - m.x)
        .max(m.x - edge - width)
        .max(-p.z - 0.05);
    let lapel = (folded - 0.115).max(lapel_band * 0.7);
    nearest = nearer(nearest, (lapel, Stuff::Cloth));
    let collar = tapered(m, at(0.50, -1.42, -0.40), at(0.46, -1.92, 0.16), 0.10, 0.15);
    let collar_back = rod(m, at(0.0, -1.36, -0.82), at(0.50, -1.42, -0.40), 0.10);
    nearest = nearer(nearest, (join(collar, collar_back, 0.06), Stuff::Cloth));
    nearest = nearer(nearest, shirt(p, cut));
    if cut.waistcoat {
        let open = (m.x - 0.34 * (1.0 - ((p.y + 1.7) / -1.1).clamp(0.0, 1.0))).max(-2.8 - p.y);
        let vest = carve(torso - 0.025, open * 0.8, 0.02);
        nearest = nearer(nearest, (vest, Stuff::Trim));
    }
    for row in 0..5 {
        let y = cut.closes - 0.05 - 0.52 * row as f32;
        let x = cut.breast;
        let seat = at(x, y, chest_front(x, y) + 0.07);
        let q = if cut.rows == 2 { m } else { p };
        let button = ellipsoid(q - seat, at(0.085, 0.085, 0.045));
        nearest = nearer(nearest, (button, Stuff::Metal));
    }
    nearest
}

fn shirt(p: Vector, cut: &Cut) -> (f32, Stuff) {
    let m = p.mirrored();
    let front = torso(p, 1.0) - 0.0;
    let band = (tapered(p, at(0.0, -1.34, -0.30), at(0.0, -1.72, -0.22), 0.475, 0.54))
        .max(-(p.y + 1.72) - 0.0)
        .max(p.y + 1.36);
    let slit = (m.x - 0.06 - (-1.36 - p.y).max(0.0) * -0.10).max(-p.z);
    let collar = carve(band, slit, 0.02);
    let mut nearest = nearer((front, Stuff::Linen), (collar, Stuff::Linen));
    let knot_y = -1.74;
    if cut.kerchief {
        let roll = tapered(m, at(0.50, -1.50, -0.10), at(0.10, -1.80, 0.36), 0.10, 0.13);
        let knot = ellipsoid(p - at(0.0, -1.84, 0.44), at(0.17, 0.14, 0.12));
        let tail = tapered(m, at(0.05, -1.90, 0.46), at(0.20, -2.55, 0.56), 0.09, 0.16);
        let soft = 0.03 * (noise3(p.x * 7.0, p.y * 4.0, p.z * 7.0, 61) - 0.5);
        let all = join(join(roll, knot, 0.06), tail, 0.05) - soft;
        nearest = nearer(nearest, (all, Stuff::Trim));
    }
    if cut.bow {
        let wing = ellipsoid(
            (m - at(0.22, knot_y - 0.06, 0.34)).rolled(-0.15, 0.99),
            at(0.22, 0.10, 0.07),
        );
        let knot = ellipsoid(p - at(0.0, knot_y - 0.06, 0.38), at(0.09, 0.09, 0.08));
        nearest = nearer(nearest, (join(wing, knot, 0.04), Stuff::Trim));
    }
    if cut.tie {
        let knot = tapered(
            p,
            at(0.0, knot_y, 0.34),
            at(0.0, knot_y - 0.18, 0.38),
            0.12,
            0.09,
        );
        let y = p.y.clamp(-3.7, knot_y - 0.15);
        let wide = 0.08 + 0.12 * ((knot_y - y) / 2.0);
        let blade = block(
            at(
                p.x,
                p.y + 2.8,
                p.z - chest_front(0.0, p.y.clamp(-3.6, -1.9)) - 0.02,
            ),
            at(wide, 0.95, 0.045),
            0.03,
        ) * 0.8;
        nearest = nearer(nearest, (join(knot, blade, 0.03), Stuff::Trim));
    }
    nearest
}

fn woman(p: Vector) -> f32 {
    let m = p.mirrored();
    let chest = ellipsoid(p - at(0.0, -3.0, -0.25), at(1.08, 1.35, 0.70));
    let bust = ellipsoid(m - at(0.44, -2.95, 0.18), at(0.48, 0.50, 0.42));
    let shoulder = tapered(
        m,
        at(0.26, -1.74, -0.36),
        at(1.15, -2.22, -0.36),
        0.30,
        0.34,
    );
    let waist = ellipsoid(p - at(0.0, -4.7, -0.2), at(0.95, 1.2, 0.66));
    join(join(join(chest, shoulder, 0.32), bust, 0.30), waist, 0.3)
}

fn bodice(p: Vector, seed: u32, puffed: bool) -> (f32, Stuff) {
    let m = p.mirrored();
    let trunk = woman(p);
    // Fine tucks run down the front.
    let tucks = 0.012 * sin(p.x * 46.0) * step(0.9, 0.5, m.x) * step(-1.9, -2.2, p.y);
    let cloth = trunk - 0.04 - folds(p, seed) * 0.6 - tucks;
    let mut nearest = (cloth, Stuff::Cloth);
    let neck = tapered(p, at(0.0, -1.16, -0.27), at(0.0, -1.80, -0.22), 0.47, 0.54);
    let stand = neck
        .max(p.y + if puffed { 1.22 } else { 1.44 })
        .max(-1.86 - p.y);
    nearest = nearer(
        nearest,
        (
            stand - 0.010 * sin(p.y * 40.0),
            if puffed { Stuff::Cloth } else { Stuff::Linen },
        ),
    );
    let around = round_the_circle(p.x, p.z + 0.27);
    if puffed {
        let frill = (tapered(p, at(0.0, -1.16, -0.27), at(0.0, -1.27, -0.26), 0.50, 0.49)
            - 0.018 * sin(around * QUARTER * 22.0))
        .max(p.y + 1.13 + 0.02 * sin(around * QUARTER * 22.0))
        .max(-1.28 - p.y);
        nearest = nearer(nearest, (frill, Stuff::Linen));
        nearest = nearer(nearest, (puff(m, seed), Stuff::Cloth));
        let scallop = 0.07 * sin(round_the_circle(p.x, p.y + 1.3) * QUARTER * 16.0).abs();
        let yoke = (trunk - 0.085).max(-2.42 - scallop - p.y).max(m.x - 1.0) * 0.9;
        nearest = nearer(nearest, (yoke - lace(p), Stuff::Trim));
    } else {
        let arm = tapered(m, at(1.20, -2.35, -0.34), at(1.50, -4.4, -0.15), 0.40, 0.36);
        nearest = nearer(nearest, (arm - folds(p, seed + 4), Stuff::Cloth));
        let fall = (trunk - 0.09)
            .max(m.x * 0.75 - p.y - 2.50)
            .max(-2.05 - p.y)
            .max(p.y + 1.70)
            * 0.9;
        nearest = nearer(nearest, (fall - lace(p), Stuff::Linen));
    }
    let brooch = ellipsoid(
        p - at(0.0, if puffed { -1.55 } else { -1.84 }, 0.31),
        at(0.13, 0.10, 0.06),
    );
    nearest = nearer(nearest, (brooch, Stuff::Metal));
    for row in 0..7 {
        let y = -2.30 - 0.30 * row as f32;
        let front = at(0.0, y, if puffed { 0.47 } else { 0.44 });
        let button = ellipsoid(p - front, at(0.05, 0.05, 0.05));
        nearest = nearer(nearest, (button, Stuff::Metal));
    }
    nearest
}

fn lace(p: Vector) -> f32 {
    0.014 * sin(p.x * 38.0) * sin(p.y * 38.0)
}

fn puff(m: Vector, seed: u32) -> f32 {
    let centre = at(1.58, -2.46, -0.30);
    let q = m - centre;
    let around = round_the_circle(q.z, q.x - 0.1);
    let gathers = step(0.9, -0.1, -q.y)
        * 0.055
        * sin(around * QUARTER * 9.0 + 2.0 * noise3(q.x, q.y, q.z, seed + 3))
        + 0.05 * (noise3(around * 5.0, q.y * 1.2, 0.0, seed + 8) - 0.5);
    let upper = ellipsoid(q, at(0.86, 0.80, 0.74)) - gathers;
    let lower =
        tapered(m, at(1.75, -3.0, -0.28), at(1.68, -4.6, -0.05), 0.46, 0.34) - folds(m, seed + 6);
    join(upper, lower, 0.18)
}

fn gown(p: Vector, seed: u32) -> (f32, Stuff) {
    let m = p.mirrored();
    let trunk = woman(p);
    let arm = tapered(m, at(1.18, -2.35, -0.36), at(1.42, -4.4, -0.2), 0.31, 0.27);
    let bare = join(trunk, arm, 0.2);
    let mut nearest = (bare, Stuff::Skin);
    let top = -2.62 + 0.22 * (m.x - 0.5) * (m.x - 0.5);
    let cloth = (trunk - 0.07 - folds(p, seed)).max((p.y - top) * 0.9);
    nearest = nearer(nearest, (cloth, Stuff::Cloth));
    let ruffle = (trunk - 0.14 - 0.05 * sin(round_the_circle(p.x, p.z + 0.3) * QUARTER * 19.0))
        .max((p.y - top - 0.06).abs() - 0.10)
        * 0.8;
    nearest = nearer(nearest, (ruffle, Stuff::Linen));
    let cap = ellipsoid(m - at(1.22, -2.52, -0.34), at(0.46, 0.34, 0.44))
        - 0.04 * sin(round_the_circle(m.z + 0.34, m.x - 1.22) * QUARTER * 9.0);
    nearest = nearer(nearest, (cap, Stuff::Linen));
    for (x, y, size) in [
        (-0.34, -2.72, 0.15),
        (-0.52, -2.60, 0.12),
        (-0.40, -2.92, 0.12),
    ] {
        let q = p - at(x, y, 0.62);
        let petals = 0.03 * sin(round_the_circle(q.x, q.y) * QUARTER * 5.0);
        nearest = nearer(nearest, (q.length() - size - petals, Stuff::Linen));
    }
    let beads = {
        let y = -1.66 - 0.55 * (1.0 - (m.x / 0.62) * (m.x / 0.62)).max(0.0);
        let q = at(
            (p.x * 9.0 - (p.x * 9.0).floor() - 0.5) / 9.0,
            p.y - y,
            p.z - 0.20 + 0.45 * m.x,
        );
        q.length() - 0.042 + if m.x > 0.62 { 1.0 } else { 0.0 }
    };
    nearer(nearest, (beads * 0.7, Stuff::Metal))
}

fn infant(p: Vector, seed: u32) -> (f32, Stuff) {
    // An infant has hardly any neck.
    let p = p - at(0.0, 0.48, 0.0);
    let m = p.mirrored();
    let trunk = ellipsoid(p - at(0.0, -2.6, -0.2), at(0.95, 1.25, 0.72));
    let skirt = ellipsoid(p - at(0.0, -4.4, 0.0), at(1.75, 1.9, 1.0));
    let gathers =
        0.05 * sin(round_the_circle(p.x, p.z) * QUARTER * 14.0 + noise3(p.x, p.y, p.z, seed) * 3.0);
    let all = join(trunk, skirt - gathers, 0.3) - folds(p, seed);
    let mut nearest = (all, Stuff::Linen);
    let sleeve = ellipsoid(m - at(0.95, -2.05, -0.15), at(0.46, 0.40, 0.42))
        - 0.03 * sin(round_the_circle(m.z, m.x - 0.95) * QUARTER * 8.0);
    nearest = nearer(nearest, (sleeve, Stuff::Linen));
    let forearm = tapered(m, at(1.10, -2.40, 0.0), at(0.62, -3.35, 0.80), 0.23, 0.19);
    let hand = ellipsoid(m - at(0.48, -3.50, 0.88), at(0.22, 0.17, 0.17));
    nearest = nearer(nearest, (join(forearm, hand, 0.1), Stuff::Skin));
    let collar = (trunk - 0.10 - 0.04 * sin(round_the_circle(p.x, p.y + 1.4) * QUARTER * 13.0))
        .max(-1.92 - p.y)
        .max(p.y + 1.40);
    nearest = nearer(nearest, (collar * 0.9, Stuff::Linen));
    let sash = (all - 0.05).max((p.y + 3.05).abs() - 0.14);
    nearer(nearest, (sash, Stuff::Trim))
}

fn bride(p: Vector, seed: u32) -> (f32, Stuff) {
    let m = p.mirrored();
    let trunk = woman(p);
    let arm = tapered(m, at(1.18, -2.35, -0.36), at(1.42, -4.4, -0.2), 0.33, 0.30);
    let top = -2.10 - 0.35 * step(0.5, 0.0, m.x);
    let dress =
        (join(trunk, arm, 0.2) - 0.04 - folds(p, seed) * 0.5 - lace(p)).max((p.y - top) * 0.9);
    let mut nearest = nearer((join(trunk, arm, 0.2), Stuff::Skin), (dress, Stuff::Linen));
    // The veil falls behind the head and over the shoulders.
    let veil_shape = join(
        ellipsoid(p - at(0.0, -0.1, -0.75), at(1.30, 1.50, 0.75)),
        tapered(m, at(0.75, -0.6, -0.9), at(1.55, -4.5, -0.9), 0.55, 0.75),
        0.4,
    ) - 0.05 * sin(p.x * 14.0 + noise3(p.x, p.y, p.z, seed) * 4.0);
    nearest = nearer(nearest, (veil_shape.max(p.z + 0.42), Stuff::Linen));
    let wreath = {
        let q = (p - at(0.0, 0.62, -0.05)).nodded(0.5, 0.866);
        let round = ((q.x * q.x + q.z * q.z).sqrt() - 0.96).abs();
        (round * round + q.y * q.y).sqrt()
            - 0.09
            - 0.05 * sin(round_the_circle(q.x, q.z) * QUARTER * 13.0)
    };
    nearer(nearest, (wreath * 0.8, Stuff::Linen))
}
