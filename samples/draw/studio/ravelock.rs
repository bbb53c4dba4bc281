//! The Ravelock gift: seven things that a family gives to a county society, some of them private.

use super::arithmetic::at;
use super::arithmetic::step;
use super::canvas::Canvas;
use super::canvas::blend;
use super::canvas::lit;
use super::cards;
use super::cards::Card;
use super::cards::VISITING_CARD;
use super::codec;
use super::codec::Exif;
use super::codec::Fault;
use super::crayon::CHARCOAL;
use super::crayon::Manner;
use super::dress::Dress;
use super::figure::Model;
use super::figure::Pair;
use super::figure::Sitter;
use super::framing::OvalFrame;
use super::head::Beard;
use super::head::Hair;
use super::head::Head;
use super::lettering;
use super::lettering::INK;
use super::lettering::PENCIL;
use super::lettering::Pen;
use super::lettering::TYPE;
use super::noise::clouds;
use super::noise::lattice;
use super::noise::noise2;
use super::surface;
use super::trevanick::Drawing;
use super::trevanick::coarser;
use super::trevanick::drawn;

/// Where the giver's telephone says that it was: 47° 52′ 31.07″ N, 14° 08′ 55.62″ W, open sea. Nobody lives there.
pub const PARLOUR: ([u32; 3], [u32; 3]) = ([47, 52, 3107], [14, 8, 5562]);

const FARMER: Sitter = Sitter {
    head: Head {
        breadth: 1.03,
        jaw: 1.15,
        brow: 0.6,
        nose: 1.05,
        lips: 1.0,
        age: 0.6,
        eyes: 1.0,
        hair: Hair::SideParting,
        beard: Beard::Moustache,
        seed: 501,
    },
    dress: Dress::FrockCoat,
    turn: -0.26,
    lean: 0.0,
    lift: 0.0,
    skin: 0.83,
    hair: 0.30,
    beard: 0.24,
    cloth: 0.15,
};

const STUDIO_LADY: Sitter = Sitter {
    head: Head {
        breadth: 0.93,
        jaw: 0.6,
        brow: 0.05,
        nose: 0.84,
        lips: 1.2,
        age: 0.1,
        eyes: 1.1,
        hair: Hair::Waved,
        beard: Beard::Shaven,
        seed: 504,
    },
    dress: Dress::PlainBodice,
    turn: 0.36,
    lean: 0.07,
    lift: 0.05,
    skin: 0.90,
    hair: 0.22,
    beard: 0.2,
    cloth: 0.30,
};

const BRIDE: Sitter = Sitter {
    dress: Dress::Bride,
    turn: 0.14,
    lean: 0.0,
    head: Head {
        seed: 505,
        ..STUDIO_LADY.head
    },
    ..STUDIO_LADY
};

const GROOM: Sitter = Sitter {
    head: Head {
        age: 0.15,
        beard: Beard::Shaven,
        seed: 506,
        ..FARMER.head
    },
    dress: Dress::Suit,
    turn: -0.12,
    hair: 0.14,
    cloth: 0.12,
    ..FARMER
};

const SILVER: Manner = Manner {
    seed: 90,
    units: 5.6,
    middle: (0.0, -0.9),
    paper: [0.93, 0.92, 0.89],
    black: [0.07, 0.07, 0.075],
    middle_tone: [0.47, 0.465, 0.455],
    worked: 0.0,
    ground: 0.7,
    fades: false,
};

fn farmer(width: usize, height: usize, manner: &Manner) -> Canvas {
    let mut canvas = surface::cloth(width, height, [0.30, 0.30, 0.27], 12);
    let (w, h) = (width as f32, height as f32);
    let frame = OvalFrame {
        middle: (w * 0.5, h * 0.5),
        opening: (w * 0.38, h * 0.415),
        moulding: w * 0.085,
        wood: [0.40, 0.26, 0.14],
        gilding: [0.76, 0.60, 0.32],
        seed: 21,
    };
    let (pw, ph) = (
        (frame.opening.0 * 2.1) as usize,
        (frame.opening.1 * 2.1) as usize,
    );
    let picture = drawn(&|view| FARMER.photograph(view), pw, ph, manner, 0.6);
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
    frame.glaze(&mut canvas, 0.35);
    canvas
}

