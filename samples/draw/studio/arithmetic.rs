//! Arithmetic that gives the same bits on every machine: only what IEEE 754 rounds exactly (sums, products, quotients, square
//! roots), and functions made of those. The system's own sine or exponential may differ in the last bit.

use std::ops::Add;
use std::ops::Mul;
use std::ops::Sub;

/// Returns e to the power of `x`.
pub fn exp(x: f32) -> f32 {
    let x = x.clamp(-40.0, 40.0);
    // Halved eight times, a short series is exact enough; squared eight times again.
    let small = x / 256.0;
    let mut value = 1.0 + small * (1.0 + small * (0.5 + small * (1.0 / 6.0 + small / 24.0)));
    for _ in 0..8 {
        value *= value;
    }
    value
}

/// Returns the sine of `x` radians.
pub fn sin(x: f32) -> f32 {
    const TURN: f32 = 6.283_185_5;
    let turns = x / TURN;
    let mut angle = (turns - turns.floor()) * TURN;
    if angle > TURN / 2.0 {
        angle -= TURN;
    }
    let (flip, angle) = if angle > TURN / 4.0 {
        (1.0, TURN / 2.0 - angle)
    } else if angle < -TURN / 4.0 {
        (1.0, -TURN / 2.0 - angle)
    } else {
        (1.0, angle)
    };
    let square = angle * angle;
    flip * angle
        * (1.0
            - square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0))))
}

/// Returns the cosine of `x` radians.
pub fn cos(x: f32) -> f32 {
    sin(x + 1.570_796_4)
}

/// Returns an angle-like value of a direction that grows evenly round the circle: 0 to 4.
pub fn round_the_circle(x: f32, y: f32) -> f32 {
    let sum = x.abs() + y.abs();
    if sum == 0.0 {
        return 0.0;
    }
    let part = x / sum;
    if y >= 0.0 { 1.0 - part } else { 3.0 + part }
}

/// Returns 0 below `from`, 1 above `to`, and a smooth step between.
pub fn step(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Returns the value `share` of the way from `one` to `other`.
pub fn mix(one: f32, other: f32, share: f32) -> f32 {
    one + (other - one) * share
}

/// A point or direction in space: x to the viewer's right, y up, z towards the viewer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector {
    /// To the viewer's right.
    pub x: f32,
    /// Up.
    pub y: f32,
    /// Towards the viewer.
    pub z: f32,
}

/// Returns a vector.
pub const fn at(x: f32, y: f32, z: f32) -> Vector {
    Vector { x, y, z }
}

impl Vector {
    /// Returns the inner product.
    pub fn dot(self, other: Self) -> f32 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Returns the length.
    pub fn length(self) -> f32 {
        self.dot(self).sqrt()
    }

    /// Returns the direction of length 1.
    pub fn unit(self) -> Self {
        self * (1.0 / self.length().max(1e-9))
    }

    /// Returns the parts divided by those of another vector.
    pub fn over(self, other: Self) -> Self {
        at(self.x / other.x, self.y / other.y, self.z / other.z)
    }

    /// Returns the vector with its x made positive: for things that come in pairs.
    pub fn mirrored(self) -> Self {
        at(self.x.abs(), self.y, self.z)
    }

    /// Returns the vector turned about the upright axis by an angle of this sine and cosine.
    pub fn yawed(self, sine: f32, cosine: f32) -> Self {
        at(
            self.x * cosine - self.z * sine,
            self.y,
            self.x * sine + self.z * cosine,
        )
    }

    /// Returns the vector turned in the picture plane by an angle of this sine and cosine.
    pub fn rolled(self, sine: f32, cosine: f32) -> Self {
        at(
            self.x * cosine - self.y * sine,
            self.x * sine + self.y * cosine,
            self.z,
        )
    }

    /// Returns the vector nodded by an angle of this sine and cosine.
    pub fn nodded(self, sine: f32, cosine: f32) -> Self {
        at(
            self.x,
            self.y * cosine - self.z * sine,
            self.y * sine + self.z * cosine,
        )
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        at(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        at(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f32> for Vector {
    type Output = Self;
    fn mul(self, factor: f32) -> Self {
        at(self.x * factor, self.y * factor, self.z * factor)
    }
}
