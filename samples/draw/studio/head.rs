//! Heads: skull, face, hair and beard as solids, after the proportions that drawing masters teach.
//!
//! The head stands at the origin: crown at y = 1.15, eyes at y = 0, chin at y = -1.15, face towards +z.

use super::arithmetic::Vector;
use super::arithmetic::at;
use super::arithmetic::exp;
use super::arithmetic::sin;
use super::arithmetic::step;
use super::noise::noise3;
use super::solid::carve;
use super::solid::ellipsoid;
use super::solid::join;
use super::solid::rod;
use super::solid::tapered;

/// What a point of a figure is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stuff {
    /// Skin.
    Skin,
    /// Lips.
    Lip,
    /// An eye.
    Eye,
    /// Hair of the head.
    Hair,
    /// Beard.
    Beard,
    /// The main cloth.
    Cloth,
    /// Facings, trimmings and ties, darker or shinier than the cloth.
    Trim,
    /// Linen and lace.
    Linen,
    /// Buttons and brooches.
    Metal,
    /// Wood and furniture.
    Wood,
}

/// The way hair is worn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hair {
    /// Short, brushed to the side.
    SideParting,
    /// Short, high forehead.
    Receding,
    /// Parted in the middle, drawn down over the ears into a knot.
    CentreParting,
    /// Pinned up, with a knot on top.
    PinnedUp,
    /// A child's curls to the shoulder.
    Curls,
    /// A baby's down.
    Down,
    /// Waved and set, to the nape: the 1940s and later.
    Waved,
}

/// The way a beard is worn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beard {
    /// None.
    Shaven,
    /// Moustache alone.
    Moustache,
    /// Full beard with moustache.
    Full,
    /// Round the jaw, lip shaven.
    Fringe,
    /// Cheeks alone.
    Whiskers,
}

/// A face and what grows on it.
#[derive(Debug, Clone, Copy)]
pub struct Head {
    /// Breadth of the face: 1 is ordinary.
    pub breadth: f32,
    /// Heaviness of jaw and chin: 1 is ordinary.
    pub jaw: f32,
    /// Strength of the brow: 0 (child) to 1 (old mariner).
    pub brow: f32,
    /// Length of the nose: 1 is ordinary.
    pub nose: f32,
    /// Fullness of the lips: 1 is ordinary.
    pub lips: f32,
    /// Age: 0 smooth, 1 deeply lined.
    pub age: f32,
    /// Size of the eyes: 1 is ordinary, 1.25 a child's.
    pub eyes: f32,
    /// How the hair is worn.
    pub hair: Hair,
    /// How the beard is worn.
    pub beard: Beard,
    /// Number that makes locks and lines differ.
    pub seed: u32,
}

/// Returns distance and stuff at a point.
pub fn head(p: Vector, who: &Head) -> (f32, Stuff) {
    let face = face(p, who);
    let mut nearest = (
        face,
        if in_lips(p, who) {
            Stuff::Lip
        } else {
            Stuff::Skin
        },
    );
    let eye = eyeball(p, who);
    if eye < nearest.0 {
        nearest = (eye, Stuff::Eye);
    }
    let hair = hair(p, who);
    if hair < nearest.0 {
        nearest = (hair, Stuff::Hair);
    }
    let beard = beard(p, who);
    if beard < nearest.0 {
        nearest = (beard, Stuff::Beard);
    }
    nearest
}

const EYE: Vector = at(0.30, -0.01, 0.545);

fn eyeball(p: Vector, who: &Head) -> f32 {
    (p.mirrored() - EYE).length() - 0.158 * who.eyes
}

fn lids(p: Vector, who: &Head) -> f32 {
    let q = p.mirrored() - EYE;
    let shell = q.length() - 0.182 * who.eyes;
    // The upper edge droops with age and falls towards the outer corner.
    let upper = 0.40 - 0.16 * who.age - q.x * 0.35;
    let lower = -0.44 - q.x * 0.20;
    let above = (upper * q.z - q.y) / 1.1;
    let below = (q.y - lower * q.z) / 1.1;
    shell.max(above).min(shell.max(below))
}

