//! The Tillyard box: twelve cards from one town, with the faults that boxes of scans have.

use super::arithmetic::at;
use super::canvas::Canvas;
use super::canvas::blend;
use super::canvas::lit;
use super::cards;
use super::cards::ALBUMEN;
use super::cards::CABINET;
use super::cards::Card;
use super::cards::Edge;
use super::cards::VISITING_CARD;
use super::codec;
use super::codec::Exif;
use super::codec::Fault;
use super::crayon::Manner;
use super::dress::Dress;
use super::figure::Model;
use super::figure::Pair;
use super::figure::Sitter;
use super::head::Beard;
use super::head::Hair;
use super::head::Head;
use super::lettering;
use super::lettering::INK;
use super::lettering::PENCIL;
use super::lettering::Pen;
use super::lettering::TYPE;
use super::noise::clouds;
use super::noise::noise2;
use super::surface;
use super::trevanick::Drawing;
use super::trevanick::coarser;

const FACE: Head = Head {
    breadth: 1.0,
    jaw: 1.0,
    brow: 0.5,
    nose: 1.0,
    lips: 1.0,
    age: 0.4,
    eyes: 1.0,
    hair: Hair::SideParting,
    beard: Beard::Shaven,
    seed: 300,
};

const ANYBODY: Sitter = Sitter {
    head: FACE,
    dress: Dress::FrockCoat,
    turn: 0.2,
    lean: 0.0,
    lift: 0.0,
    skin: 0.84,
    hair: 0.24,
    beard: 0.24,
    cloth: 0.15,
};

const MOTHER: Sitter = Sitter {
    head: Head {
        breadth: 0.95,
        jaw: 0.7,
        brow: 0.15,
        nose: 0.9,
        lips: 1.05,
        age: 0.45,
        hair: Hair::CentreParting,
        seed: 301,
        ..FACE
    },
    dress: Dress::PlainBodice,
    turn: -0.2,
    cloth: 0.13,
    ..ANYBODY
};

const YOUNG_MAN: Sitter = Sitter {
    head: Head {
        age: 0.2,
        beard: Beard::Whiskers,
        seed: 302,
        ..FACE
    },
    ..ANYBODY
};

const GRANDFATHER: Sitter = Sitter {
    head: Head {
        breadth: 0.97,
        age: 0.95,
        nose: 1.2,
        brow: 0.7,
        hair: Hair::Receding,
        beard: Beard::Whiskers,
        seed: 303,
        ..FACE
    },
    turn: -0.3,
    hair: 0.62,
    beard: 0.6,
    ..ANYBODY
};

const ORPHA: Sitter = Sitter {
    head: Head {
        breadth: 0.96,
        jaw: 0.85,
        brow: 0.3,
        nose: 1.05,
        lips: 0.9,
        age: 0.85,
        hair: Hair::CentreParting,
        seed: 304,
        ..FACE
    },
    dress: Dress::PlainBodice,
    turn: 0.24,
    hair: 0.45,
    cloth: 0.10,
    ..ANYBODY
};

const LUCIAN: Sitter = Sitter {
    head: Head {
        age: 0.2,
        beard: Beard::Moustache,
        seed: 306,
        ..FACE
    },
    turn: 0.22,
    hair: 0.16,
    beard: 0.16,
    ..ANYBODY
};

const WRITER: Sitter = Sitter {
    head: Head {
        breadth: 0.94,
        jaw: 0.62,
        brow: 0.1,
        nose: 0.86,
        lips: 1.1,
        age: 0.15,
        eyes: 1.06,
        hair: Hair::PinnedUp,
        seed: 316,
        ..FACE
    },
    dress: Dress::PlainBodice,
    turn: -0.18,
    lean: -0.05,
    hair: 0.34,
    cloth: 0.24,
    ..ANYBODY
};

const NINETIES: Sitter = Sitter {
    head: Head {
        age: 0.55,
        hair: Hair::Receding,
        beard: Beard::Moustache,
        seed: 307,
        ..FACE
    },
    dress: Dress::Suit,
    turn: -0.25,
    hair: 0.30,
    beard: 0.28,
    ..ANYBODY
};

