//! The Trevanick pair: two crayon portraits of one order, and a child behind convex glass.

use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::Field;
use super::canvas::blend;
use super::canvas::lit;
use super::child::Child;
use super::codec;
use super::codec::Exif;
use super::codec::Fault;
use super::crayon;
use super::crayon::CHARCOAL;
use super::crayon::Manner;
use super::dress::Dress;
use super::figure::Model;
use super::figure::Seen;
use super::figure::Sitter;
use super::figure::View;
use super::framing::OvalFrame;
use super::head::Beard;
use super::head::Hair;
use super::head::Head;
use super::lettering;
use super::lettering::CRAYON;
use super::lettering::INK;
use super::lettering::Pen;
use super::lettering::TYPE;
use super::noise::clouds;
use super::noise::lattice;
use super::noise::noise2;
use super::surface;

/// Where the telephone says that it was: 49° 11′ 23.45″ N, 13° 37′ 08.19″ W, open sea. Nobody lives there.
pub const KITCHEN: ([u32; 3], [u32; 3]) = ([49, 11, 2345], [13, 37, 819]);

/// The serial number of the telephone's camera.
pub const SERIAL: &str = "PX7-00418-INVENTED";

const MAN: Sitter = Sitter {
    head: Head {
        breadth: 1.0,
        jaw: 1.1,
        brow: 0.8,
        nose: 1.1,
        lips: 1.0,
        age: 0.7,
        eyes: 1.0,
        hair: Hair::SideParting,
        beard: Beard::Full,
        seed: 7,
    },
    dress: Dress::PilotCoat,
    turn: 0.28,
    lean: 0.0,
    lift: 0.0,
    skin: 0.82,
    hair: 0.22,
    beard: 0.26,
    cloth: 0.16,
};

const WOMAN: Sitter = Sitter {
    head: Head {
        breadth: 0.93,
        jaw: 0.62,
        brow: 0.08,
        nose: 0.84,
        lips: 1.12,
        age: 0.30,
        eyes: 1.10,
        hair: Hair::PinnedUp,
        beard: Beard::Shaven,
        seed: 17,
    },
    dress: Dress::PuffedSleeves,
    turn: -0.22,
    lean: 0.03,
    lift: 0.02,
    skin: 0.86,
    hair: 0.24,
    beard: 0.2,
    cloth: 0.20,
};

const CHILD: Child = Child {
    sitter: Sitter {
        head: Head {
            breadth: 1.10,
            jaw: 0.5,
            brow: 0.0,
            nose: 0.72,
            lips: 1.0,
            age: 0.0,
            eyes: 1.28,
            hair: Hair::Curls,
            beard: Beard::Shaven,
            seed: 27,
        },
        dress: Dress::Infant,
        turn: 0.10,
        lean: 0.0,
        lift: 0.0,
        skin: 0.90,
        hair: 0.45,
        beard: 0.2,
        cloth: 0.34,
    },
};

/// Returns a portrait drawn at one size from a photograph taken at a smaller one: the photograph beneath was soft.
pub fn drawn(
    model: &dyn Fn(&View) -> Seen,
    width: usize,
    height: usize,
    manner: &Manner,
    part: f32,
) -> Canvas {
    let view = View {
        width: (width as f32 * part) as usize,
        height: (height as f32 * part) as usize,
        units: manner.units,
        middle: manner.middle,
    };
    let seen = enlarged(&model(&view), width, height);
    crayon::portrait(&seen, manner)
}

fn enlarged(seen: &Seen, width: usize, height: usize) -> Seen {
    if (seen.width, seen.height) == (width, height) {
        return seen.clone();
    }
    let (sx, sy) = (
        seen.width as f32 / width as f32,
        seen.height as f32 / height as f32,
    );
    let stretch = |values: &Vec<f32>| {
        let field = Field {
            width: seen.width,
            height: seen.height,
            values: values.clone(),
        };
        Field::from(width, height, &|x, y| {
            field.at((x + 0.5) * sx - 0.5, (y + 0.5) * sy - 0.5)
        })
        .values
    };
    Seen {
        width,
        height,
        tone: stretch(&seen.tone),
        cover: stretch(&seen.cover),
    }
}

