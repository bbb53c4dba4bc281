//! Chance that is the same every time: a counter-based generator and smooth noise on a lattice.

/// A small generator of pseudo-random numbers (`SplitMix64`).
#[derive(Debug, Clone)]
pub struct Chance {
    state: u64,
}

impl Chance {
    /// Returns a generator that starts from `seed`.
    pub const fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// Returns the next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Returns a number from 0 up to 1.
    pub fn unit(&mut self) -> f32 {
        (self.bits() >> 40) as f32 / 16_777_216.0
    }

    /// Returns a number from `low` up to `high`.
    pub fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.unit()
    }

    /// Returns a number around 0, roughly normal with deviation 1.
    pub fn normal(&mut self) -> f32 {
        let mut sum = 0.0;
        for _ in 0..6 {
            sum += self.unit();
        }
        (sum - 3.0) * std::f32::consts::SQRT_2
    }
}

/// Returns the lattice value at whole coordinates: 0 to 1.
pub fn lattice(x: i32, y: i32, z: i32, seed: u32) -> f32 {
    let mut mixed = (x as u32)
        .wrapping_mul(0x8da6_b343)
        .wrapping_add((y as u32).wrapping_mul(0xd816_3841))
        .wrapping_add((z as u32).wrapping_mul(0xcb1a_b31f))
        .wrapping_add(seed.wrapping_mul(0x9e37_79b9));
    mixed ^= mixed >> 16;
    mixed = mixed.wrapping_mul(0x7feb_352d);
    mixed ^= mixed >> 15;
    mixed = mixed.wrapping_mul(0x846c_a68b);
    mixed ^= mixed >> 16;
    (mixed >> 8) as f32 / 16_777_216.0
}

fn eased(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

/// Returns smooth noise in the plane: 0 to 1, about one feature a unit.
pub fn noise2(x: f32, y: f32, seed: u32) -> f32 {
    let (left, low) = (x.floor(), y.floor());
    let (u, v) = (eased(x - left), eased(y - low));
    let (i, j) = (left as i32, low as i32);
    let value = |di: i32, dj: i32| lattice(i.wrapping_add(di), j.wrapping_add(dj), 0, seed);
    let (bottom, top) = (
        value(0, 0) + (value(1, 0) - value(0, 0)) * u,
        value(0, 1) + (value(1, 1) - value(0, 1)) * u,
    );
    bottom + (top - bottom) * v
}

/// Returns smooth noise in space: 0 to 1.
pub fn noise3(x: f32, y: f32, z: f32, seed: u32) -> f32 {
    let (left, low, near) = (x.floor(), y.floor(), z.floor());
    let (u, v, w) = (eased(x - left), eased(y - low), eased(z - near));
    let (i, j, k) = (left as i32, low as i32, near as i32);
    let layer = |dk: i32| {
        let value = |di: i32, dj: i32| {
            lattice(
                i.wrapping_add(di),
                j.wrapping_add(dj),
                k.wrapping_add(dk),
                seed,
            )
        };
        let (bottom, top) = (
            value(0, 0) + (value(1, 0) - value(0, 0)) * u,
            value(0, 1) + (value(1, 1) - value(0, 1)) * u,
        );
        bottom + (top - bottom) * v
    };
    let (back, front) = (layer(0), layer(1));
    back + (front - back) * w
}

/// Returns noise of several octaves in the plane: 0 to 1.
pub fn clouds(x: f32, y: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut weight, mut total, mut scale) = (0.0, 1.0, 0.0, 1.0);
    for octave in 0..octaves {
        sum += noise2(x * scale, y * scale, seed.wrapping_add(octave * 101)) * weight;
        total += weight;
        weight *= 0.5;
        scale *= 2.03;
    }
    sum / total
}