const UNCLE: Sitter = Sitter {
    head: Head {
        age: 0.3,
        jaw: 1.15,
        beard: Beard::Fringe,
        seed: 308,
        ..FACE
    },
    turn: 0.1,
    lean: 0.05,
    cloth: 0.20,
    ..ANYBODY
};

const ACTRESS: Sitter = Sitter {
    head: Head {
        breadth: 0.92,
        jaw: 0.55,
        brow: 0.05,
        nose: 0.82,
        lips: 1.2,
        age: 0.0,
        eyes: 1.14,
        hair: Hair::Curls,
        seed: 309,
        ..FACE
    },
    dress: Dress::Gown,
    turn: 0.4,
    lean: 0.08,
    lift: 0.08,
    skin: 0.90,
    hair: 0.18,
    cloth: 0.42,
    ..ANYBODY
};

const BABY: Sitter = Sitter {
    head: Head {
        breadth: 1.20,
        jaw: 0.40,
        brow: 0.0,
        nose: 0.50,
        lips: 1.05,
        age: 0.0,
        eyes: 1.42,
        hair: Hair::Down,
        seed: 310,
        ..FACE
    },
    dress: Dress::Infant,
    turn: 0.05,
    skin: 0.92,
    hair: 0.55,
    ..ANYBODY
};

fn visiting(seed: u32) -> Card {
    Card {
        seed,
        ..VISITING_CARD
    }
}

fn cabinet(seed: u32, edge: Edge, colour: [f32; 3]) -> Card {
    Card {
        seed,
        edge,
        colour,
        ..CABINET
    }
}

fn toned(seed: u32) -> Manner {
    Manner { seed, ..ALBUMEN }
}

const CREAM: [f32; 3] = [0.84, 0.78, 0.64];

fn pencilled(canvas: &mut Canvas, words: &str, x: f32, y: f32, seed: u32) {
    lettering::write(canvas, words, x, y, &Pen { seed, ..PENCIL });
}

fn b01_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        fades: true,
        ground: 0.35,
        ..toned(61)
    };
    let canvas = cards::front(
        &visiting(101),
        &|view| MOTHER.photograph(view),
        &manner,
        "Corvin & Lisle",
        "Marrowby",
    );
    codec::jpeg_at(&canvas, 80, 300)
}

fn b01_back() -> Result<Vec<u8>, Fault> {
    let lines = [
        ("CORVIN & LISLE", 44.0),
        ("Photographers", 30.0),
        ("14 Tannery Row", 34.0),
        ("MARROWBY", 34.0),
    ];
    let mut canvas = cards::back(&visiting(121), &lines, true);
    pencilled(&mut canvas, "Mother", 250.0, 1040.0, 401);
    codec::jpeg_at(&canvas, 80, 300)
}

fn b02_front() -> Result<Vec<u8>, Fault> {
    let card = Card {
        edge: Edge::Ruled,
        ..visiting(102)
    };
    let canvas = cards::front(
        &card,
        &|view| YOUNG_MAN.photograph(view),
        &toned(62),
        "Corvin, Marrowby",
        "",
    );
    codec::jpeg_at(&canvas, 80, 300)
}

fn b02_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = cards::back(
        &visiting(122),
        &[("CORVIN", 44.0), ("MARROWBY", 34.0)],
        false,
    );
    revenue_stamp(&mut canvas, 280.0, 720.0);
    codec::jpeg_at(&canvas, 80, 300)
}

/// An invented revenue stamp of two cents, cancelled by pen.
fn revenue_stamp(canvas: &mut Canvas, left: f32, top: f32) {
    let (width, height) = (190.0, 236.0);
    canvas.touch(&|x, y, pixel| {
        let (u, v) = (x - left, y - top);
        let out = u.min(v).min(width - u).min(height - v);
        let tooth = 4.0 * super::arithmetic::sin((u + v) / 3.2);
        if out + tooth < 0.0 {
            return pixel;
        }
        let engraved = super::arithmetic::sin(u / 2.1) * super::arithmetic::sin(v / 2.6);
        let (du, dv) = ((u - width / 2.0) / 62.0, (v - height / 2.0) / 78.0);
        let inside = du * du + dv * dv < 1.0;
        let orange = [0.78, 0.40, 0.20];
        let share = if out < 10.0 {
            0.08
        } else if inside {
            0.22
        } else {
            0.62 + 0.25 * engraved
        };
        blend([0.92, 0.86, 0.72], orange, share)
    });
    let pen = Pen {
        size: 64.0,
        weight: 3.2,
        colour: [0.55, 0.22, 0.10],
        ..TYPE
    };
    lettering::write_centred(canvas, "2¢", left + width / 2.0, top + 148.0, &pen);
    let ink = Pen {
        size: 46.0,
        weight: 2.0,
        seed: 65,
        rise: 0.08,
        ..INK
    };
    lettering::write(canvas, "Oct 3", left - 40.0, top + 110.0, &ink);
    lettering::write(canvas, "1865", left + 10.0, top + 200.0, &ink);
}