fn c01_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        seed: 8,
        units: 6.4,
        middle: (0.0, -1.2),
        ..CHARCOAL
    };
    let canvas = farmer(900, 1180, &manner);
    let exif = Exif {
        make: "Larkfield",
        model: "Pocketglass 4",
        taken: "2026:01:11 14:20:05",
        orientation: 1,
        serial: Some("PX4-77120-INVENTED"),
        place: Some(PARLOUR),
    };
    codec::jpeg(&canvas, 80, Some(&exif))
}

fn c01_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = surface::wood(700, 920, [0.50, 0.38, 0.25], 32);
    surface::foxing(&mut canvas, 30, 0.5, 701);
    let chalk = Pen {
        size: 70.0,
        weight: 3.0,
        colour: [0.20, 0.17, 0.15],
        broken: 0.6,
        seed: 702,
        ..PENCIL
    };
    lettering::write(&mut canvas, "parlour", 210.0, 300.0, &chalk);
    codec::jpeg(&canvas, 80, None)
}

fn c06_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        seed: 8,
        units: 6.4,
        middle: (0.0, -1.2),
        worked: 0.15,
        paper: [0.80, 0.84, 0.82],
        black: [0.07, 0.06, 0.09],
        middle_tone: [0.44, 0.44, 0.48],
        ..CHARCOAL
    };
    let mut canvas = drawn(&|view| FARMER.photograph(view), 640, 880, &manner, 0.6);
    canvas.touch(&|x, y, [red, green, blue]| {
        let (u, v) = ((x / 640.0 - 0.49) * 4.65, (0.5 - y / 880.0) * 6.4 - 1.2);
        let face = 1.0 - step(0.40, 1.0, u * u / 0.65 + (v - 0.0) * v / 1.2);
        [red + 0.16 * face, green + 0.02 * face, blue - 0.09 * face]
    });
    codec::jpeg(&canvas, 82, None)
}

fn view_of_tollen(width: usize, height: usize) -> Canvas {
    let (w, h) = (width as f32, height as f32);
    Canvas::from(width, height, &|x, y| {
        let (u, v) = (x / w, y / h);
        let sky = 0.80 - 0.25 * v + 0.10 * (clouds(u * 4.0, v * 9.0, 4, 801) - 0.5);
        let mut tone = sky;
        for (index, (base, high, rough, shade)) in [
            (0.50, 0.16, 2.0, 0.62),
            (0.58, 0.12, 3.5, 0.50),
            (0.68, 0.10, 6.0, 0.38),
        ]
        .into_iter()
        .enumerate()
        {
            let ridge =
                base - high * clouds(u * rough + index as f32 * 3.0, 0.5, 4, 802 + index as u32);
            if v > ridge {
                tone =
                    shade + 0.10 * (clouds(u * 30.0, v * 30.0, 3, 810) - 0.5) + 0.10 * (v - ridge);
            }
        }
        tone = town(u, v, tone);
        let river = 0.80 + 0.03 * super::arithmetic::sin(u * 7.0);
        if v > river {
            let ripple = noise2(u * 30.0, v * 220.0, 820) - 0.5;
            tone = 0.66 + 0.20 * ripple - 0.25 * (v - river);
        }
        let grain = 1.0 + 0.05 * (lattice(x as i32, y as i32, 0, 821) - 0.5);
        let tone = (tone * grain).clamp(0.0, 1.0);
        blend([0.10, 0.13, 0.17], [0.88, 0.87, 0.80], tone)
    })
}

