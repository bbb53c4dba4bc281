//! Records to make pages from. All names, places and firms are invented.

use kithbag::record::*;

fn text(words: &str) -> Answer<String> {
    Answer::Given(words.to_owned())
}

fn date(edtf: &str) -> Answer<DateEntry> {
    Answer::Given(DateEntry::read(edtf).expect("a date"))
}

fn person(number: &str, name: &str, born: &str, died: &str) -> Person {
    Person {
        number: number.into(),
        name: text(name),
        born: date(born),
        died: date(died),
        living: Answer::Given(Living::No),
        ..Person::default()
    }
}

fn scan(portrait: &str, view: View) -> Scan {
    Scan {
        file: format!("scans/{portrait} {view}.jpg"),
        portrait: Answer::Given(portrait.into()),
        view: Answer::Given(view),
        ..Scan::default()
    }
}

fn claim(portrait: &str, person: &str, certainty: Certainty) -> Claim {
    Claim {
        portrait: portrait.into(),
        sitter: Sitter::Person(person.into()),
        certainty: Answer::Given(certainty),
        said_by: text("the finder"),
        said_on: date("2026-05-03"),
        ..Claim::default()
    }
}

fn strings(list: &[&str]) -> Vec<String> {
    list.iter().map(|one| (*one).to_owned()).collect()
}

/// The Trevanick pair and two more: nothing proved, a probable and a proved sitter, a paper.
pub(crate) fn trevanick() -> Collection {
    Collection {
        record_version: RECORD_VERSION,
        about: About {
            title: text("The Trevanick portraits"),
            kept_by: text("Morwenna Hale, Porthenys"),
            story: text(
                "Three framed portraits that stood in the vestry cupboard of Trevanick chapel until it was cleared in 2026, and two that came with them: rescued, photographed front and back, and described with what is known and what is only believed.",
            ),
            ..About::default()
        },
        portraits: vec![coat(), sleeves(), hoop(), card(), slip()],
        scans: scans(),
        words: words(),
        people: vec![
            person("P1", "Edwin Marrack", "1831", "1884"),
            person("P2", "Loveday Rowse", "1835", "1919"),
            person("P3", "Enoch Marrack", "1838", "1907"),
            person("P4", "Cora Lunt", "1844", "1926"),
            person("P5", "Thirza Marrack", "1829", "1891"),
        ],
        claims: claims(),
        clues: clues(),
        lots: vec![Lot {
            number: "L-1".into(),
            how: Answer::Given(Acquisition::Given),
            from: text("the trustees of Trevanick chapel"),
            date: date("2026-03-14"),
            seller_said: text("“They were always in the vestry.”"),
            earlier_owners: strings(&["the Marrack family", "Trevanick chapel, by 1931"]),
            came_with: text("a framing slip and an empty frame"),
            promises: text("to offer copies to the family"),
            ..Lot::default()
        }],
        rights: vec![Rights {
            applies_to: text("L-1"),
            receiver_may: text("copy and pass on within the family"),
            credit_line: text("Given by the trustees of Trevanick chapel"),
            ..Rights::default()
        }],
        ..Collection::default()
    }
}

fn large(number: &str, shows: &str) -> Portrait {
    Portrait {
        number: number.into(),
        kind: Answer::Given(PortraitKind::LargeCrayon),
        shows: text(shows),
        lot: Answer::Given("L-1".into()),
        size: Size {
            height: text("20"),
            width: text("14"),
            unit: Answer::Given(Unit::Inch),
            measured: Answer::Given(Measured::Mount),
        },
        shape: text("oval"),
        media: Answer::Given(vec![Medium::Photograph, Medium::Charcoal]),
        ..Portrait::default()
    }
}