fn face(p: Vector, who: &Head) -> f32 {
    let m = p.mirrored();
    let b = who.breadth;
    let cranium = ellipsoid(p - at(0.0, 0.34, -0.14), at(0.79 * b, 0.83, 0.97));
    let mask = ellipsoid(p - at(0.0, -0.26, 0.16), at(0.63 * b, 0.84, 0.62));
    let mut d = join(cranium, mask, 0.22);
    let jaw = rod(
        m,
        at(0.52 * b, -0.52, -0.02),
        at(0.14, -0.98, 0.44),
        0.14 * who.jaw,
    );
    d = join(d, jaw, 0.26);
    let chin = ellipsoid(p - at(0.0, -0.98, 0.52), at(0.22, 0.17, 0.19)) - 0.02 * (who.jaw - 1.0);
    d = join(d, chin, 0.18);
    let cheek = ellipsoid(m - at(0.43 * b, -0.20, 0.47), at(0.20, 0.15, 0.20));
    d = join(d, cheek, 0.24 - 0.06 * who.age);
    let brow = rod(
        m,
        at(0.05, 0.13, 0.735),
        at(0.46 * b, 0.17, 0.55),
        0.045 + 0.05 * who.brow,
    );
    d = join(d, brow, 0.16);
    let socket = ellipsoid(m - at(0.29, 0.0, 0.84), at(0.205, 0.125, 0.19));
    d = carve(d, socket, 0.13);
    d = join(d, lids(p, who), 0.035);
    d = join(d, nose(p, who), 0.075);
    d = mouth(p, d, who);
    d += lines(m, who);
    let ear = ellipsoid(
        (m - at(0.80 * b, -0.06, -0.10)).yawed(0.35, 0.94),
        at(0.075, 0.24, 0.15),
    );
    let bowl = ellipsoid(m - at(0.87 * b, -0.03, -0.06), at(0.06, 0.14, 0.08));
    d = join(d, carve(ear, bowl, 0.05), 0.05);
    let neck = tapered(
        p,
        at(0.0, -0.72, -0.22),
        at(0.0, -1.95, -0.34),
        0.43 * b,
        0.50 * b,
    );
    let throat = rod(m, at(0.34, -0.75, -0.25), at(0.08, -1.75, 0.12), 0.06);
    join(d, join(neck, throat, 0.12), 0.10)
}

fn nose(p: Vector, who: &Head) -> f32 {
    let m = p.mirrored();
    let tip_y = -0.35 - 0.10 * (who.nose - 1.0);
    let tip_z = 0.955 + 0.07 * (who.nose - 1.0);
    let bridge = tapered(
        p,
        at(0.0, 0.09, 0.70),
        at(0.0, tip_y + 0.06, tip_z - 0.03),
        0.062,
        0.082,
    );
    let tip = ellipsoid(p - at(0.0, tip_y, tip_z), at(0.105, 0.09, 0.10));
    let wing = ellipsoid(
        m - at(0.115, tip_y - 0.025, tip_z - 0.13),
        at(0.072, 0.072, 0.10),
    );
    let mut d = join(bridge, tip, 0.07);
    d = join(d, wing, 0.05);
    let nostril = ellipsoid(
        m - at(0.062, tip_y - 0.085, tip_z - 0.055),
        at(0.040, 0.030, 0.055),
    );
    carve(d, nostril, 0.03)
}

fn lip_line(x: f32) -> f32 {
    // A shallow bow: lowest in the middle, corners a little down.
    -0.648 + 0.016 * step(0.0, 0.09, x.abs()) - 0.018 * step(0.10, 0.27, x.abs())
}

