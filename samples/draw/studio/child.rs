//! A child with a hoop, standing, from head to boots.

use super::arithmetic::Vector;
use super::arithmetic::at;
use super::arithmetic::round_the_circle;
use super::arithmetic::sin;
use super::dress::QUARTER;
use super::dress::folds;
use super::dress::nearer;
use super::figure::Model;
use super::figure::Sitter;
use super::head::Stuff;
use super::head::head;
use super::noise::noise3;
use super::solid::block;
use super::solid::ellipsoid;
use super::solid::join;
use super::solid::ring;
use super::solid::rod;
use super::solid::tapered;

/// The child: the sitter's head on a small body that stands on the floor.
#[derive(Debug, Clone, Copy)]
pub struct Child {
    /// Head and colours.
    pub sitter: Sitter,
}

/// How high the floor lies, in units of the body.
const FLOOR: f32 = -8.7;

/// How large the body is beside the head.
const SMALL: f32 = 0.76;

impl Child {
    fn inside_head(&self, p: Vector) -> Vector {
        let (sine, cosine) = (sin(self.sitter.turn), sin(self.sitter.turn + QUARTER));
        p.yawed(sine, cosine)
    }

    fn frock(&self, p: Vector) -> (f32, Stuff) {
        let m = p.mirrored();
        let seed = self.sitter.head.seed;
        let chest = tapered(p, at(0.0, -1.95, -0.2), at(0.0, -3.3, -0.2), 0.72, 0.80);
        let shoulder = tapered(m, at(0.2, -1.70, -0.25), at(0.80, -1.98, -0.25), 0.30, 0.30);
        let yoke = join(chest, shoulder, 0.25);
        let down = ((p.y + 3.5) / -2.4).clamp(0.0, 1.0);
        let pleats = 0.06 * down * sin(round_the_circle(p.x, p.z + 0.2) * QUARTER * 22.0);
        let skirt = tapered(p, at(0.0, -3.7, -0.2), at(0.0, -5.6, -0.2), 0.82, 1.42)
            .max(-6.05 - p.y)
            - pleats;
        let cloth = join(yoke, skirt, 0.15) - folds(p, seed) * 0.6;
        let mut nearest = (cloth, Stuff::Cloth);
        let sash = (join(yoke, skirt, 0.15) - 0.05).max((p.y + 3.62).abs() - 0.17);
        nearest = nearer(nearest, (sash, Stuff::Trim));
        let collar = (yoke - 0.06)
            .max(-2.35 - 0.10 * sin(round_the_circle(p.x, p.z + 0.2) * QUARTER * 14.0).abs() - p.y)
            .max(p.y + 1.42);
        nearest = nearer(nearest, (collar * 0.9, Stuff::Linen));
        let bow = ellipsoid(
            (m - at(0.24, -1.66, 0.46)).rolled(-0.2, 0.98),
            at(0.24, 0.13, 0.10),
        );
        let knot = ellipsoid(p - at(0.0, -1.66, 0.52), at(0.10, 0.11, 0.10));
        let tail = tapered(m, at(0.05, -1.70, 0.52), at(0.16, -2.15, 0.58), 0.06, 0.11);
        nearest = nearer(
            nearest,
            (join(join(bow, knot, 0.05), tail, 0.04), Stuff::Trim),
        );
        for band in [-5.62, -5.84] {
            let trim = (join(yoke, skirt, 0.15) - 0.025).max((p.y - band).abs() - 0.05);
            nearest = nearer(nearest, (trim, Stuff::Trim));
        }
        nearest
    }

