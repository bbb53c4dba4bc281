//! The sample collections are what the drawing program draws, and hold what their stories promise.

#![allow(
    clippy::as_conversions,
    clippy::arithmetic_side_effects,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    missing_docs,
    unreachable_pub,
    dead_code,
    reason = "a drawing program computes with pixels, and a test may panic"
)]

#[path = "../samples/draw/studio/mod.rs"]
mod studio;

use sha2::Digest;
use sha2::Sha256;
use std::fs;
use std::path::Path;
use std::path::PathBuf;

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples")
}

/// Drawing all of them takes minutes without optimisation; these need seconds, and between them they pass through board, paper,
/// lettering, foxing, scuffs and both ways of coding. The sitters are covered by `the_camera_sees_the_same_sitter`.
#[test]
fn drawn_again_a_file_has_the_same_bytes() {
    for name in ["A-003/A-003-label.jpg", "A-002/A-002-back.tif"] {
        let (_, draw) = studio::trevanick::FILES
            .iter()
            .find(|(known, _)| *known == name)
            .unwrap();
        let committed = fs::read(samples().join("trevanick-pair").join(name)).unwrap();
        assert_eq!(
            Sha256::digest(draw().unwrap()),
            Sha256::digest(committed),
            "{name}: draw the samples again (cargo run --release --example draw-samples)"
        );
    }
}

#[test]
fn the_camera_sees_the_same_sitter() {
    let proof = studio::trevanick::a001_proof().unwrap();
    let digest: String = Sha256::digest(proof)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    assert_eq!(
        digest,
        "20adb94f070c276df854b5ad2681e0c8c8852474d967971cdf771e81259ba33b"
    );
}

#[test]
fn every_picture_that_is_drawn_is_there_and_nothing_is_large() {
    for (collection, files) in studio::COLLECTIONS {
        let mut length = 0;
        for (name, _) in *files {
            let path = samples().join(collection).join(name);
            length += fs::metadata(&path)
                .unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
                .len();
        }
        assert!(length < 8_000_000, "{collection}: {length} bytes");
    }
}

/// The place in the telephone's picture is the one that other tests search for: 49° 11′ 23.45″ N, 13° 37′ 08.19″ W as three
/// fractions each [CIPA DC-008 4.6.6], most significant byte first.
#[test]
fn the_telephone_picture_holds_the_documented_place_and_serial_number() {
    let front = fs::read(samples().join("trevanick-pair/A-001/A-001-front.jpg")).unwrap();
    let holds = |needle: &[u8]| front.windows(needle.len()).any(|window| window == needle);
    let fractions = |parts: [u32; 3]| {
        [(parts[0], 1_u32), (parts[1], 1), (parts[2], 100)]
            .iter()
            .flat_map(|(over, under)| [over.to_be_bytes(), under.to_be_bytes()].concat())
            .collect::<Vec<u8>>()
    };
    assert!(holds(&fractions([49, 11, 2345])));
    assert!(holds(&fractions([13, 37, 819])));
    assert!(holds(b"PX7-00418-INVENTED"));
}

#[test]
fn the_catalogues_are_read_without_a_concern() {
    for (collection, _) in studio::COLLECTIONS {
        let reading = kithbag::catalogue::read(&samples().join(collection)).unwrap();
        let concerns: Vec<String> = reading
            .concerns
            .iter()
            .map(|concern| format!("{}: {}: {}", concern.place, concern.code, concern.what))
            .collect();
        assert!(concerns.is_empty(), "{collection}: {concerns:#?}");
        for scan in &reading.collection.scans {
            let file = samples().join(collection).join(&scan.file);
            assert!(file.is_file(), "{}", file.display());
        }
    }
}

/// What EXPECTED.md of each collection says, as far as weighing alone decides it.
#[test]
fn weighing_says_what_is_expected() {
    let expected: &[(&str, &[&str], &[&str])] = &[
        (
            "trevanick-pair",
            &[
                "A-001: Unidentified man (possible), from about 1890 to about 1905",
                "A-002: Unidentified woman (suggested), from about 1890 to about 1905",
                "A-003: Unidentified child (suggested), by the clues: between 1880 and 1930",
            ],
            &["dead-before-print", "may-be-living"],
        ),
        (
            "tillyard-box",
            &[
                "B-01: Unidentified woman (suggested), by the clues: between 1868 and 1870",
                "B-02: Unidentified man (suggested), by the clues: 3 October 1865",
                "B-03: Unidentified man (possible), by the clues: between 1872 and 1878",
                "B-04: Unidentified woman (possible), by the clues: between 1880 and 1884",
                "B-06: Unidentified man (possible), by the clues: between 1885 and 1891",
                "B-07: Unidentified man (suggested), by the clues: between 1895 and 1899",
            ],
            &[
                "kin-word-without-writer",
                "one-negative-two-names",
                "copy-of-older-picture",
                "ballpoint-later",
                "printed-age",
            ],
        ),
        (
            "ravelock-gift",
            &[
                "C-01: Unidentified man (possible), about 1898",
                "C-05: Probably Marguerite Ravelock (probable), 1961",
            ],
            &["only-altered-front"],
        ),
    ];
    for (collection, lines, codes) in expected {
        let reading = kithbag::catalogue::read(&samples().join(collection)).unwrap();
        let today = kithbag::record::Day::from_iso("2026-11-26").unwrap();
        let options = kithbag::weigh::WeighOptions::as_of(today);
        let weighing = kithbag::weigh::weigh(&reading.collection, &options);
        assert!(!weighing.concerns.has_stop(), "{collection}");
        let found: Vec<String> = weighing
            .portraits
            .iter()
            .map(kithbag::weigh::PortraitWeighing::line)
            .collect();
        for line in *lines {
            assert!(
                found.iter().any(|one| one == line),
                "{line} not in {found:#?}"
            );
        }
        for code in *codes {
            assert!(weighing.concerns.has(code), "{collection}: {code}");
        }
    }
}

#[test]
fn the_faults_of_the_tillyard_box_are_there() {
    let of = |name: &str| fs::read(samples().join("tillyard-box").join(name)).unwrap();
    assert_eq!(of("B-01/B-01-front.jpg"), of("B-01/IMG_0007.jpg"));
    assert!(of("B-01/B-01-front.jpg").ends_with(&[0xff, 0xd9]));
    assert!(!of("B-07/B-07-front.jpg").ends_with(&[0xff, 0xd9]));
}
