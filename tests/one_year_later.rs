//! A stick a year after it was given away: eight things happened to it, and each is called by its right name. Compared with a
//! second copy, every damaged file is found to be good there; mended, the package is as it was, byte for byte.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::panic,
    reason = "a test may fail loudly"
)]

mod support;

use kithbag::audit::AuditOptions;
use kithbag::audit::compare;
use kithbag::audit::compare::Good;
use kithbag::audit::report::AuditReport;
use kithbag::fixity::Digest;
use kithbag::format::container;
use kithbag::format::xmp;
use kithbag::format::xmp::PacketContext;
use kithbag::mend::mend;
use kithbag::progress::Silent;
use kithbag::record::Answer;
use kithbag::record::Collection;
use kithbag::record::Event;
use kithbag::record::EventKind;
use kithbag::record::Portrait;
use kithbag::record::Scan;
use kithbag::record::View;
use kithbag::verdict::Outcome;
use std::fs;
use std::io::Cursor;
use std::path::Path;
use std::path::PathBuf;
use support::Bag;
use support::copy_folder;
use support::paths;
use support::verdicts;

const TITLE: &str = "man in a pilot coat";
const CSV: &str = "Number,What it shows\nC-01,man in a pilot coat\n";

/// A small picture whose dots depend on a number.
fn picture(number: u8, format: image::ImageFormat) -> Vec<u8> {
    let dots = image::RgbImage::from_fn(48, 64, |x, y| {
        let shade = u8::try_from((x * 5 + y * 3) % 200).unwrap();
        image::Rgb([shade, shade / 2 + number, 255 - shade])
    });
    let mut bytes = Cursor::new(Vec::new());
    dots.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn picture_digest(bytes: &[u8]) -> Digest {
    let mut reader = Cursor::new(bytes);
    let anatomy = container::examine(&mut reader).unwrap();
    container::picture_digest(&mut reader, &anatomy).unwrap()
}

fn portrait(number: &str) -> Portrait {
    Portrait {
        number: number.into(),
        shows: Answer::Given(TITLE.to_owned()),
        ..Portrait::default()
    }
}

fn scan(number: &str, file: &str, picture: &[u8]) -> Scan {
    let mut scan = Scan {
        file: file.to_owned(),
        portrait: Answer::Given(number.into()),
        view: Answer::Given(View::Front),
        ..Scan::default()
    };
    scan.facts.picture_digest = Some(picture_digest(picture).hex().to_owned());
    scan
}

/// A JPEG with its record in it: one segment behind the first marker. [XMP specification part 3, 1.1.3]
fn described(number: &str, jpeg: &[u8]) -> Vec<u8> {
    let one = scan(number, "front.jpg", jpeg);
    let excerpt = Collection {
        record_version: 1,
        portraits: vec![portrait(number)],
        scans: vec![one],
        ..Collection::default()
    };
    let context = PacketContext {
        picture_digest: Some(picture_digest(jpeg)),
        tool: "kithbag".to_owned(),
        ..PacketContext::default()
    };
    let packet = xmp::write(None, &excerpt, &context).unwrap().packet;
    let body = [b"http://ns.adobe.com/xap/1.0/\0", packet.as_bytes()].concat();
    let length = u16::try_from(body.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xFF, 0xE1], &length, &body, &jpeg[2..]].concat()
}

/// The package as it was given away: five portraits, one of them a TIFF that carries no description of its own.
fn package() -> Bag {
    let mut bag = Bag::sound()
        .without("data/a.txt")
        .without("data/b/c.txt")
        .without("bag-info.txt");
    let mut record = Collection {
        record_version: 1,
        ..Collection::default()
    };
    let mut events = Vec::new();
    for number in 1..=5_u8 {
        let name = format!("C-0{number}");
        let (file, bytes) = if number == 2 {
            (
                format!("{name}-front.tif"),
                picture(number, image::ImageFormat::Tiff),
            )
        } else {
            let jpeg = picture(number, image::ImageFormat::Jpeg);
            (format!("{name}-front.jpg"), described(&name, &jpeg))
        };
        let path = format!("data/portraits/{name}/{file}");
        record.portraits.push(portrait(&name));
        record.scans.push(scan(&name, &file, &bytes));
        events.push(Event {
            kind: Some(EventKind::MetadataModification),
            files: vec![path.clone()],
            picture_digest: Some(picture_digest(&bytes).hex().to_owned()),
            ..Event::default()
        });
        bag.set(&path, bytes);
    }
    bag.set(
        "data/catalogue/record.json",
        serde_json::to_vec(&record).unwrap(),
    );
    bag.set("data/catalogue/portraits.csv", CSV);
    bag.set("data/log/events.json", serde_json::to_vec(&events).unwrap());
    bag.set("START-HERE.txt", "Start here.\n");
    bag.with("bag-info.txt", "External-Identifier: urn:uuid:2\n")
}