fn man_picture(width: usize, height: usize) -> Canvas {
    let manner = Manner {
        units: 6.6,
        middle: (0.0, -1.25),
        ..CHARCOAL
    };
    drawn(&|view| MAN.photograph(view), width, height, &manner, 0.6)
}

/// The man in his oval frame, as a telephone saw him: 1 is the full 3,000 by 4,000 pixels.
fn man_framed(scale: f32) -> Canvas {
    let (width, height) = ((1500.0 * scale) as usize, (2000.0 * scale) as usize);
    let (w, h) = (width as f32, height as f32);
    let frame = OvalFrame {
        middle: (w * 0.503, h * 0.497),
        opening: (w * 0.405, h * 0.428),
        moulding: w * 0.078,
        wood: [0.27, 0.16, 0.10],
        gilding: [0.72, 0.55, 0.27],
        seed: 3,
    };
    let (pw, ph) = ((w * 0.86) as usize, (h * 0.90) as usize);
    let mut picture = man_picture(pw, ph);
    surface::foxing(&mut picture, 26, 0.35, 601);
    surface::scuffs(&mut picture, 34, [0.93, 0.89, 0.80], 0.55, 602);
    surface::tide(&mut picture, 0.955, 0.6, 603);
    let mut canvas = surface::cloth(width, height, [0.15, 0.15, 0.17], 11);
    let (left, top) = (
        frame.middle.0 - pw as f32 / 2.0,
        frame.middle.1 - ph as f32 / 2.0,
    );
    let inside = |x: f32, y: f32| {
        let (u, v) = (
            (x - frame.middle.0) / frame.opening.0,
            (y - frame.middle.1) / frame.opening.1,
        );
        u * u + v * v < 1.10
    };
    canvas.touch(&|x, y, pixel| {
        if inside(x, y) {
            picture.at(x - left, y - top)
        } else {
            pixel
        }
    });
    frame.lay_over(&mut canvas);
    frame.glaze(&mut canvas, 0.66);
    as_telephone(&mut canvas, 5);
    canvas
}

/// The telephone's picture as a thumbnail: quick to draw, and it passes through sitter, charcoal, frame and glass.
#[allow(dead_code, reason = "drawn by the tests alone")]
pub fn a001_proof() -> Result<Vec<u8>, Fault> {
    codec::jpeg(&man_framed(0.05), 90, None)
}

/// Tilts the colours to lamplight, darkens the corners and adds the fine noise of a small sensor.
fn as_telephone(canvas: &mut Canvas, seed: u32) {
    let (w, h) = (canvas.width as f32, canvas.height as f32);
    canvas.touch(&|x, y, pixel| {
        let (u, v) = (x / w - 0.5, y / h - 0.5);
        let corner = 1.0 - 0.42 * (u * u + v * v);
        let lamp = 1.0 + 0.05 * (-u - v);
        let noise = 0.010 * (noise2(x / 1.7, y / 1.7, seed) - 0.5);
        [
            pixel[0] * corner * lamp * 1.015 + noise,
            pixel[1] * corner * lamp + noise,
            pixel[2] * corner * lamp * 0.965 + noise,
        ]
    });
}

/// A-001, front: photographed through the glass, held upright, so stored on its side with an orientation tag.
pub fn a001_front() -> Result<Vec<u8>, Fault> {
    let canvas = man_framed(1.0).resized(3000, 4000).turned_left();
    codec::jpeg(
        &canvas,
        72,
        Some(&Exif {
            make: "Larkfield",
            model: "Pocketglass 7",
            taken: "2026:03:15 10:42:07",
            orientation: 6,
            serial: Some(SERIAL),
            place: Some(KITCHEN),
        }),
    )
}