fn mouth(p: Vector, face: f32, who: &Head) -> f32 {
    let m = p.mirrored();
    let full = who.lips;
    let muzzle = ellipsoid(p - at(0.0, -0.60, 0.50), at(0.35, 0.26, 0.27));
    let mut d = join(face, muzzle, 0.20);
    let upper = rod(
        m,
        at(0.035, -0.600, 0.765),
        at(0.22, -0.645, 0.625),
        0.040 * full,
    );
    d = join(d, upper, 0.045);
    let lower = rod(
        m,
        at(0.0, -0.712, 0.745),
        at(0.15, -0.695, 0.655),
        0.050 * full,
    );
    d = join(d, lower, 0.05);
    let y = lip_line(p.x);
    if p.z > 0.3 {
        let away = (p.y - y) / 0.018;
        let inside = step(0.26, 0.20, m.x);
        d += 0.026 * inside * exp(-away * away);
        let corner = rod(
            at(m.x, p.y, 0.0),
            at(0.235, -0.655, 0.0),
            at(0.245, -0.657, 0.0),
            0.0,
        ) / 0.035;
        d += 0.014 * exp(-corner * corner);
    }
    d
}

fn in_lips(p: Vector, who: &Head) -> bool {
    let width = 0.235;
    let x = (p.x.abs() / width).min(1.0);
    let y = p.y - lip_line(p.x);
    let shape = (1.0 - x * x).max(0.0);
    let bow = 1.0 - 0.35 * step(0.12, 0.0, x);
    p.z > 0.4
        && p.x.abs() < width
        && y < 0.062 * who.lips * shape.sqrt() * bow
        && y > -0.088 * who.lips * shape
}

/// Returns how deep the lines of a face lie at a point, as a plus to its distance.
fn lines(m: Vector, who: &Head) -> f32 {
    if m.z < 0.2 {
        return 0.0;
    }
    let groove = |from: (f32, f32), to: (f32, f32), width: f32| {
        let away = rod(
            at(m.x, m.y, 0.0),
            at(from.0, from.1, 0.0),
            at(to.0, to.1, 0.0),
            0.0,
        );
        exp(-(away / width) * (away / width))
    };
    let lined = 0.25 + 0.75 * who.age;
    let mut depth = 0.022 * lined * groove((0.17, -0.37), (0.31, -0.62), 0.050);
    depth += 0.010 * lined * groove((0.16, -0.16), (0.38, -0.14), 0.036);
    depth += 0.018 * groove((0.0, -0.815), (0.08, -0.81), 0.060);
    depth += 0.010 * groove((0.0, -0.46), (0.0, -0.56), 0.030);
    if who.age > 0.45 {
        let old = who.age - 0.35;
        depth += 0.014 * old * groove((0.055, 0.14), (0.05, 0.22), 0.024);
        for (row, height) in [(0_u32, 0.42_f32), (1, 0.54)] {
            let wave = 0.05 * noise3(m.x * 4.0, height * 9.0, 0.0, who.seed.wrapping_add(row));
            depth +=
                0.010 * old * groove((0.0, height + wave), (0.34, height - 0.03 + wave), 0.030);
        }
        depth += 0.010 * old * groove((0.47, -0.02), (0.60, -0.09), 0.022);
        depth += 0.008 * old * groove((0.47, 0.0), (0.61, 0.02), 0.020);
    }
    depth
}