    fn limbs(p: Vector, seed: u32) -> (f32, Stuff) {
        // The right arm rests on the hoop, the left hangs with the stick.
        let upper = tapered(p, at(0.92, -2.10, -0.2), at(1.42, -3.20, 0.05), 0.34, 0.27);
        let lower = tapered(p, at(1.42, -3.20, 0.05), at(1.78, -4.10, 0.55), 0.24, 0.18);
        let other = tapered(
            p,
            at(-0.92, -2.10, -0.2),
            at(-1.30, -3.35, -0.05),
            0.34,
            0.27,
        );
        let forearm = tapered(
            p,
            at(-1.30, -3.35, -0.05),
            at(-1.36, -4.40, 0.35),
            0.24,
            0.18,
        );
        let sleeves =
            join(upper, lower, 0.1).min(join(other, forearm, 0.1)) - folds(p, seed + 2) * 0.8;
        let mut nearest = (sleeves, Stuff::Cloth);
        for cuff in [at(1.76, -4.05, 0.52), at(-1.36, -4.34, 0.33)] {
            nearest = nearer(nearest, ((p - cuff).length() - 0.205, Stuff::Linen));
        }
        let fist = ellipsoid(p - at(1.84, -4.32, 0.66), at(0.19, 0.22, 0.19));
        let hand = ellipsoid(p - at(-1.37, -4.68, 0.42), at(0.17, 0.26, 0.18));
        nearest = nearer(nearest, (fist.min(hand), Stuff::Skin));
        let m = p.mirrored();
        let leg = tapered(m, at(0.42, -5.7, -0.2), at(0.44, -8.1, -0.2), 0.36, 0.24);
        nearest = nearer(nearest, (leg, Stuff::Trim));
        let shaft = tapered(m, at(0.44, -7.7, -0.2), at(0.45, -8.35, -0.18), 0.29, 0.27);
        let foot = ellipsoid(m - at(0.50, -8.48, 0.10), at(0.27, 0.22, 0.52));
        nearer(nearest, (join(shaft, foot, 0.15), Stuff::Metal))
    }

    fn toys(p: Vector) -> (f32, Stuff) {
        let hoop = ring(
            (p - at(2.45, FLOOR + 2.10, 0.60)).yawed(0.42, 0.907),
            2.08,
            0.060,
        );
        let stick = rod(p, at(-1.30, -4.35, 0.62), at(-1.62, -7.2, 0.80), 0.048);
        nearer((hoop, Stuff::Wood), (stick, Stuff::Wood))
    }

    fn chair(p: Vector) -> (f32, Stuff) {
        // A small studio column stands behind on the left.
        let drum = tapered(p, at(-2.75, -8.2, -1.4), at(-2.75, -5.3, -1.4), 0.56, 0.48)
            + 0.03 * sin(round_the_circle(p.x + 2.75, p.z + 1.4) * QUARTER * 10.0);
        let cap = block(p - at(-2.75, -4.80, -1.4), at(0.72, 0.16, 0.72), 0.06);
        let base = block(p - at(-2.75, -8.50, -1.4), at(0.80, 0.22, 0.80), 0.05);
        (drum.min(cap).min(base), Stuff::Linen)
    }

    fn floor(p: Vector) -> (f32, Stuff) {
        let pattern = 0.012 * noise3(p.x * 2.0, 0.0, p.z * 2.0, 41);
        (p.y - FLOOR - pattern, Stuff::Wood)
    }
}

impl Model for Child {
    fn nearest(&self, p: Vector) -> (f32, Stuff) {
        // A child's head is large for its body.
        let small = at(p.x, p.y + 1.35, p.z + 0.2) * (1.0 / SMALL) + at(0.0, -1.35, -0.2);
        let mut nearest = self.frock(small);
        nearest = nearer(nearest, Self::limbs(small, self.sitter.head.seed));
        nearest = nearer(nearest, Self::toys(small));
        nearest = nearer(nearest, Self::chair(small));
        nearest = nearer(nearest, Self::floor(small));
        nearest.0 *= SMALL;
        let around = (p - at(0.0, -0.2, -0.1)).length() - 1.9;
        if around > 0.15 {
            return if around < nearest.0 {
                (around, nearest.1)
            } else {
                nearest
            };
        }
        nearer(nearest, head(self.inside_head(p), &self.sitter.head))
    }

    fn sitter_at(&self, p: Vector) -> (&Sitter, Vector) {
        (&self.sitter, self.inside_head(p))
    }
}