fn change(path: &Path, change: impl FnOnce(&mut Vec<u8>)) {
    let mut bytes = fs::read(path).unwrap();
    change(&mut bytes);
    fs::write(path, bytes).unwrap();
}

fn replace(bytes: &mut Vec<u8>, old: &str, new: &str) {
    assert_eq!(old.len(), new.len());
    let at = bytes
        .windows(old.len())
        .position(|one| one == old.as_bytes());
    let at = at.unwrap_or_else(|| panic!("{old} is not there"));
    bytes.splice(at..at + old.len(), new.bytes());
}

/// Flips a bit in the middle of the coded picture.
fn flip_picture_bit(bytes: &mut Vec<u8>) {
    let anatomy = container::examine(&mut Cursor::new(&*bytes)).unwrap();
    let range = anatomy
        .picture_ranges()
        .max_by_key(|range| range.length)
        .unwrap();
    let middle = usize::try_from(range.offset + range.length / 2).unwrap();
    bytes[middle] ^= 0x04;
}

/// Does to a package what happened within a year.
fn a_year_passes(root: &Path) {
    let portraits = root.join("data/portraits");
    // (a) A relative typed another title.
    change(&portraits.join("C-01/C-01-front.jpg"), |bytes| {
        replace(bytes, TITLE, "Grandpa on the boat");
    });
    // (b) One TIFF was cut short.
    change(&portraits.join("C-02/C-02-front.tif"), |bytes| {
        bytes.truncate(bytes.len() / 2);
    });
    // (c) One file is gone.
    fs::remove_file(portraits.join("C-03/C-03-front.jpg")).unwrap();
    // (d) Two computers left their litter.
    fs::write(portraits.join("Thumbs.db"), "litter").unwrap();
    fs::write(root.join("data/.DS_Store"), "litter").unwrap();
    // (e) One file got another name.
    let to = portraits.join("C-04/wedding of Cora.jpg");
    fs::rename(portraits.join("C-04/C-04-front.jpg"), to).unwrap();
    // (f) One bit of a picture flipped.
    change(&portraits.join("C-05/C-05-front.jpg"), flip_picture_bit);
    // (g) A spreadsheet saved the list again, with a mark in front and other line ends.
    let list = format!("\u{feff}{}", CSV.replace('\n', "\r\n"));
    fs::write(root.join("data/catalogue/portraits.csv"), list).unwrap();
    // (h) The manifest itself was edited.
    change(&root.join("manifest-sha256.txt"), |bytes| {
        replace(bytes, "data/log/events.json", "data/log/events.jsom");
    });
}

struct Gift {
    _scratch: tempfile::TempDir,
    sound: PathBuf,
    stick: PathBuf,
    folder: PathBuf,
}

fn gift() -> Gift {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().to_owned();
    let (sound, stick) = (folder.join("sound/ravelock"), folder.join("stick/ravelock"));
    package().write(&sound);
    copy_folder(&sound, &stick);
    a_year_passes(&stick);
    Gift {
        _scratch: scratch,
        sound,
        stick,
        folder,
    }
}

fn shown(report: &AuditReport) -> Vec<(&str, Option<&str>, Option<&str>)> {
    report
        .files
        .iter()
        .filter(|file| file.portrait.is_some())
        .map(|file| (&*file.path, file.portrait.as_deref(), file.view.as_deref()))
        .collect()
}

#[test]
fn the_package_was_sound_when_it_was_given() {
    let report = package().audit();
    assert_eq!(report.outcome, Outcome::Sound, "{:?}", report.concerns);
    assert_eq!(report.files, []);
}

