//! Solids as distance functions, and the ways in which they melt into each other.

use super::arithmetic::Vector;
use super::arithmetic::at;
use super::arithmetic::mix;

/// Returns the distance to an ellipsoid about the origin.
pub fn ellipsoid(p: Vector, radii: Vector) -> f32 {
    let scaled = p.over(radii).length();
    let slope = p.over(radii).over(radii).length();
    scaled * (scaled - 1.0) / slope.max(1e-6)
}

/// Returns the distance to a rod with round ends.
pub fn rod(p: Vector, from: Vector, to: Vector, radius: f32) -> f32 {
    tapered(p, from, to, radius, radius)
}

/// Returns the distance to a rod whose radius changes evenly from one round end to the other.
pub fn tapered(p: Vector, from: Vector, to: Vector, first: f32, last: f32) -> f32 {
    let (along, out) = (to - from, p - from);
    let share = (out.dot(along) / along.dot(along)).clamp(0.0, 1.0);
    (out - along * share).length() - mix(first, last, share)
}

/// Returns the distance to a block with rounded edges about the origin.
pub fn block(p: Vector, half: Vector, rounding: f32) -> f32 {
    let q = at(
        p.x.abs() - half.x + rounding,
        p.y.abs() - half.y + rounding,
        p.z.abs() - half.z + rounding,
    );
    let outside = at(q.x.max(0.0), q.y.max(0.0), q.z.max(0.0)).length();
    outside + q.x.max(q.y).max(q.z).min(0.0) - rounding
}

/// Returns the distance to a ring about the origin whose axis is z.
pub fn ring(p: Vector, radius: f32, thickness: f32) -> f32 {
    let round = (p.x * p.x + p.y * p.y).sqrt() - radius;
    (round * round + p.z * p.z).sqrt() - thickness
}

/// Joins two solids; within `width` they melt together.
pub fn join(one: f32, other: f32, width: f32) -> f32 {
    let h = (0.5 + 0.5 * (other - one) / width).clamp(0.0, 1.0);
    mix(other, one, h) - width * h * (1.0 - h)
}

/// Cuts a solid by another; within `width` the edge is rounded.
pub fn carve(solid: f32, tool: f32, width: f32) -> f32 {
    -join(-solid, tool, width)
}