/// Returns a value that runs across the locks of hair: noise of it makes strands.
pub fn strand(p: Vector, who: &Head, beard: bool) -> f32 {
    let seed = who.seed;
    if beard {
        let wave = 0.10 * noise3(p.x * 3.0, p.y * 2.5, p.z * 3.0, seed + 5);
        return noise3((p.x + wave) * 22.0, p.y * 3.2, p.z * 18.0, seed + 1) * 0.6
            + noise3((p.x + wave) * 44.0, p.y * 6.0, p.z * 36.0, seed + 2) * 0.4;
    }
    match who.hair {
        Hair::SideParting | Hair::Receding => {
            // Combed from the parting (at x = -0.35) over the crown, and down at the sides.
            let wave = 0.10 * noise3(p.x * 2.0, p.y * 2.0, p.z * 2.0, seed + 5);
            let over = p.x + 0.35;
            let crown = (p.y - over.abs() * 0.40 + wave) * 20.0;
            let side = (p.z * 0.8 - p.x + wave) * 20.0;
            let share = step(0.35, 0.75, p.y);
            let across = side + (crown - side) * share;
            noise3(across, (over + p.y) * 1.8, p.z * 3.0, seed + 1) * 0.5
                + noise3(across * 2.3, (over + p.y) * 3.0, p.z * 5.0, seed + 2) * 0.5
        }
        Hair::CentreParting => {
            let m = p.mirrored();
            let wave = 0.06 * noise3(p.x * 3.0, p.y * 3.0, p.z * 3.0, seed + 5);
            noise3(
                m.x * 2.4,
                (m.y + m.x * 0.7 + wave) * 5.0,
                (p.z + m.x * 0.5 + wave) * 24.0,
                seed + 1,
            ) * 0.6
                + noise3(m.x * 5.0, m.y * 8.0, (p.z + m.x * 0.5) * 48.0, seed + 2) * 0.4
        }
        Hair::PinnedUp => {
            // Swept up and back from the whole hairline: strands run towards the knot.
            let wave = 0.12 * noise3(p.x * 2.0, p.y * 2.0, p.z * 2.0, seed + 5);
            let up = (1.5 - p.y).max(0.25);
            let fan = (p.x / up + wave) * 15.0;
            noise3(fan, p.y * 1.5, p.z * 5.0, seed + 1) * 0.55
                + noise3(fan * 2.4, p.y * 2.5, p.z * 10.0, seed + 2) * 0.45
        }
        Hair::Curls | Hair::Waved => {
            let wave = 0.22 * noise3(p.x * 3.2, p.y * 3.2, p.z * 3.2, seed + 5);
            noise3(
                (p.x + wave) * 15.0,
                (p.y + wave) * 6.0,
                (p.z + wave) * 15.0,
                seed + 1,
            ) * 0.6
                + noise3(
                    (p.x + wave) * 32.0,
                    (p.y + wave) * 12.0,
                    p.z * 30.0,
                    seed + 2,
                ) * 0.4
        }
        Hair::Down => {
            noise3(p.x * 30.0, p.y * 12.0, p.z * 30.0, seed + 1) * 0.5
                + noise3(p.x * 60.0, p.y * 30.0, p.z * 60.0, seed + 2) * 0.5
        }
    }
}

fn hair(p: Vector, who: &Head) -> f32 {
    match who.hair {
        Hair::CentreParting | Hair::PinnedUp | Hair::Curls | Hair::Waved => long_hair(p, who),
        _ => short_hair(p, who),
    }
}

/// Returns how far a lock stands out.
fn locks(p: Vector, who: &Head, depth: f32) -> f32 {
    depth * (strand(p, who, false) - 0.5)
}

/// Returns the distance to a cap of hair that rises from the skin over a short way behind the hairline.
fn rooted(p: Vector, who: &Head, edge: f32, grow: f32) -> f32 {
    let grow = grow * step(0.02, -0.22, edge) - 0.01;
    ellipsoid(
        p - at(0.0, 0.37, -0.18),
        at(0.80 * who.breadth + grow, 0.84 + grow, 0.97 + grow),
    )
}

fn short_hair(p: Vector, who: &Head) -> f32 {
    let m = p.mirrored();
    let locks = |depth: f32| locks(p, who, depth);
    let rooted = |edge: f32, grow: f32| rooted(p, who, edge, grow);
    match who.hair {
        Hair::Receding => {
            let bare = 0.86 + 0.24 * step(0.40, 0.10, m.x) - 0.16 * step(0.35, 0.62, m.x);
            let edge = side_line(p, bare, 0.16, who);
            (rooted(edge, 0.08) - locks(0.03)).max(edge)
        }
        Hair::Down => {
            let edge = side_line(p, 0.72, 0.05, who);
            (rooted(edge, 0.04) - locks(0.02)).max(edge)
        }
        _ => {
            let lift = 0.09 + 0.08 * step(-0.6, 0.5, p.x) * step(0.2, 0.9, p.y);
            let parting = 0.05 * step(0.05, 0.0, (p.x + 0.36).abs()) * step(0.6, 0.8, p.y);
            let brow = 0.70 - 0.10 * step(0.25, 0.55, m.x);
            let edge = side_line(p, brow, 0.24, who);
            (rooted(edge, lift) + parting - locks(0.035)).max(edge)
        }
    }
}