#[test]
fn each_of_eight_things_is_called_by_its_name() {
    let gift = gift();
    let report = support::audit_both(&gift.stick);
    assert_eq!(
        verdicts(&report),
        [
            ("data/.DS_Store", "harmless litter"),
            ("data/catalogue/portraits.csv", "changed"),
            ("data/log/events.jsom", "missing"),
            (
                "data/portraits/C-01/C-01-front.jpg",
                "label changed, picture unchanged"
            ),
            ("data/portraits/C-02/C-02-front.tif", "unreadable"),
            ("data/portraits/C-03/C-03-front.jpg", "missing"),
            (
                "data/portraits/C-04/C-04-front.jpg",
                "renamed, contents unchanged"
            ),
            ("data/portraits/C-05/C-05-front.jpg", "picture changed"),
            ("data/portraits/Thumbs.db", "harmless litter"),
            ("manifest-sha256.txt", "changed"),
        ]
    );
    assert_eq!(report.outcome, Outcome::Damaged);
    assert_eq!((report.complete, report.valid), (Some(false), Some(false)));
    let front = |path, portrait| (path, Some(portrait), Some("front"));
    assert_eq!(
        shown(&report),
        [
            front("data/portraits/C-01/C-01-front.jpg", "C-01"),
            front("data/portraits/C-02/C-02-front.tif", "C-02"),
            front("data/portraits/C-03/C-03-front.jpg", "C-03"),
            front("data/portraits/C-04/C-04-front.jpg", "C-04"),
            front("data/portraits/C-05/C-05-front.jpg", "C-05"),
        ]
    );
    let renamed = report
        .files
        .iter()
        .find(|file| file.now_at.is_some())
        .unwrap();
    assert_eq!(
        renamed.now_at.as_deref(),
        Some("data/portraits/C-04/wedding of Cora.jpg")
    );
    assert!(
        report
            .verdict
            .starts_with("Damaged: 2 files missing, 1 file unreadable, 1 file picture changed"),
        "{}",
        report.verdict
    );
}

/// Without record and log, the descriptions in the scans alone tell label from picture.
#[test]
fn the_scans_carry_enough_to_tell_label_from_picture() {
    let bag = package()
        .without("data/catalogue/record.json")
        .without("data/log/events.json");
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    bag.write(&root);
    let portraits = root.join("data/portraits");
    change(&portraits.join("C-01/C-01-front.jpg"), |bytes| {
        replace(bytes, TITLE, "Grandpa on the boat");
    });
    change(&portraits.join("C-02/C-02-front.tif"), flip_picture_bit);
    change(&portraits.join("C-05/C-05-front.jpg"), flip_picture_bit);
    let report = support::audit_both(&root);
    assert_eq!(
        verdicts(&report),
        [
            (
                "data/portraits/C-01/C-01-front.jpg",
                "label changed, picture unchanged"
            ),
            // It carries no description, so nothing says how its picture was.
            ("data/portraits/C-02/C-02-front.tif", "changed"),
            ("data/portraits/C-05/C-05-front.jpg", "picture changed"),
        ]
    );
}

/// Of a scan without a description the record alone knows that its picture is as it was, and the log alone also that it is not.
#[test]
fn record_and_log_each_tell_of_a_scan_without_a_description() {
    const RECORD: &str = "data/catalogue/record.json";
    const LOG: &str = "data/log/events.json";
    let told = |without: &str, by: fn(&mut Vec<u8>)| {
        let scratch = tempfile::tempdir().unwrap();
        let root = scratch.path().join("bag");
        package().without(without).write(&root);
        change(&root.join("data/portraits/C-02/C-02-front.tif"), by);
        let report = support::audit_both(&root);
        assert_eq!(report.files.len(), 1, "{:?}", verdicts(&report));
        report.files[0].verdict.words()
    };
    let append: fn(&mut Vec<u8>) = |bytes| bytes.extend_from_slice(b"a note");
    let unchanged = "label changed, picture unchanged";
    assert_eq!(told(LOG, append), unchanged);
    assert_eq!(told(RECORD, append), unchanged);
    assert_eq!(told(LOG, flip_picture_bit), "changed");
    assert_eq!(told(RECORD, flip_picture_bit), "picture changed");
}

