//! Sitters: a head on a dressed body, and the camera and window light before which they sit.

use super::arithmetic::Vector;
use super::arithmetic::at;
use super::arithmetic::cos;
use super::arithmetic::exp;
use super::arithmetic::sin;
use super::arithmetic::step;
use super::dress::Dress;
use super::dress::body;
use super::head::Head;
use super::head::Stuff;
use super::head::eye_tone;
use super::head::eyebrow;
use super::head::head;
use super::head::roots;
use super::head::strand;
use super::noise::noise3;

/// A sitter.
#[derive(Debug, Clone, Copy)]
pub struct Sitter {
    /// The head.
    pub head: Head,
    /// The clothes.
    pub dress: Dress,
    /// How far the head is turned to the viewer's right, in radians.
    pub turn: f32,
    /// How far the head leans, in radians.
    pub lean: f32,
    /// How far the head is raised, in radians.
    pub lift: f32,
    /// Brightness of skin: about 0.8.
    pub skin: f32,
    /// Brightness of the hair.
    pub hair: f32,
    /// Brightness of the beard.
    pub beard: f32,
    /// Brightness of the cloth.
    pub cloth: f32,
}

/// What the camera sees of a sitter.
#[derive(Debug, Clone)]
pub struct Seen {
    /// Width in pixels.
    pub width: usize,
    /// Height in pixels.
    pub height: usize,
    /// Brightness, 0 to 1.
    pub tone: Vec<f32>,
    /// How much of the pixel the sitter covers, 0 to 1.
    pub cover: Vec<f32>,
}

/// What the camera takes in.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Width of the plate in pixels.
    pub width: usize,
    /// Height of the plate in pixels.
    pub height: usize,
    /// Units of space that the height of the plate shows; a head is 2.3 units high.
    pub units: f32,
    /// The point in the middle of the plate.
    pub middle: (f32, f32),
}

impl Sitter {
    fn inside_head(&self, p: Vector) -> Vector {
        let (yaw_sine, yaw_cosine) = (sin(self.turn), cos(self.turn));
        let (lean_sine, lean_cosine) = (sin(self.lean), cos(self.lean));
        let (lift_sine, lift_cosine) = (sin(self.lift), cos(self.lift));
        let pivot = at(0.0, -1.0, -0.3);
        let q = (p - pivot)
            .rolled(-lean_sine, lean_cosine)
            .nodded(lift_sine, lift_cosine)
            .yawed(yaw_sine, yaw_cosine);
        q + pivot
    }
}

impl Model for Sitter {
    fn nearest(&self, p: Vector) -> (f32, Stuff) {
        let body = body(p, self.dress, self.head.seed);
        let around = (p - at(0.0, -0.2, -0.1)).length() - 2.1;
        if around > body.0.max(0.15) {
            return (body.0.min(around), body.1);
        }
        let on_head = head(self.inside_head(p), &self.head);
        if on_head.0 < body.0 { on_head } else { body }
    }

    fn sitter_at(&self, p: Vector) -> (&Sitter, Vector) {
        (self, self.inside_head(p))
    }
}

/// Two sitters side by side.
#[derive(Debug, Clone, Copy)]
pub struct Pair {
    /// The one on the viewer's left, and how far from the middle and how much lower.
    pub left: (Sitter, Vector),
    /// The one on the right.
    pub right: (Sitter, Vector),
}

impl Model for Pair {
    fn nearest(&self, p: Vector) -> (f32, Stuff) {
        let left = self.left.0.nearest(p - self.left.1);
        let right = self.right.0.nearest(p - self.right.1);
        if left.0 < right.0 { left } else { right }
    }

    fn sitter_at(&self, p: Vector) -> (&Sitter, Vector) {
        let left = self.left.0.nearest(p - self.left.1).0;
        let right = self.right.0.nearest(p - self.right.1).0;
        let (sitter, offset) = if left < right {
            &self.left
        } else {
            &self.right
        };
        (sitter, sitter.inside_head(p - *offset))
    }
}