fn coat() -> Portrait {
    Portrait {
        backing: text("bowed strawboard"),
        bowed: Answer::Given(YesNo::Yes),
        glass: Answer::Given(Glass::Convex),
        glass_touching: Answer::Given(GlassContact::Unsure),
        frame: Answer::Given(Frame::Gilded),
        maker: Maker {
            as_printed: text("Hallowmere Portrait Copying House"),
            place_as_printed: text("Dunmarrow"),
            name: text("Hallowmere, through a travelling agent"),
            role: Answer::Given(MakerRole::CopyingHouse),
            certainty: Answer::Given(Certainty::Probable),
            basis: text("stamp on the back, and the run of numbers"),
            number: text("6-18"),
            number_place: text("back, large, in crayon"),
            ..Maker::default()
        },
        condition: text(
            "Scuffed at the lower left; foxing on the back; a tear of 2 cm at the top edge, old and stable.",
        ),
        brown_spots: Answer::Given(YesNo::Yes),
        mould: Answer::Given(Mould::Absent),
        loose_surface: Answer::Given(YesNo::Yes),
        opened: Answer::Given(YesNo::No),
        dates: PortraitDates {
            sitting: date("../1884"),
            print: date("1890~/1905~"),
            framed: Answer::NotKnown,
            basis: text(
                "The copying house is listed from 1890 to 1905; an enlargement may be made long after the sitting.",
            ),
        },
        belongs_with: vec![BelongsWith {
            portrait: "A-002".into(),
            reason: "same maker, numbers 6-18 and 6-19: the same order. Nothing more follows."
                .to_owned(),
        }],
        original_now_at: text("Morwenna Hale"),
        ..large("A-001", "man in a pilot coat")
    }
}

fn sleeves() -> Portrait {
    Portrait {
        maker: Maker {
            number: text("6-19"),
            ..Maker::default()
        },
        condition: text("Cleaner than its companion."),
        dates: PortraitDates {
            print: date("1893/1897"),
            ..PortraitDates::default()
        },
        ..large("A-002", "woman with high puffed sleeves")
    }
}

fn hoop() -> Portrait {
    Portrait {
        glass: Answer::Given(Glass::Convex),
        glass_touching: Answer::Given(GlassContact::Touching),
        opened: Answer::Given(YesNo::No),
        no_back_because: text("left framed: the picture touches the glass"),
        ..large("A-003", "child with a hoop")
    }
}

fn card() -> Portrait {
    Portrait {
        number: "A-004".into(),
        kind: Answer::Given(PortraitKind::CabinetCard),
        shows: text("woman seated at a small table"),
        lot: Answer::Given("L-1".into()),
        dates: PortraitDates {
            sitting: date("1880-06-12"),
            print: date("1880"),
            basis: text("dated by the sitter’s daughter in ink"),
            ..PortraitDates::default()
        },
        ..Portrait::default()
    }
}

fn slip() -> Portrait {
    Portrait {
        number: "A-005".into(),
        kind: Answer::Given(PortraitKind::CarteDeVisite),
        shows: text("man with a ship’s glass"),
        ..Portrait::default()
    }
}

fn scans() -> Vec<Scan> {
    let mut all = vec![
        Scan {
            through_glass: Answer::Given(YesNo::Yes),
            ..scan("A-001", View::Front)
        },
        scan("A-001", View::Back),
        scan("A-001", View::FrameBack),
        scan("A-001", View::Label),
        Scan {
            altered_how: text("“cleaned” by a program"),
            copy_kind: Answer::Given(CopyKind::Altered),
            ..scan("A-001", View::AlteredCopy)
        },
        scan("A-002", View::Front),
        scan("A-002", View::Back),
        scan("A-003", View::Front),
        scan("A-003", View::FrameFront),
    ];
    for number in ["A-004", "A-005"] {
        all.push(scan(number, View::Front));
        all.push(scan(number, View::Back));
    }
    all
}

fn words() -> Vec<Transcription> {
    vec![
        Transcription {
            portrait: "A-001".into(),
            side: Answer::Given(Side::Label),
            position: text("lower edge"),
            text: text("E. Marrack – Petrel"),
            written_in: Answer::Given(WrittenIn::Ink),
            hand: text("unknown hand"),
            reading: text("a man of that name, master of the Petrel"),
            ..Transcription::default()
        },
        Transcription {
            portrait: "A-001".into(),
            side: Answer::Given(Side::Back),
            position: text("centre"),
            text: text("6-18"),
            written_in: Answer::Given(WrittenIn::Crayon),
            ..Transcription::default()
        },
        Transcription {
            portrait: "A-004".into(),
            side: Answer::Given(Side::Back),
            text: text("Mother\n   Loveday Marrack\n12 June 1880  [torn]"),
            written_in: Answer::Given(WrittenIn::Ink),
            hand: text("her daughter’s hand"),
            ..Transcription::default()
        },
    ]
}