/// A-001, as somebody "cleaned" it with a program: smooth, bright, false.
pub fn a001_cleaned() -> Result<Vec<u8>, Fault> {
    let (width, height) = (900, 1260);
    let manner = Manner {
        units: 6.6,
        middle: (0.0, -1.25),
        worked: 0.12,
        fades: false,
        ground: 0.8,
        paper: [0.97, 0.94, 0.90],
        black: [0.06, 0.05, 0.06],
        middle_tone: [0.56, 0.49, 0.44],
        ..CHARCOAL
    };
    let young = Sitter {
        head: Head {
            age: 0.1,
            eyes: 1.1,
            ..MAN.head
        },
        ..MAN
    };
    let mut canvas = drawn(&|view| young.photograph(view), width, height, &manner, 0.6);
    let (w, h) = (width as f32, height as f32);
    canvas.touch(&|x, y, [red, green, blue]| {
        // Somebody's program also guessed at colours.
        let (u, v) = ((x / w - 0.5) * 4.6, (0.5 - y / h) * 6.6 - 1.25);
        let face = 1.0 - step(0.35, 0.95, u * u / 0.6 + (v + 0.05) * (v + 0.05) / 1.1);
        let warm = 0.07 * face;
        [red + warm, green + warm * 0.1, blue + 0.03 * (1.0 - face)]
    });
    codec::jpeg(&canvas, 85, None)
}

/// A back: board with everything that the copying house and the years left on it.
fn back(width: usize, height: usize, seed: u32) -> Canvas {
    let mut canvas = surface::board(width, height, [0.68, 0.58, 0.44], seed);
    let (w, h) = (width as f32, height as f32);
    // The bowed board catches the light along its middle.
    canvas.touch(&|x, _, pixel| {
        let u = x / w - 0.46;
        lit(pixel, 1.05 - 0.75 * u * u)
    });
    stamp(&mut canvas, w * 0.64, h * 0.80, w / 900.0, seed);
    canvas
}

/// The maker's rubber stamp, unevenly inked.
fn stamp(canvas: &mut Canvas, x: f32, y: f32, size: f32, seed: u32) {
    let pen = Pen {
        size: 22.0 * size,
        weight: 1.15 * size,
        colour: [0.30, 0.20, 0.36],
        cover: 0.72,
        broken: 0.55,
        rise: 0.035,
        seed: seed + 3,
        ..TYPE
    };
    let lines = ["HALLOWMERE", "PORTRAIT COPYING HOUSE", "DUNMARROW"];
    for (line, words) in lines.into_iter().enumerate() {
        let large = if line == 0 { 1.25 } else { 1.0 };
        let pen = Pen {
            size: pen.size * large,
            ..pen
        };
        lettering::write_centred(
            canvas,
            words,
            x,
            y + (line as f32 - 1.0) * 36.0 * size,
            &pen,
        );
    }
    for ring in [0.0, 7.0] {
        let points: Vec<(f32, f32)> = (0..=72)
            .map(|part| {
                let angle = part as f32 / 72.0 * 6.283_185_5;
                let (a, b) = ((236.0 + ring) * size, (92.0 + ring) * size);
                let (dx, dy) = (
                    super::arithmetic::cos(angle) * a,
                    super::arithmetic::sin(angle) * b,
                );
                (x + dx, y - 8.0 * size + dy - dx * 0.035)
            })
            .collect();
        lettering::trace(canvas, &points, &pen);
    }
}

/// A-001, back.
fn a001_back_canvas() -> Canvas {
    let (width, height) = (1050, 1500);
    let mut canvas = back(width, height, 21);
    lettering::write(
        &mut canvas,
        "6-18",
        330.0,
        430.0,
        &Pen {
            size: 190.0,
            weight: 8.5,
            ..CRAYON
        },
    );
    paper_label(&mut canvas, (140.0, 590.0), (760.0, 200.0));
    lettering::write(
        &mut canvas,
        "E. Marrack – Petrel",
        196.0,
        716.0,
        &Pen {
            size: 66.0,
            weight: 2.4,
            ..INK
        },
    );
    surface::foxing(&mut canvas, 130, 0.85, 611);
    surface::scuffs(&mut canvas, 60, [0.80, 0.72, 0.60], 0.6, 612);
    surface::scuffs(&mut canvas, 30, [0.36, 0.27, 0.18], 0.45, 613);
    surface::tide(&mut canvas, 0.93, 0.8, 614);
    as_telephone(&mut canvas, 6);
    canvas
}