/// A record that was itself changed is not believed.
#[test]
fn a_changed_record_proves_nothing() {
    let scratch = tempfile::tempdir().unwrap();
    let root = scratch.path().join("bag");
    package().write(&root);
    let tiff = root.join("data/portraits/C-02/C-02-front.tif");
    let before = picture_digest(&fs::read(&tiff).unwrap());
    change(&tiff, flip_picture_bit);
    let after = picture_digest(&fs::read(&tiff).unwrap());
    for path in ["data/log/events.json", "data/catalogue/record.json"] {
        change(&root.join(path), |bytes| {
            replace(bytes, before.hex(), after.hex());
        });
    }
    let report = support::run(&root);
    let of = |path: &str| {
        report
            .files
            .iter()
            .find(|file| file.path == path)
            .unwrap()
            .verdict
    };
    assert_eq!(of("data/portraits/C-02/C-02-front.tif").words(), "changed");
    assert_eq!(of("data/log/events.json").words(), "changed");
}

#[test]
fn a_second_copy_tells_what_is_good_and_mends_it() {
    let gift = gift();
    let second = gift.folder.join("second.zip");
    support::zip_folder(&gift.sound, &second);
    let options = AuditOptions::default();
    let found = compare(&gift.stick, &second, &options, &Silent).unwrap();
    for difference in &found.differences {
        let is_litter =
            difference.path.ends_with("Thumbs.db") || difference.path.ends_with(".DS_Store");
        let is_renamed = difference.path.ends_with("wedding of Cora.jpg");
        let expected = if is_litter || is_renamed {
            Good::Neither
        } else {
            Good::Second
        };
        assert_eq!(difference.good, expected, "{}", difference.path);
    }
    assert_eq!(found.differences.len(), 10);

    // The second copy is damaged too, elsewhere.
    let other = gift.folder.join("other/ravelock");
    copy_folder(&gift.sound, &other);
    change(&other.join("START-HERE.txt"), |bytes| bytes.truncate(3));
    fs::remove_file(other.join("data/log/events.json")).unwrap();
    fs::remove_file(other.join("data/portraits/C-04/C-04-front.jpg")).unwrap();
    let into = gift.folder.join("new");
    let report = mend(&[gift.stick.clone(), other], &into, 2, &Silent).unwrap();
    assert!(report.is_sound(), "{:?}", report.cannot_be_had);
    assert_eq!(paths(&gift.sound), paths(&into.join("ravelock")));
    for path in paths(&gift.sound) {
        let before = fs::read(gift.sound.join(&path)).unwrap();
        assert!(
            before == fs::read(into.join("ravelock").join(&path)).unwrap(),
            "{path}"
        );
    }
}

#[test]
fn stray_scans_are_judged_by_what_they_carry() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("copies");
    fs::create_dir(&folder).unwrap();
    let jpeg = picture(1, image::ImageFormat::Jpeg);
    let one = folder.join("one.jpg");
    fs::write(&one, described("C-01", &jpeg)).unwrap();
    let report = support::run(&one);
    assert_eq!(verdicts(&report), [("one.jpg", "picture unchanged")]);
    assert_eq!(shown(&report), [("one.jpg", Some("C-01"), Some("front"))]);
    assert!(report.is_sound(), "{}", report.verdict);
    assert!(report.seen.bytes_read > 0);

    let undescribed = folder.join("plain.jpg");
    fs::write(&undescribed, &jpeg).unwrap();
    fs::write(folder.join("notes.txt"), "no picture").unwrap();
    let report = support::run(&undescribed);
    assert_eq!(report.outcome, Outcome::CannotTell);
    assert!(
        !report.is_sound(),
        "what cannot be told is not called sound"
    );
    let report = support::run(&folder);
    assert_eq!(report.outcome, Outcome::Sound, "{}", report.verdict);
    assert!(
        report
            .verdict
            .contains("1 file carries nothing to compare with"),
        "{}",
        report.verdict
    );

    change(&one, flip_picture_bit);
    fs::write(folder.join("cut.jpg"), &jpeg[..jpeg.len() / 2]).unwrap();
    fs::write(folder.join("emptied.tif"), "").unwrap();
    let report = support::run(&folder);
    assert_eq!(
        verdicts(&report),
        [
            // It carries no description, so all that can be told is what is wrong with it by itself.
            ("cut.jpg", "nothing to compare with"),
            ("emptied.tif", "unreadable"),
            ("one.jpg", "picture changed"),
            ("plain.jpg", "nothing to compare with"),
        ]
    );
    assert_eq!(report.outcome, Outcome::Damaged);
    assert_eq!(
        report.files[0].detail.as_deref(),
        Some("the picture has no end marker")
    );
}