fn b03_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        fades: true,
        ground: 0.6,
        ..toned(63)
    };
    let mut canvas = cards::front(
        &cabinet(103, Edge::Ruled, CREAM),
        &|view| GRANDFATHER.photograph(view),
        &manner,
        "Corvin & Lisle",
        "Marrowby",
    );
    surface::scuffs(&mut canvas, 30, [0.90, 0.86, 0.80], 0.5, 633);
    codec::jpeg_grey(&canvas, 82)
}

fn b03_back() -> Result<Vec<u8>, Fault> {
    let lines = [
        ("CORVIN & LISLE", 46.0),
        ("9 Exchange Block", 34.0),
        ("MARROWBY", 36.0),
        ("Old pictures copied", 28.0),
    ];
    let mut canvas = cards::back(&cabinet(123, Edge::Square, CREAM), &lines, true);
    pencilled(&mut canvas, "Grandfather Ambrose", 150.0, 1120.0, 403);
    codec::jpeg_at(&canvas, 80, 200)
}

fn orpha(seed: u32, manner: &Manner) -> Canvas {
    cards::front(
        &cabinet(seed, Edge::Square, [0.80, 0.74, 0.58]),
        &|view| ORPHA.photograph(view),
        manner,
        "E. Lisle",
        "Marrowby",
    )
}

fn b04_front() -> Result<Vec<u8>, Fault> {
    let mut canvas = orpha(104, &toned(64));
    coarser(&mut canvas, 64.0);
    codec::png(&canvas.resized(595, 910))
}

fn b05_front() -> Result<Vec<u8>, Fault> {
    // The same negative, printed darker and colder, on another card.
    let manner = Manner {
        black: [0.13, 0.09, 0.08],
        middle_tone: [0.50, 0.37, 0.27],
        ..toned(64)
    };
    codec::jpeg_at(&orpha(105, &manner), 80, 200)
}

fn lisle_back(seed: u32) -> Canvas {
    let lines = [
        ("E. LISLE", 52.0),
        ("9 Exchange Block", 34.0),
        ("MARROWBY", 36.0),
        ("Negatives kept", 28.0),
    ];
    let mut canvas = cards::back(
        &cabinet(seed, Edge::Square, [0.80, 0.74, 0.58]),
        &lines,
        true,
    );
    lettering::write(
        &mut canvas,
        "4471",
        570.0,
        1190.0,
        &Pen {
            size: 44.0,
            weight: 1.9,
            seed: 444,
            ..INK
        },
    );
    canvas
}

fn b04_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = lisle_back(124);
    lettering::write(
        &mut canvas,
        "Orpha T.",
        240.0,
        240.0,
        &Pen { seed: 404, ..INK },
    );
    codec::jpeg_at(&canvas, 80, 200)
}

fn b05_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = lisle_back(125);
    pencilled(&mut canvas, "Delia", 310.0, 240.0, 405);
    let exif = Exif {
        make: "Larkfield",
        model: "Pocketglass 7",
        taken: "2026:02:08 16:05:44",
        orientation: 3,
        serial: None,
        place: None,
    };
    codec::jpeg(&canvas.upside_down(), 80, Some(&exif))
}

fn b06_front() -> Result<Vec<u8>, Fault> {
    let pair = Pair {
        left: (LUCIAN, at(-1.15, 0.25, -0.45)),
        right: (WRITER, at(1.25, -0.30, 0.25)),
    };
    let manner = Manner {
        units: 6.9,
        middle: (0.0, -0.95),
        ..toned(66)
    };
    let card = cabinet(106, Edge::Gilt, [0.22, 0.14, 0.12]);
    let canvas = cards::front(
        &card,
        &|view| pair.photograph(view),
        &manner,
        "A. Tessaly",
        "40 Market Place, Marrowby",
    );
    // 6½ inches at 150 dots are 975; the tag says 300.
    codec::jpeg_at(&canvas.resized(638, 975), 82, 300)
}

