//! Frames and glass: an oval moulding, and what convex glass mirrors.

use super::arithmetic::exp;
use super::arithmetic::mix;
use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::blend;
use super::canvas::lit;
use super::noise::clouds;
use super::noise::lattice;
use super::noise::noise2;

/// An oval frame laid over a picture.
#[derive(Debug, Clone, Copy)]
pub struct OvalFrame {
    /// Middle of the oval, in pixels.
    pub middle: (f32, f32),
    /// Half width and half height of the opening, in pixels.
    pub opening: (f32, f32),
    /// Width of the moulding in pixels.
    pub moulding: f32,
    /// Colour of the wood.
    pub wood: [f32; 3],
    /// Colour of the gilded lip.
    pub gilding: [f32; 3],
    /// Number that makes grain and wear differ.
    pub seed: u32,
}

impl OvalFrame {
    /// Returns how far outside the opening a point lies, in pixels; negative inside.
    fn outside(&self, x: f32, y: f32) -> (f32, f32, f32) {
        let (u, v) = (
            (x - self.middle.0) / self.opening.0,
            (y - self.middle.1) / self.opening.1,
        );
        let round = (u * u + v * v).sqrt().max(1e-4);
        let (gx, gy) = (u / self.opening.0, v / self.opening.1);
        let slope = (gx * gx + gy * gy).sqrt().max(1e-9) / round;
        let length = (gx * gx + gy * gy).sqrt().max(1e-9);
        ((round - 1.0) / slope, gx / length, gy / length)
    }

    /// Lays the frame over a canvas: outside it stays what was there, shadowed.
    pub fn lay_over(&self, canvas: &mut Canvas) {
        let frame = *self;
        canvas.touch(&|x, y, pixel| {
            let (out, nx, ny) = frame.outside(x, y);
            if out < 0.0 {
                let sunk = exp(out / (frame.moulding * 0.28));
                let lit_side = 0.5 + 0.5 * (-(nx * -0.6 + ny * -0.75));
                return lit(pixel, 1.0 - sunk * (0.62 - 0.30 * lit_side));
            }
            let part = out / frame.moulding;
            if part <= 1.0 {
                return frame.moulded(x, y, part, nx, ny);
            }
            let shadow_x = x - frame.moulding * 0.22;
            let shadow_y = y - frame.moulding * 0.30;
            let (past, ..) = frame.outside(shadow_x, shadow_y);
            let shadow = 1.0 - step(-0.1, 0.75, past / frame.moulding - 1.0);
            lit(pixel, 1.0 - 0.62 * shadow)
        });
    }

    fn moulded(&self, x: f32, y: f32, part: f32, nx: f32, ny: f32) -> [f32; 3] {
        // Profile: a gilded lip, a hollow, a round back.
        let slope = if part < 0.17 {
            mix(0.9, -0.8, part / 0.17)
        } else if part < 0.42 {
            mix(-0.85, 0.55, (part - 0.17) / 0.25)
        } else {
            mix(-0.75, 1.05, (part - 0.42) / 0.58)
        };
        let light = slope * (nx * -0.60 + ny * -0.75);
        let around = clouds(
            x / self.moulding * 2.0,
            y / self.moulding * 2.0,
            4,
            self.seed,
        ) - 0.5;
        let across = (ny * x - nx * y) / self.moulding;
        let grain = noise2(part * 26.0 + around * 3.0, across * 1.6, self.seed + 1) - 0.5;
        let shine = exp(-((light - 0.72) / 0.16) * ((light - 0.72) / 0.16));
        let worn = step(
            0.64,
            0.74,
            clouds(
                x / self.moulding * 5.0,
                y / self.moulding * 5.0,
                4,
                self.seed + 3,
            ),
        );
        let base = if part < 0.17 {
            blend(self.gilding, [0.60, 0.42, 0.28], worn * 0.8)
        } else {
            blend(
                lit(self.wood, 1.0 + 0.55 * grain),
                [0.50, 0.38, 0.26],
                worn * 0.25,
            )
        };
        let seam = 1.0 - 0.5 * exp(-((part - 0.17) / 0.02) * ((part - 0.17) / 0.02));
        let toned = lit(base, (0.62 + 0.58 * light) * seam);
        let gloss = if part < 0.17 { 0.42 } else { 0.30 };
        toned.map(|value| value + gloss * shine * (0.6 + 0.4 * around))
    }

    /// Mirrors a room in convex glass over the opening: a window, its bars, a soft sheen, and somebody dark with raised arms.
    pub fn glaze(&self, canvas: &mut Canvas, strength: f32) {
        let frame = *self;
        canvas.touch(&|x, y, pixel| {
            let (out, ..) = frame.outside(x, y);
            if out > 0.0 {
                return pixel;
            }
            let (u, v) = (
                (x - frame.middle.0) / frame.opening.0,
                (y - frame.middle.1) / frame.opening.1,
            );
            let light = strength * frame.mirrored(u, v);
            let veil = strength * 0.05;
            let glare = [
                light * 0.93 + veil,
                light * 0.97 + veil,
                light + veil * 1.15,
            ];
            // Light adds to light, and never beyond white.
            let mut mixed = [0.0; 3];
            for (into, (value, add)) in mixed.iter_mut().zip(pixel.into_iter().zip(glare)) {
                *into = 1.0 - (1.0 - value) * (1.0 - add.min(1.0));
            }
            mixed
        });
    }

    fn mirrored(&self, u: f32, v: f32) -> f32 {
        let round = (u * u + v * v).sqrt();
        // The bulge squeezes the room towards the rim.
        let bulge = 1.0 + 0.55 * round * round;
        let (a, b) = (u * bulge, v * bulge + 0.16 * u * u);
        let pane = |left: f32, right: f32, top: f32, bottom: f32, soft: f32| {
            step(left - soft, left + soft, a)
                * (1.0 - step(right - soft, right + soft, a))
                * step(top - soft, top + soft, b)
                * (1.0 - step(bottom - soft, bottom + soft, b))
        };
        let mut window = 0.0;
        for (left, right) in [(-0.66, -0.49), (-0.46, -0.30)] {
            for (top, bottom) in [(-0.92, -0.70), (-0.67, -0.42)] {
                window += pane(left, right, top, bottom, 0.012);
            }
        }
        window *= 0.80 + 0.20 * clouds(a * 6.0, b * 6.0, 3, self.seed + 8);
        let second = 0.30 * pane(0.62, 0.80, 0.50, 0.92, 0.05);
        let rim = 0.34
            * exp(-((round - 0.93) / 0.035) * ((round - 0.93) / 0.035))
            * step(-0.2, 0.9, -v - u * 0.4);
        let sheen = 0.13 * step(0.25, 1.1, round) * step(0.9, -0.9, b + a * 0.4);
        let dust = if lattice((u * 900.0) as i32, (v * 900.0) as i32, 0, self.seed + 9) > 0.9985 {
            0.35
        } else {
            0.0
        };
        (window * 0.74 + second + rim + sheen + dust).max(0.0)
    }
}