/// Anything that can be photographed.
pub trait Model: Sync {
    /// Returns distance and stuff at a point.
    fn nearest(&self, p: Vector) -> (f32, Stuff);

    /// Returns whose part a point is, and the point as that sitter's head sees it.
    fn sitter_at(&self, p: Vector) -> (&Sitter, Vector);

    /// Returns the direction in which the surface faces.
    fn normal(&self, p: Vector) -> Vector {
        const E: f32 = 0.0035;
        let d = |x: f32, y: f32, z: f32| self.nearest(p + at(x, y, z)).0;
        // Four points of a tetrahedron.
        let (a, b, c, e) = (d(E, -E, -E), d(-E, -E, E), d(-E, E, -E), d(E, E, E));
        at(a - b - c + e, -a - b + c + e, -a + b - c + e).unit()
    }

    /// Returns how much of a light is seen from a point: 0 to 1.
    fn shadow(&self, p: Vector, towards: Vector) -> f32 {
        let (mut light, mut far) = (1.0_f32, 0.05_f32);
        for _ in 0..22 {
            let d = self.nearest(p + towards * far).0;
            light = light.min(0.5 + 0.5 * d / (0.13 * far));
            far += d.clamp(0.03, 0.30);
            if light < 0.0 || far > 4.0 {
                break;
            }
        }
        let light = light.max(0.0);
        light * light * (3.0 - 2.0 * light)
    }

    /// Returns how open a point lies: 0 in a deep nook, 1 in the open.
    fn openness(&self, p: Vector, normal: Vector) -> f32 {
        let (mut dark, mut weight) = (0.0, 1.0);
        for tap in 1..=5 {
            let far = 0.02 + 0.055 * tap as f32;
            dark += (far - self.nearest(p + normal * far).0) * weight;
            weight *= 0.72;
        }
        (1.0 - 1.7 * dark).clamp(0.0, 1.0)
    }

    /// Returns how bright a point is.
    fn tone(&self, p: Vector, stuff: Stuff) -> f32 {
        let normal = self.normal(p);
        let window = at(-0.62, 0.62, 0.58).unit();
        let side = at(0.85, 0.15, 0.35).unit();
        let key = normal.dot(window).max(0.0) * self.shadow(p + normal * 0.02, window);
        let fill = 0.5 + 0.5 * normal.dot(side);
        let sky = 0.55 + 0.45 * normal.y;
        let open = self.openness(p, normal);
        let gloss = normal.dot((window + at(0.0, 0.0, 1.0)).unit()).max(0.0);
        let light = 0.80 * key + open * (0.21 * fill + 0.19 * sky);
        let (sitter, q) = self.sitter_at(p);
        sitter.stuff_tone(p, q, stuff, &Light { light, open, gloss })
    }

    /// Photographs it.
    fn photograph(&self, view: &View) -> Seen
    where
        Self: Sized,
    {
        photograph(view, &|p| self.nearest(p), &|p, stuff| self.tone(p, stuff))
    }
}

/// How a point is lit.
struct Light {
    light: f32,
    open: f32,
    gloss: f32,
}

impl Light {
    fn shine(&self, sharp: i32) -> f32 {
        (0..sharp).fold(1.0, |value, _| value * self.gloss)
    }
}