fn claims() -> Vec<Claim> {
    vec![
        Claim {
            reasons_for: strings(&[
                "The label says “E. Marrack – Petrel”; he was master of the Petrel until 1884.",
            ]),
            reasons_against: strings(&[
                "The label is in an unknown hand, and two masters of the Petrel had that initial.",
            ]),
            clues_for: vec!["K1".into()],
            rivals: strings(&["Enoch Marrack, his nephew"]),
            would_settle: text(
                "a dated picture of either man, or the order book of the copying house",
            ),
            ..claim("A-001", "P1", Certainty::Possible)
        },
        Claim {
            reasons_for: strings(&[
                "He was master of the same vessel after 1884, when enlargements were being made.",
            ]),
            rivals: strings(&["Edwin Marrack, his uncle"]),
            ..claim("A-001", "P3", Certainty::Possible)
        },
        Claim {
            standing: Answer::Given(Standing::Withdrawn),
            withdrawn_why: text("2 May 2026, because she died before the sleeves were worn"),
            ..claim("A-002", "P5", Certainty::Suggested)
        },
        Claim {
            reasons_for: strings(&["Sold as the companion of A-001."]),
            reasons_against: strings(&["Nothing is written on it."]),
            ..claim("A-002", "P4", Certainty::Suggested)
        },
        Claim {
            sitter: Sitter::Unnamed("unknown child".to_owned()),
            certainty: Answer::Blank,
            ..claim("A-003", "P1", Certainty::Possible)
        },
        Claim {
            reasons_for: strings(&[
                "Her daughter wrote her name and the day on the back.",
                "The same dress in the family group of 1880.",
            ]),
            clues_for: vec!["K2".into()],
            ..claim("A-004", "P2", Certainty::Proved)
        },
        Claim {
            reasons_for: strings(&[
                "Two independent clues: the ship’s glass engraved E.M. 1886, and his signature on the album page.",
            ]),
            rivals: strings(&["Edwin Marrack, who died two years before the engraving"]),
            ..claim("A-005", "P3", Certainty::Probable)
        },
    ]
}

fn clues() -> Vec<Clue> {
    vec![
        Clue {
            number: "K1".into(),
            portraits: vec!["A-001".into()],
            says: text("Edwin Marrack commanded the Petrel 1866–1884"),
            source: text("crew lists of Dunmarrow port, 1866 to 1884"),
            seen_as: Answer::Given(SeenAs::Original),
            who_knew: Answer::Given(WhoKnew::FirstHand),
            ..Clue::default()
        },
        Clue {
            number: "K2".into(),
            portraits: vec!["A-004".into()],
            says: text("The daughter’s letter of 1881 describes this very card"),
            source: text("letter held by the family"),
            ..Clue::default()
        },
        Clue {
            number: "K3".into(),
            portraits: vec!["A-002".into()],
            says: text("High puffed sleeves were worn about 1893 to 1897"),
            source: text("common practice"),
            ..Clue::default()
        },
    ]
}

/// Texts that would run, add elements or turn the writing round if they were not taken as plain text.
pub(crate) const HOSTILE: [&str; 10] = [
    "<script>window.ranIt=1</script>",
    "\"><img src=x onerror=\"window.ranIt=2\">",
    "</script><script>window.ranIt=3</script>",
    "javascript:window.ranIt=4",
    "' onfocus=window.ranIt=5 autofocus='",
    "<!-- --> ]]> ${window.ranIt=6} {{7}}",
    "</title></style><svg onload=window.ranIt=8>",
    "\u{202e}gnp.exe\u{202c} שרה בת יעקב",
    "<iframe src=//example.invalid></iframe> &lt;b&gt; & \u{2028}",
    "null\u{0}bell\u{7}escape\u{1b}[31m\r\nline",
];