fn b06_back() -> Result<Vec<u8>, Fault> {
    let lines = [
        ("A. TESSALY", 50.0),
        ("40 Market Place", 34.0),
        ("MARROWBY", 36.0),
    ];
    let mut canvas = cards::back(&cabinet(126, Edge::Gilt, [0.80, 0.72, 0.56]), &lines, true);
    pencilled(&mut canvas, "Lucian & me", 240.0, 1120.0, 406);
    codec::jpeg_at(&canvas.resized(638, 975), 82, 300)
}

fn b07_front() -> Result<Vec<u8>, Fault> {
    let canvas = cards::front(
        &cabinet(107, Edge::Embossed, [0.78, 0.76, 0.70]),
        &|view| NINETIES.photograph(view),
        &toned(67),
        "Tessaly & Son",
        "Marrowby",
    );
    let mut file = codec::jpeg_at(&canvas, 84, 200)?;
    // The copy broke off: the last 40 kB never arrived.
    file.truncate(file.len() - 40_000);
    Ok(file)
}

fn b07_back() -> Result<Vec<u8>, Fault> {
    let lines = [
        ("TESSALY & SON", 48.0),
        ("40 Market Place", 34.0),
        ("MARROWBY", 36.0),
    ];
    let mut canvas = cards::back(
        &cabinet(127, Edge::Embossed, [0.78, 0.76, 0.70]),
        &lines,
        false,
    );
    let ballpoint = Pen {
        size: 56.0,
        weight: 1.5,
        colour: [0.12, 0.18, 0.55],
        swelling: false,
        broken: 0.05,
        seed: 407,
        ..INK
    };
    lettering::write(&mut canvas, "1885?", 330.0, 1110.0, &ballpoint);
    codec::jpeg_at(&canvas, 80, 200)
}

fn b08_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        units: 5.8,
        middle: (0.0, -1.0),
        paper: [0.66, 0.63, 0.58],
        black: [0.08, 0.08, 0.085],
        middle_tone: [0.30, 0.285, 0.27],
        ground: 0.9,
        ..toned(68)
    };
    // 2½ by 3½ inches at 240 dots.
    let (width, height) = (600, 840);
    let mut canvas =
        super::trevanick::drawn(&|view| UNCLE.photograph(view), width, height, &manner, 0.6);
    surface::scuffs(&mut canvas, 40, [0.05, 0.05, 0.06], 0.7, 681);
    surface::scuffs(&mut canvas, 20, [0.62, 0.58, 0.52], 0.5, 682);
    let (w, h) = (width as f32, height as f32);
    canvas.touch(&|x, y, pixel| {
        let (dx, dy) = (x.min(w - x), y.min(h - y));
        // Snipped corners show the bare iron; rust creeps in from the edge.
        if dx + dy < 46.0 {
            return [0.90, 0.90, 0.89];
        }
        let rust = 1.0
            - super::arithmetic::step(
                0.0,
                30.0,
                dx.min(dy) - 22.0 * clouds(x / 40.0, y / 40.0, 3, 683),
            );
        blend(pixel, [0.34, 0.19, 0.11], 0.75 * rust)
    });
    codec::jpeg_at(&canvas, 82, 240)
}

fn b08_back() -> Result<Vec<u8>, Fault> {
    // The paper sleeve from behind.
    let card = Card {
        width: 660,
        height: 920,
        colour: [0.82, 0.75, 0.58],
        seed: 128,
        ..VISITING_CARD
    };
    let mut canvas = cards::back(&card, &[], false);
    pencilled(&mut canvas, "Uncle Wend at the fair", 50.0, 470.0, 408);
    codec::jpeg_at(&canvas, 80, 240)
}

fn b09_front() -> Result<Vec<u8>, Fault> {
    let canvas = cards::front(
        &visiting(109),
        &|view| ACTRESS.photograph(view),
        &toned(69),
        "Mlle. Odalys Ferrant",
        "",
    );
    codec::jpeg_at(&canvas, 80, 300)
}