/// Adds roofs and a church tower to the tone of the view.
fn town(u: f32, v: f32, tone: f32) -> f32 {
    let mut tone = tone;
    for index in 0..26 {
        let place = lattice(index, 1, 0, 830);
        let left = 0.06 + 0.034 * index as f32;
        let wide = 0.030 + 0.012 * place;
        let top = 0.66 + 0.06 * lattice(index, 2, 0, 830);
        let (inside, across) = ((u - left) / wide, v - top);
        if (0.0..1.0).contains(&inside) && v < 0.80 {
            let roof = top - 0.035 * (1.0 - (inside * 2.0 - 1.0).abs());
            if v > top {
                let window = (inside * 4.0).fract() > 0.55 && ((across * 34.0).fract() > 0.5);
                tone = if window {
                    0.22
                } else {
                    0.60 + 0.18 * lattice(index, 3, 0, 830)
                };
            } else if v > roof {
                tone = 0.26 + 0.08 * place;
            }
        }
    }
    let tower = (u - 0.62).abs() < 0.020 && v > 0.46 && v < 0.78;
    let spire =
        (u - 0.62).abs() < 0.020 * ((v - 0.30) / 0.16).clamp(0.0, 1.0) && v > 0.30 && v <= 0.46;
    if tower {
        tone = 0.40 + 0.22 * step(0.60, 0.62, u);
    } else if spire {
        tone = 0.24 + 0.14 * step(0.615, 0.625, u);
    }
    tone
}

fn c02_front() -> Result<Vec<u8>, Fault> {
    let mut canvas = Canvas::from(900, 580, &|_, _| [0.90, 0.88, 0.80]);
    let view = view_of_tollen(850, 480);
    canvas.touch(&|x, y, pixel| {
        let (u, v) = (x - 25.0, y - 25.0);
        if (0.0..850.0).contains(&u) && (0.0..480.0).contains(&v) {
            view.at(u, v)
        } else {
            pixel
        }
    });
    let pen = Pen {
        size: 28.0,
        weight: 1.3,
        slant: 0.15,
        colour: [0.20, 0.20, 0.26],
        ..TYPE
    };
    lettering::write(&mut canvas, "Tollen, from the Mill Hill", 40.0, 550.0, &pen);
    surface::foxing(&mut canvas, 12, 0.3, 811);
    codec::jpeg_at(&canvas, 82, 160)
}

fn c02_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = surface::board(900, 580, [0.86, 0.82, 0.70], 812);
    let pen = Pen {
        size: 40.0,
        weight: 1.8,
        colour: [0.22, 0.28, 0.30],
        ..TYPE
    };
    lettering::write_centred(&mut canvas, "POST CARD", 450.0, 90.0, &pen);
    lettering::trace(&mut canvas, &[(450.0, 140.0), (450.0, 520.0)], &pen);
    let small = Pen {
        size: 20.0,
        weight: 1.0,
        ..pen
    };
    lettering::write(&mut canvas, "Printed at Tollen, 1907", 60.0, 540.0, &small);
    codec::jpeg_at(&canvas, 82, 160)
}

fn c03_front() -> Result<Vec<u8>, Fault> {
    let woman = Sitter {
        turn: 0.05,
        lean: 0.03,
        dress: Dress::PlainBodice,
        cloth: 0.55,
        head: Head {
            hair: Hair::PinnedUp,
            seed: 530,
            ..STUDIO_LADY.head
        },
        ..STUDIO_LADY
    };
    let pair = Pair {
        left: (woman, at(-1.2, -0.25, 0.1)),
        right: (
            Sitter {
                turn: 0.12,
                cloth: 0.22,
                ..FARMER
            },
            at(1.2, 0.3, -0.3),
        ),
    };
    let manner = Manner {
        units: 6.8,
        middle: (0.0, -0.95),
        ground: 0.55,
        black: [0.14, 0.13, 0.12],
        ..SILVER
    };
    let card = Card {
        width: 620,
        height: 800,
        margin: 34,
        foot: 40,
        colour: [0.90, 0.89, 0.84],
        seed: 531,
        ..VISITING_CARD
    };
    let canvas = cards::front(&card, &|view| pair.photograph(view), &manner, "", "");
    codec::jpeg_at(&canvas, 82, 200)
}

fn c04_front() -> Result<Vec<u8>, Fault> {
    let manner = Manner {
        seed: 91,
        units: 5.0,
        middle: (0.0, -0.75),
        ..SILVER
    };
    let mut canvas = drawn(&|view| STUDIO_LADY.photograph(view), 640, 840, &manner, 0.6);
    let pen = Pen {
        size: 44.0,
        weight: 1.5,
        colour: [0.10, 0.10, 0.10],
        rise: 0.12,
        seed: 541,
        ..PENCIL
    };
    lettering::write(&mut canvas, "Oskell", 455.0, 800.0, &pen);
    coarser(&mut canvas, 100.0);
    codec::tiff_grey(&canvas, 120)
}