/// One portrait for each hostile text, the text in every field that can hold it.
pub(crate) fn hostile() -> Collection {
    let mut collection = Collection {
        about: About {
            title: text(HOSTILE[6]),
            kept_by: text(HOSTILE[0]),
            story: text(HOSTILE[1]),
            contact: text(HOSTILE[3]),
            ..About::default()
        },
        ..Collection::default()
    };
    for (position, words) in HOSTILE.iter().enumerate() {
        collection.portraits.push(hostile_portrait(position, words));
        let number = collection.portraits[position].number.clone();
        collection.people.push(Person {
            number: format!("P{position} {words}").as_str().into(),
            name: text(words),
            born_at: text(words),
            ..Person::default()
        });
        collection.claims.push(Claim {
            portrait: number.clone(),
            face: text(words),
            reasons_for: vec![(*words).to_owned()],
            reasons_against: vec![(*words).to_owned()],
            rivals: vec![(*words).to_owned()],
            would_settle: text(words),
            said_by: text(words),
            ..claim(
                "",
                &format!("P{position} {words}"),
                Certainty::ALL[position % 6],
            )
        });
        collection.words.push(Transcription {
            portrait: number.clone(),
            text: text(words),
            position: text(words),
            hand: text(words),
            reading: text(words),
            ..Transcription::default()
        });
        collection.scans.extend(hostile_scans(&number, words));
        collection.lots.push(Lot {
            number: format!("L{position} {words}").as_str().into(),
            how: Answer::Given(Acquisition::Bought),
            from: text(words),
            seller_said: text(words),
            earlier_owners: vec![(*words).to_owned()],
            ..Lot::default()
        });
    }
    collection
}

fn hostile_portrait(position: usize, words: &str) -> Portrait {
    Portrait {
        number: format!("H-{position} {words}").as_str().into(),
        shows: text(words),
        title_as_printed: text(words),
        lot: Answer::Given(format!("L{position} {words}").as_str().into()),
        shape: text(words),
        backing: text(words),
        maker: Maker {
            as_printed: text(words),
            name: text(words),
            basis: text(words),
            number: text(words),
            ..Maker::default()
        },
        condition: text(words),
        notes: text(words),
        extra: [((*words).to_owned(), (*words).to_owned())].into(),
        ..Portrait::default()
    }
}

/// A large collection: each portrait with front and back, a few names with accents.
pub(crate) fn many(number: usize) -> Collection {
    let mut collection = Collection {
        about: About {
            title: text("A large collection"),
            ..About::default()
        },
        people: vec![
            person("P1", "Łucja Ørsted", "1831", "1884"),
            person("P2", "Zoë Ångström", "1835", "1919"),
        ],
        ..Collection::default()
    };
    for position in 1..=number {
        let label = format!("M-{position:04}");
        collection.portraits.push(Portrait {
            number: label.as_str().into(),
            kind: Answer::Given(PortraitKind::CarteDeVisite),
            shows: text(if position % 2 == 0 { "woman" } else { "man" }),
            condition: text("a little worn at the corners"),
            dates: PortraitDates {
                print: date("1868/1872"),
                ..PortraitDates::default()
            },
            ..Portrait::default()
        });
        let certainty = Certainty::ALL[position % 6];
        collection.claims.push(Claim {
            reasons_for: strings(&["a name on the back", "an album that came with it"]),
            ..claim(
                &label,
                if position % 500 == 0 { "P1" } else { "P2" },
                certainty,
            )
        });
        collection.scans.push(scan(&label, View::Front));
        collection.scans.push(scan(&label, View::Back));
    }
    collection
}

fn hostile_scans(number: &PortraitNumber, words: &str) -> Vec<Scan> {
    [View::Front, View::Back, View::Detail]
        .into_iter()
        .map(|view| Scan {
            file: format!("{words}{view}.jpg"),
            portrait: Answer::Given(number.clone()),
            altered_how: if view == View::Detail {
                text(words)
            } else {
                Answer::Blank
            },
            view: Answer::Given(view),
            ..Scan::default()
        })
        .collect()
}