fn b09_back() -> Result<Vec<u8>, Fault> {
    let lines = [("Sold at all", 30.0), ("print sellers", 30.0)];
    codec::jpeg_at(&cards::back(&visiting(129), &lines, true), 80, 300)
}

fn b10_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        units: 7.6,
        middle: (0.0, -1.7),
        fades: true,
        ground: 0.4,
        ..toned(70)
    };
    let canvas = cards::front(
        &visiting(110),
        &|view| BABY.photograph(view),
        &manner,
        "",
        "",
    );
    codec::jpeg_at(&canvas, 80, 300)
}

fn b10_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = cards::back(&visiting(130), &[], false);
    pencilled(&mut canvas, "Baby Frank", 200.0, 520.0, 410);
    codec::jpeg_at(&canvas, 80, 300)
}

fn b11_front() -> Result<Vec<u8>, Fault> {
    let card = cabinet(111, Edge::Gilt, [0.10, 0.095, 0.10]);
    let mut canvas = cards::blank(&card);
    let gold = Pen {
        colour: [0.78, 0.64, 0.36],
        weight: 1.8,
        cover: 1.0,
        ..TYPE
    };
    let mut y = 560.0;
    for (words, size) in [
        ("In loving remembrance", 46.0),
        ("Departed 4 May 1893,", 42.0),
        ("aged 71 y. 2 m.", 42.0),
    ] {
        cards::gilded(
            &mut canvas,
            words,
            425.0 - lettering::width(words, &Pen { size, ..gold }) / 2.0,
            y,
            &Pen { size, ..gold },
        );
        y += size * 2.4;
    }
    wreath(&mut canvas, 425.0, 300.0);
    surface::scuffs(&mut canvas, 26, [0.30, 0.29, 0.28], 0.5, 691);
    codec::tiff_grey(&canvas.resized(680, 1040), 160)
}

fn wreath(canvas: &mut Canvas, x: f32, y: f32) {
    canvas.touch(&|px, py, pixel| {
        let (u, v) = (px - x, py - y);
        let round = (u * u + v * v).sqrt();
        let angle = super::arithmetic::round_the_circle(u, v);
        let leaf = 26.0 * super::arithmetic::sin(angle * 1.570_796_4 * 14.0 + round / 14.0).abs();
        let on = super::arithmetic::step(34.0, 22.0, (round - 118.0).abs() + 18.0 - leaf);
        let shade = 0.7 + 0.4 * noise2(px / 5.0, py / 5.0, 692);
        blend(pixel, lit([0.70, 0.57, 0.32], shade), on)
    });
}

fn b11_back() -> Result<Vec<u8>, Fault> {
    codec::jpeg_at(
        &cards::back(&cabinet(131, Edge::Square, [0.13, 0.125, 0.13]), &[], false),
        80,
        200,
    )
}

/// The files of the collection and how they are drawn. B-12 has none: it is mouldy and stays shut.
pub const FILES: &[(&str, Drawing)] = &[
    ("B-01/B-01-front.jpg", b01_front),
    ("B-01/IMG_0007.jpg", b01_front),
    ("B-01/B-01-back.jpg", b01_back),
    ("B-02/B-02-front.jpg", b02_front),
    ("B-02/B-02-back.jpg", b02_back),
    ("B-03/B-03-front.jpg", b03_front),
    ("B-03/B-03-back.jpg", b03_back),
    ("B-04/B-04-front.png", b04_front),
    ("B-04/B-04-back.jpg", b04_back),
    ("B-05/B-05-front.jpg", b05_front),
    ("B-05/B-05-back.jpg", b05_back),
    ("B-06/B-06-front.jpg", b06_front),
    ("B-06/B-06-back.jpg", b06_back),
    ("B-07/B-07-front.jpg", b07_front),
    ("B-07/B-07-back.jpg", b07_back),
    ("B-08/B-08-front.jpg", b08_front),
    ("B-08/B-08-back.jpg", b08_back),
    ("B-09/B-09-front.jpg", b09_front),
    ("B-09/B-09-back.jpg", b09_back),
    ("B-10/Zoë B-10 front.jpg", b10_front),
    ("B-10/B-10-back.jpg", b10_back),
    ("B-11/B-11-front.tif", b11_front),
    ("B-11/B-11-back.jpg", b11_back),
];