fn c04_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = surface::board(640, 840, [0.90, 0.89, 0.85], 542);
    let pen = Pen {
        size: 34.0,
        weight: 1.6,
        colour: [0.26, 0.24, 0.42],
        broken: 0.4,
        rise: 0.05,
        ..TYPE
    };
    lettering::write_centred(&mut canvas, "BRAM OSKELL", 320.0, 380.0, &pen);
    lettering::write_centred(
        &mut canvas,
        "Portraits",
        320.0,
        440.0,
        &Pen { size: 26.0, ..pen },
    );
    lettering::write_centred(&mut canvas, "TOLLEN 1948", 320.0, 500.0, &pen);
    codec::jpeg_at(&canvas, 82, 120)
}

fn c05_front() -> Result<Vec<u8>, Fault> {
    let pair = Pair {
        left: (BRIDE, at(-1.15, -0.25, 0.25)),
        right: (GROOM, at(1.15, 0.25, -0.35)),
    };
    let manner = Manner {
        seed: 92,
        units: 7.0,
        middle: (0.0, -1.15),
        ground: 0.85,
        ..SILVER
    };
    let card = Card {
        width: 680,
        height: 860,
        margin: 26,
        foot: 26,
        colour: [0.94, 0.93, 0.90],
        seed: 551,
        ..VISITING_CARD
    };
    let canvas = cards::front(&card, &|view| pair.photograph(view), &manner, "", "");
    codec::jpeg_at(&canvas, 84, 120)
}

fn c05_back() -> Result<Vec<u8>, Fault> {
    let mut canvas = surface::board(680, 860, [0.92, 0.91, 0.88], 552);
    let pen = Pen {
        size: 50.0,
        weight: 1.5,
        colour: [0.12, 0.16, 0.45],
        swelling: false,
        broken: 0.05,
        seed: 553,
        ..INK
    };
    lettering::write(&mut canvas, "Our wedding, 1961", 90.0, 330.0, &pen);
    codec::jpeg_at(&canvas, 82, 120)
}

fn c07_front() -> Result<Vec<u8>, Fault> {
    let mut canvas = Canvas::from(760, 980, &|x, y| {
        let fold = 0.05 * step(3.0, 0.0, (y - 490.0).abs())
            + 0.03 * (clouds(x / 200.0, y / 200.0, 4, 571) - 0.5);
        lit([0.93, 0.92, 0.86], 1.0 - fold)
    });
    let pen = Pen {
        size: 34.0,
        weight: 1.3,
        slant: 0.3,
        colour: [0.10, 0.13, 0.34],
        swelling: false,
        broken: 0.05,
        seed: 572,
        shake: 0.5,
        rise: 0.0,
        ..INK
    };
    let lines = [
        "Dear Imogen,",
        "thank you for the pictures. Please",
        "send nothing more to the old house.",
        "Saskia has moved. Her address is",
        "Saskia Venn, 7 Sallow Lane, Tollen.",
        "Odo is nine now and asks who the",
        "man in the oval frame is.",
        "Yours, Piers",
    ];
    for (line, words) in lines.into_iter().enumerate() {
        let indent = if line == 4 { 60.0 } else { 0.0 };
        lettering::write(
            &mut canvas,
            words,
            60.0 + indent,
            130.0 + 95.0 * line as f32,
            &Pen {
                seed: 572 + line as u32,
                ..pen
            },
        );
    }
    codec::jpeg(&canvas, 82, None)
}

/// The files of the collection and how they are drawn.
pub const FILES: &[(&str, Drawing)] = &[
    ("C-01/C-01-front.jpg", c01_front),
    ("C-01/C-01-back.jpg", c01_back),
    ("C-02/C-02-front.jpg", c02_front),
    ("C-02/C-02-back.jpg", c02_back),
    ("C-03/C-03-front.jpg", c03_front),
    ("C-04/C-04-front.tif", c04_front),
    ("C-04/C-04-back.jpg", c04_back),
    ("C-05/C-05-front.jpg", c05_front),
    ("C-05/C-05-back.jpg", c05_back),
    ("C-06/C-06-front.jpg", c06_front),
    ("C-07/C-07-front.jpg", c07_front),
];