/// A gummed paper label with a lifted, dirty edge.
fn paper_label(canvas: &mut Canvas, (left, top): (f32, f32), (width, height): (f32, f32)) {
    canvas.touch(&|x, y, pixel| {
        let slant = (x - left) * -0.012;
        let (u, v) = (x - left, y - top - slant);
        let torn = 5.0 * (clouds(u / 30.0, v / 30.0, 3, 71) - 0.5);
        let straight = u.min(v).min(width - u).min(height - v);
        let inside = straight + torn;
        if inside < -7.0 {
            return pixel;
        }
        if inside < 0.0 {
            return lit(pixel, 0.72 + 0.04 * inside.abs());
        }
        let paper = lit(
            [0.86, 0.79, 0.64],
            1.0 + 0.10 * (clouds(u / 90.0, v / 60.0, 4, 72) - 0.5),
        );
        let line = |at: f32, half: f32| (half + 0.5 - (straight - at).abs()).clamp(0.0, 1.0);
        let rule = line(13.0, 1.6).max(line(19.0, 0.7));
        blend(paper, [0.45, 0.20, 0.16], 0.72 * rule)
    });
}

/// A-001, back: daylight, from above.
pub fn a001_back() -> Result<Vec<u8>, Fault> {
    codec::jpeg(
        &a001_back_canvas(),
        80,
        Some(&Exif {
            make: "Larkfield",
            model: "Pocketglass 7",
            taken: "2026:03:15 10:51:33",
            orientation: 1,
            serial: Some(SERIAL),
            place: None,
        }),
    )
}

/// A-002, front: the board itself, out of its frame, on a flat scanner of a library.
pub fn a002_front() -> Result<Vec<u8>, Fault> {
    let (width, height) = (1120, 1600);
    let manner = Manner {
        seed: 2,
        units: 6.9,
        middle: (0.0, -1.35),
        ..CHARCOAL
    };
    let mut canvas = drawn(&|view| WOMAN.photograph(view), width, height, &manner, 0.75);
    let (w, h) = (width as f32, height as f32);
    canvas.touch(&|x, y, pixel| {
        let edge = x.min(y).min(w - x).min(h - y);
        let worn = 3.0 + 7.0 * clouds(x / 40.0, y / 40.0, 3, 81);
        if edge < worn * 0.6 {
            [0.10, 0.10, 0.10]
        } else {
            blend(
                [0.62, 0.52, 0.38],
                pixel,
                (edge / (worn * 3.0)).clamp(0.25, 1.0),
            )
        }
    });
    surface::foxing(&mut canvas, 9, 0.30, 621);
    coarser(&mut canvas, 128.0);
    codec::tiff(&canvas, 80)
}

/// Rounds values to fewer steps: scanners' least bits are noise, and noise only makes files large.
pub fn coarser(canvas: &mut Canvas, steps: f32) {
    canvas.touch(&|_, _, pixel| {
        pixel.map(|value| ((value * steps + 0.5).floor() / steps).clamp(0.0, 1.0))
    });
}

/// A-002, back, in grey of 16 bits.
pub fn a002_back() -> Result<Vec<u8>, Fault> {
    let (width, height) = (630, 900);
    let mut canvas = back(width, height, 22);
    lettering::write(
        &mut canvas,
        "6-19",
        205.0,
        270.0,
        &Pen {
            size: 118.0,
            weight: 5.4,
            seed: 619,
            ..CRAYON
        },
    );
    surface::foxing(&mut canvas, 24, 0.5, 631);
    surface::scuffs(&mut canvas, 16, [0.80, 0.72, 0.60], 0.4, 632);
    codec::tiff_grey_16(&canvas, 45)
}

