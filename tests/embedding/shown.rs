//! What `weigh` reports of a real file: what other viewers will show, and where older words in it differ.
//!
//! What the file holds was read with Pillow 12 (`getexif`, `getxmp`, `IptcImagePlugin.getiptcinfo`), independently of kithbag.

use super::real::real_files;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::Day;
use kithbag::record::Portrait;
use kithbag::record::PortraitNumber;
use kithbag::record::RECORD_VERSION;
use kithbag::record::Scan;
use kithbag::survey;
use kithbag::weigh::WeighOptions;
use kithbag::weigh::weigh;
use std::path::Path;

const FILE: &str = "jpg__FujiFilm_FinePixS1Pro_(4).jpg";

/// What Pillow reads: Exif 270, 315, 33432 and 36867; IIM 2:05, 2:120, 2:25, 2:80, 2:116 and 2:55; in the packet `dc:title`,
/// `dc:description`, `dc:creator`, `dc:rights`, `dc:subject` and `photoshop:DateCreated`.
const ANGEL: &str = "The Gateshead Angel";
const MAKER: &str = "Ian Britton";
const RIGHTS: &str = "FreeFoto.com";
const TAKEN: &str = "2002-09-01T12:03:56";
const MADE: &str = "2002-09-05";

const EXIF: &str = "the camera's own notes (Exif)";
const IIM: &str = "an older caption (IPTC-IIM)";
const XMP: &str = "the description (XMP)";

fn collection() -> Collection {
    Collection {
        record_version: RECORD_VERSION,
        portraits: vec![Portrait {
            number: PortraitNumber::new("A-001"),
            shows: Answer::Given("steel figure with wings".to_owned()),
            ..Portrait::default()
        }],
        scans: vec![Scan {
            file: FILE.to_owned(),
            portrait: Answer::Given(PortraitNumber::new("A-001")),
            ..Scan::default()
        }],
        ..Collection::default()
    }
}

#[test]
fn what_a_second_reader_finds_in_a_file_is_what_weigh_reports() {
    let files = real_files("ordinary");
    let Some((_, bytes)) = files.iter().find(|(name, _)| name == FILE) else {
        assert!(files.is_empty(), "{FILE} is gone");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join(FILE), bytes).unwrap();
    let inside = survey::inside(folder.path(), &[FILE.to_owned()], 1);
    let options = WeighOptions {
        inside: Some(&inside),
        ..WeighOptions::as_of(Day::new(2026, 11, 26).unwrap())
    };
    let weighing = weigh(&collection(), &options);
    let [seen] = weighing.portraits[0].shown.as_slice() else {
        panic!("{:?}", weighing.portraits[0].shown);
    };
    assert_eq!(Path::new(&seen.file), Path::new(FILE));
    // Theirs comes first, and ours stands beside it as a second language.
    assert_eq!(seen.title.as_deref(), Some(ANGEL));
    assert_eq!(seen.description.as_deref(), Some(ANGEL));
    assert_eq!(seen.date.as_deref(), Some(TAKEN));
    assert!(seen.tags.iter().any(|tag| tag == ANGEL), "{:?}", seen.tags);
    let already: Vec<(&str, &str, &str)> = seen
        .already
        .iter()
        .map(|one| (one.what.as_str(), one.text.as_str(), one.place.as_str()))
        .collect();
    assert_eq!(
        already,
        [
            ("title", ANGEL, XMP),
            ("title", ANGEL, IIM),
            ("description", ANGEL, XMP),
            ("description", ANGEL, IIM),
            ("description", ANGEL, EXIF),
            ("maker", MAKER, XMP),
            ("maker", MAKER, IIM),
            ("maker", MAKER, EXIF),
            ("rights", RIGHTS, XMP),
            ("rights", RIGHTS, IIM),
            ("rights", RIGHTS, EXIF),
            ("date", TAKEN, EXIF),
            ("date", MADE, XMP),
            ("date", MADE, IIM),
            ("tag", ANGEL, XMP),
        ]
    );
    let date = format!("The date is “{TAKEN}” in {EXIF}, but “{MADE}” in {XMP}");
    assert!(
        seen.disagreements.iter().any(|one| one.starts_with(&date)),
        "{:?}",
        seen.disagreements
    );
}