fn long_hair(p: Vector, who: &Head) -> f32 {
    let b = who.breadth;
    let m = p.mirrored();
    let locks = |depth: f32| locks(p, who, depth);
    let rooted = |edge: f32, grow: f32| rooted(p, who, edge, grow);
    match who.hair {
        Hair::CentreParting => {
            let parting = 0.05 * step(0.05, 0.0, m.x) * step(0.5, 0.9, p.y);
            let arch = 0.76 - 0.80 * step(0.05, 0.78, m.x);
            let edge = side_line(p, arch, 0.34, who);
            let wing =
                ellipsoid(m - at(0.71 * b, -0.10, -0.06), at(0.19, 0.40, 0.42)) - locks(0.03);
            let knot = ellipsoid(p - at(0.0, -0.15, -1.05), at(0.42, 0.38, 0.30)) - locks(0.08);
            let top = (rooted(edge, 0.08) + parting - locks(0.025)).max(edge);
            join(join(top, wing, 0.12), knot, 0.05)
        }
        Hair::PinnedUp => {
            let edge = side_line(p, 0.78 - 0.14 * step(0.20, 0.60, m.x), 0.26, who);
            let top = (rooted(edge, 0.17) - locks(0.030)).max(edge);
            let knot = ellipsoid(p - at(0.03, 1.36, -0.26), at(0.36, 0.25, 0.34)) - locks(0.08);
            let twist = ellipsoid(p - at(-0.02, 1.24, 0.02), at(0.44, 0.13, 0.24)) - locks(0.06);
            let curl = ellipsoid(m - at(0.13, 0.80, 0.66), at(0.13, 0.075, 0.06)) - locks(0.07);
            let wisp = ellipsoid(m - at(0.36, 0.72, 0.56), at(0.10, 0.07, 0.06)) - locks(0.07);
            join(
                join(join(top, knot, 0.10), twist, 0.10),
                curl.min(wisp),
                0.07,
            )
        }
        Hair::Curls => {
            let edge = side_line(p, 0.62, 0.20, who);
            let top = (rooted(edge, 0.15) - locks(0.08)).max(edge);
            let mass =
                ellipsoid(m - at(0.80 * b, -0.55, -0.15), at(0.25, 0.70, 0.40)) - locks(0.16);
            let fringe = ellipsoid(p - at(0.0, 0.70, 0.58), at(0.46, 0.15, 0.20)) - locks(0.10);
            join(join(top, mass, 0.12), fringe, 0.12)
        }
        _ => {
            let edge = side_line(p, 0.66, 0.14, who);
            let wave = 0.05 * sin(p.y * 9.0 + p.x * 3.0);
            let top = (rooted(edge, 0.17 + wave) - locks(0.05)).max(edge);
            let mass = ellipsoid(
                m - at(0.78 * b, -0.34, -0.24),
                at(0.24 + wave * 0.6, 0.64, 0.44),
            ) - locks(0.08);
            join(top, mass, 0.18)
        }
    }
}

/// Returns a distance that is negative where hair may grow: above the forehead's line and behind the temple's.
fn side_line(p: Vector, brow: f32, temple: f32, who: &Head) -> f32 {
    let ragged = 0.05 * (noise3(p.x * 9.0, p.y * 9.0, p.z * 9.0, who.seed + 9) - 0.5);
    let above = (brow - p.y) * 0.85 + (p.z - 0.6) * 0.1 + ragged;
    let behind = p.z - temple + (p.y.min(0.0) + 0.1).min(0.0) * -0.9 + ragged;
    let nape = -0.55 - p.y;
    above.min(behind.max(nape))
}