impl Sitter {
    fn stuff_tone(&self, p: Vector, q: Vector, stuff: Stuff, lit: &Light) -> f32 {
        let (light, open) = (lit.light, lit.open);
        match stuff {
            Stuff::Skin => {
                let brow = eyebrow(q, &self.head);
                let rooted = roots(q, &self.head) * (1.0 - self.hair);
                let skin = self.skin
                    * (1.0 - 0.78 * brow * (1.0 - self.hair * 0.6))
                    * (1.0 - 0.62 * rooted);
                skin * light + 0.07 * lit.shine(24) * open * (1.0 - brow)
            }
            Stuff::Lip => self.skin * 0.66 * light + 0.05 * lit.shine(30) * open,
            Stuff::Eye => eye_tone(q, &self.head) * (0.42 + 0.62 * light) * open.max(0.45),
            Stuff::Hair | Stuff::Beard => {
                let is_beard = stuff == Stuff::Beard;
                let lock = strand(q, &self.head, is_beard);
                let base = if is_beard { self.beard } else { self.hair };
                let streak = step(0.25, 0.85, lock);
                base * (0.35 + 1.1 * streak) * (0.25 + 0.95 * light)
                    + 0.20 * base.max(0.25) * streak * lit.shine(7) * open
            }
            Stuff::Cloth => {
                let nap = noise3(p.x * 60.0, p.y * 60.0, p.z * 60.0, 31) - 0.5;
                self.cloth * (0.28 + 1.0 * light) * (1.0 + 0.18 * nap) + 0.03 * lit.shine(6)
            }
            Stuff::Trim => self.cloth * 0.62 * (0.25 + 0.9 * light) + 0.10 * lit.shine(14) * open,
            Stuff::Linen => 0.86 * (0.14 + 0.82 * light),
            Stuff::Metal => 0.30 * light + 0.75 * lit.shine(18),
            Stuff::Wood => {
                let grain = noise3(p.x * 3.0, p.y * 24.0, p.z * 3.0, 77);
                (0.22 + 0.12 * grain) * (0.2 + light) + 0.12 * lit.shine(20)
            }
        }
    }
}

/// Photographs anything that answers for distance and tone.
pub fn photograph(
    view: &View,
    nearest: &(dyn Fn(Vector) -> (f32, Stuff) + Sync),
    tone: &(dyn Fn(Vector, Stuff) -> f32 + Sync),
) -> Seen {
    let scale = view.units / view.height as f32;
    let mut seen = Seen {
        width: view.width,
        height: view.height,
        tone: vec![0.0; view.width * view.height],
        cover: vec![0.0; view.width * view.height],
    };
    let rows = view.height.div_ceil(4).max(1);
    let bands = seen
        .tone
        .chunks_mut(rows * view.width)
        .zip(seen.cover.chunks_mut(rows * view.width));
    std::thread::scope(|scope| {
        for (band, (tones, covers)) in bands.enumerate() {
            scope.spawn(move || {
                for (index, (into, cover)) in tones.iter_mut().zip(covers).enumerate() {
                    let (column, row) = (index % view.width, band * rows + index / view.width);
                    let x = (column as f32 + 0.5 - view.width as f32 / 2.0) * scale + view.middle.0;
                    let y = (view.height as f32 / 2.0 - row as f32 - 0.5) * scale + view.middle.1;
                    if let Some((p, stuff)) = hit(x, y, nearest) {
                        *into = tone(p, stuff).clamp(0.0, 1.2);
                        *cover = 1.0;
                    }
                }
            });
        }
    });
    seen
}

fn hit(
    x: f32,
    y: f32,
    nearest: &(dyn Fn(Vector) -> (f32, Stuff) + Sync),
) -> Option<(Vector, Stuff)> {
    let mut z = 2.6;
    for _ in 0..110 {
        let p = at(x, y, z);
        let (d, stuff) = nearest(p);
        if d < 0.0015 {
            return Some((p, stuff));
        }
        z -= (d * 0.72).max(0.0012);
        if z < -2.4 {
            return None;
        }
    }
    None
}

/// Returns a soft fall-off of light behind a sitter: brighter beside the shoulder away from the window.
pub fn backdrop(x: f32, y: f32) -> f32 {
    let (dx, dy) = (x - 0.35, y + 0.25);
    0.30 + 0.42 * exp(-(dx * dx * 1.1 + dy * dy * 0.8) * 2.4)
}