fn child_framed(
    width: usize,
    height: usize,
    opening: (f32, f32),
    middle: (f32, f32),
    glare: f32,
) -> Canvas {
    let (w, h) = (width as f32, height as f32);
    let manner = Manner {
        seed: 4,
        units: 10.6,
        middle: (0.45, -2.75),
        worked: 0.35,
        ground: 0.8,
        fades: true,
        paper: [0.88, 0.82, 0.70],
        black: [0.17, 0.12, 0.09],
        middle_tone: [0.52, 0.43, 0.33],
    };
    let frame = OvalFrame {
        middle: (w * middle.0, h * middle.1),
        opening: (w * opening.0, h * opening.1),
        moulding: w * opening.0 * 0.26,
        wood: [0.20, 0.15, 0.12],
        gilding: [0.66, 0.50, 0.25],
        seed: 9,
    };
    let (pw, ph) = (
        (frame.opening.0 * 2.12) as usize,
        (frame.opening.1 * 2.12) as usize,
    );
    let mut picture = drawn(&|view| CHILD.photograph(view), pw, ph, &manner, 0.7);
    surface::foxing(&mut picture, 12, 0.3, 641);
    let mut canvas = surface::wood(width, height, [0.46, 0.33, 0.22], 31);
    let (left, top) = (
        frame.middle.0 - pw as f32 / 2.0,
        frame.middle.1 - ph as f32 / 2.0,
    );
    canvas.touch(&|x, y, pixel| {
        let (u, v) = (
            (x - frame.middle.0) / frame.opening.0,
            (y - frame.middle.1) / frame.opening.1,
        );
        if u * u + v * v < 1.10 {
            picture.at(x - left, y - top)
        } else {
            pixel
        }
    });
    frame.lay_over(&mut canvas);
    frame.glaze(&mut canvas, glare);
    canvas
}

/// A-003, front: through its convex glass, which mirrors the window.
pub fn a003_front() -> Result<Vec<u8>, Fault> {
    let mut canvas = child_framed(780, 1040, (0.435, 0.445), (0.5, 0.5), 0.95);
    coarser(&mut canvas, 100.0);
    codec::png(&canvas)
}

/// A-003, the whole frame on a table.
pub fn a003_frame_front() -> Result<Vec<u8>, Fault> {
    let mut canvas = child_framed(1000, 1250, (0.330, 0.365), (0.5, 0.49), 0.8);
    as_telephone(&mut canvas, 7);
    codec::jpeg(
        &canvas,
        80,
        Some(&Exif {
            make: "Larkfield",
            model: "Pocketglass 7",
            taken: "2026:03:15 11:20:51",
            orientation: 1,
            serial: Some(SERIAL),
            place: None,
        }),
    )
}

/// A-003, the framer's slip on the backing paper.
fn a003_label_canvas() -> Canvas {
    let (width, height) = (900, 600);
    let mut canvas = Canvas::from(width, height, &|x, y| {
        let crease = clouds(
            x / 70.0 + 2.0 * clouds(x / 200.0, y / 200.0, 3, 4),
            y / 50.0,
            5,
            5,
        ) - 0.5;
        let fibre = lattice(x as i32, y as i32, 0, 6) - 0.5;
        lit([0.55, 0.42, 0.28], 1.0 + 0.28 * crease + 0.04 * fibre)
    });
    paper_label(&mut canvas, (130.0, 120.0), (640.0, 350.0));
    let pen = Pen {
        size: 40.0,
        weight: 1.7,
        rise: 0.012,
        cover: 0.85,
        broken: 0.18,
        ..TYPE
    };
    lettering::write_centred(
        &mut canvas,
        "CAUTION",
        450.0,
        235.0,
        &Pen {
            size: 50.0,
            weight: 2.4,
            ..pen
        },
    );
    lettering::write_centred(
        &mut canvas,
        "hang from both rings",
        450.0,
        330.0,
        &Pen { size: 47.0, ..pen },
    );
    lettering::write_centred(
        &mut canvas,
        "convex glass",
        450.0,
        405.0,
        &Pen { size: 34.0, ..pen },
    );
    surface::foxing(&mut canvas, 26, 0.6, 651);
    surface::scuffs(&mut canvas, 26, [0.72, 0.60, 0.44], 0.5, 652);
    canvas
}

/// A-003, label.
pub fn a003_label() -> Result<Vec<u8>, Fault> {
    codec::jpeg(&a003_label_canvas(), 82, None)
}

/// Something that draws a file.
pub type Drawing = fn() -> Result<Vec<u8>, Fault>;

/// The files of the collection and how they are drawn.
pub const FILES: &[(&str, Drawing)] = &[
    ("A-001/A-001-front.jpg", a001_front),
    ("A-001/A-001-back.jpg", a001_back),
    ("A-001/A-001-front-cleaned.jpg", a001_cleaned),
    ("A-002/A-002-front.tif", a002_front),
    ("A-002/A-002-back.tif", a002_back),
    ("A-003/A-003-front.png", a003_front),
    ("A-003/A-003-frame-front.jpg", a003_frame_front),
    ("A-003/A-003-label.jpg", a003_label),
];