fn beard(p: Vector, who: &Head) -> f32 {
    let m = p.mirrored();
    let locks = |depth: f32| depth * (strand(p, who, true) - 0.5);
    let far = 9.0;
    let moustache = {
        let swell = tapered(
            m,
            at(0.05, -0.54, 0.83),
            at(0.34, -0.68, 0.66),
            0.105,
            0.055,
        );
        let end = tapered(
            m,
            at(0.32, -0.67, 0.67),
            at(0.43, -0.80, 0.54),
            0.060,
            0.030,
        );
        join(swell, end, 0.05) - locks(0.07)
    };
    let jawline = || {
        let front = ellipsoid(p - at(0.0, -0.98, 0.36), at(0.54, 0.46, 0.42));
        let side = tapered(
            m,
            at(0.71 * who.breadth, -0.12, 0.00),
            at(0.42, -0.92, 0.28),
            0.11,
            0.20,
        );
        join(front, side, 0.20)
    };
    match who.beard {
        Beard::Shaven => far,
        Beard::Moustache => moustache,
        Beard::Full => {
            let tuft = ellipsoid(p - at(0.0, -1.28, 0.34), at(0.40, 0.44, 0.30));
            let mass = join(jawline(), tuft, 0.15) - locks(0.11);
            let lip = ellipsoid(p - at(0.0, -0.735, 0.80), at(0.15, 0.055, 0.2));
            join(carve(mass, lip, 0.05), moustache, 0.06)
        }
        Beard::Fringe => {
            let mass = jawline() - locks(0.10);
            let open = ellipsoid(p - at(0.0, -0.55, 0.80), at(0.42, 0.36, 0.42));
            carve(mass, open, 0.08)
        }
        Beard::Whiskers => {
            let side = ellipsoid(
                m - at(0.66 * who.breadth, -0.50, 0.12),
                at(0.16, 0.42, 0.24),
            );
            side - locks(0.10)
        }
    }
}

/// Returns how far the roots of the hair darken the skin at a point: 0 to 1.
pub fn roots(p: Vector, who: &Head) -> f32 {
    let brow = match who.hair {
        Hair::Receding => 0.86 + 0.24 * step(0.40, 0.10, p.x.abs()),
        Hair::CentreParting => 0.76 - 0.80 * step(0.05, 0.78, p.x.abs()),
        _ => 0.68,
    };
    let edge = side_line(p, brow, 0.20, who);
    let fine = noise3(p.x * 30.0, p.y * 4.0, p.z * 16.0, who.seed + 3);
    step(0.13, -0.03, edge) * (0.40 + 0.60 * fine)
}

/// Returns how much hair of the brows darkens the skin at a point: 0 to 1.
pub fn eyebrow(p: Vector, who: &Head) -> f32 {
    let m = p.mirrored();
    if p.z < 0.2 || m.x > 0.60 {
        return 0.0;
    }
    let arch = 0.205 + 0.05 * step(0.10, 0.34, m.x) - 0.09 * step(0.34, 0.58, m.x);
    let thick = (0.028 + 0.026 * who.brow) * (1.0 - 0.55 * step(0.25, 0.58, m.x));
    let inner = step(0.07, 0.14, m.x) * (1.0 - step(0.50, 0.58, m.x));
    let band = step(thick * 1.5, thick * 0.4, (m.y - arch).abs());
    let hairs = noise3(m.x * 40.0 - m.y * 30.0, m.y * 50.0, 0.0, who.seed + 7);
    band * inner * (0.45 + 0.55 * hairs)
}

/// Returns the tone of an eye at a point: white, iris, pupil, and the glint of the window.
pub fn eye_tone(p: Vector, who: &Head) -> f32 {
    let side = if p.x < 0.0 { -1.0 } else { 1.0 };
    let q = at(p.x * side, p.y, p.z) - EYE;
    // Both eyes look the same way, a little past the camera.
    let (dx, dy) = (q.x * side + 0.012, q.y - 0.012);
    let away = (dx * dx + dy * dy).sqrt() / who.eyes;
    let glint_x = dx + 0.030;
    let glint_y = dy - 0.034;
    let glint = step(0.026, 0.012, (glint_x * glint_x + glint_y * glint_y).sqrt());
    let iris = 0.20 + 0.16 * step(0.03, 0.075, away) + 0.10 * step(0.0, -0.06, dy);
    let mut tone = if away < 0.034 {
        0.03
    } else if away < 0.083 {
        iris * step(0.088, 0.072, away).max(0.35)
    } else {
        0.62 - 0.25 * step(0.02, 0.10, q.y)
    };
    tone = tone.max(glint * 0.95);
    tone
}
