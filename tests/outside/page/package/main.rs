//! Writes a small package by hand, so that the page can be looked at and checked in real browsers.
//!
//! `cargo run --example page-package -- FOLDER ordinary|hostile|many`

#![expect(
    clippy::as_conversions,
    clippy::arithmetic_side_effects,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::wildcard_imports,
    reason = "a program that only serves tests; its arithmetic draws pictures"
)]

mod picture;
mod sample;

use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::format::page;
use kithbag::format::page::FindingAid;
use kithbag::format::page::Holdings;
use kithbag::format::page::PayloadFile;
use kithbag::format::page::Picture;
use kithbag::record::Audience;
use kithbag::record::Collection;
use kithbag::record::Register;
use kithbag::record::Scan;
use kithbag::record::View;
use std::collections::BTreeMap;
use std::error::Error;
use std::fs;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let (Some(folder), Some(kind)) = (arguments.next(), arguments.next()) else {
        return Err("give a folder and one of ordinary, hostile, many".into());
    };
    let collection = match kind.as_str() {
        "ordinary" => sample::trevanick(),
        "hostile" => sample::hostile(),
        "many" => sample::many(1000),
        _ => return Err("the kind is one of ordinary, hostile, many".into()),
    };
    write(Path::new(&folder), &collection, &kind)
}

/// Everything that lies below `data/`, in the order of the manifest.
struct Payload {
    files: Vec<PayloadFile>,
    pictures: Vec<Picture>,
}

fn write(folder: &Path, collection: &Collection, kind: &str) -> Result<(), Box<dyn Error>> {
    let payload = write_payload(folder, collection, kind)?;
    let manifest = manifest(
        payload
            .files
            .iter()
            .map(|file| (file.path.as_str(), &file.sha256)),
    );
    let seal = Digest::of(Algorithm::Sha256, manifest.as_bytes());
    let weighing = BTreeMap::from([(
        "A-001".into(),
        vec![
            "print 1890 to 1905: the copying house is listed in those years".to_owned(),
            "sitting not after 1884 if the sitter is the elder candidate".to_owned(),
        ],
    )]);
    let withheld = vec![
        "the name of one person who may be alive".to_owned(),
        "the place where A-001 front was photographed (GPS), removed from every copy".to_owned(),
        "what was paid for the lot".to_owned(),
    ];
    let name = folder
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let aid = FindingAid {
        record: &Register::of(collection),
        package: &name,
        audience: Audience::Family,
        made_on: "2026-11-25".parse()?,
        holdings: &Holdings::of(&payload.files, &payload.pictures),
        seal: &seal,
        withheld: &withheld,
        weighing: &weighing,
        history: &[],
        parts: &[],
    };
    let tags = [
        (
            "bagit.txt",
            "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n".to_owned(),
        ),
        ("bag-info.txt", "Bagging-Date: 2026-11-25\n".to_owned()),
        ("manifest-sha256.txt", manifest),
        ("START-HERE.html", page::finding_aid(&aid)),
        ("START-HERE.txt", page::start_here_text(&aid)),
        (page::LABELS_FILE, page::labels(&aid)),
    ];
    let mut digests = Vec::new();
    for (name, text) in &tags {
        fs::write(folder.join(name), text)?;
        digests.push((*name, Digest::of(Algorithm::Sha256, text.as_bytes())));
    }
    let outer = self::manifest(digests.iter().map(|(name, digest)| (*name, digest)));
    fs::write(folder.join("tagmanifest-sha256.txt"), outer)?;
    Ok(())
}

fn manifest<'a>(lines: impl Iterator<Item = (&'a str, &'a Digest)>) -> String {
    lines
        .map(|(path, digest)| format!("{digest}  {path}\n"))
        .collect()
}

fn write_payload(
    folder: &Path,
    collection: &Collection,
    kind: &str,
) -> Result<Payload, Box<dyn Error>> {
    let mut files = Vec::new();
    let mut pictures = Vec::new();
    for (position, scan) in collection.scans.iter().enumerate() {
        let Some(number) = scan.portrait.given() else {
            continue;
        };
        let drawn = drawn(kind, position, scan);
        let plain = plain(number.as_str());
        let view = scan.view.given().map_or("other", |view| view.word());
        let stem = format!("{plain}-{}-{position}", view.replace(' ', "-"));
        let viewing = format!("data/viewing/{stem}.jpg");
        let master = format!("data/portraits/{plain}/{stem}.jpg");
        let captioned = (scan.view.given() == Some(&View::Front))
            .then(|| format!("data/viewing/captioned/{stem}.jpg"));
        for path in [Some(&master), Some(&viewing), captioned.as_ref()]
            .into_iter()
            .flatten()
        {
            let mut bytes = drawn.jpeg.clone();
            // A comment segment keeps the copies of one picture different files.
            if path == &master {
                bytes.splice(2..2, *b"\xff\xfe\x00\x08master");
            } else if path != &viewing {
                bytes.splice(2..2, *b"\xff\xfe\x00\x0acaptions");
            }
            let target = folder.join(path);
            fs::create_dir_all(target.parent().ok_or("no folder")?)?;
            fs::write(&target, &bytes)?;
            files.push(PayloadFile {
                path: path.clone(),
                sha256: Digest::of(Algorithm::Sha256, &bytes),
                bytes: u64::try_from(bytes.len())?,
                portrait: Some(number.clone()),
                view: scan.view.given().copied(),
            });
        }
        pictures.push(Picture {
            scan: scan.file.clone(),
            viewing,
            captioned,
            width: drawn.width,
            height: drawn.height,
        });
    }
    files.push(write_record(folder, collection)?);
    files.sort_by(|one, other| one.path.cmp(&other.path));
    Ok(Payload { files, pictures })
}

/// Draws the picture of a scan. No two packages share one.
fn drawn(kind: &str, position: usize, scan: &Scan) -> picture::Drawn {
    let seed = match kind {
        "many" => return picture::small(position),
        "hostile" => position + 1000,
        _ => position,
    };
    picture::draw(seed, scan.view.given().copied())
}

/// Returns a number as a file name may have it.
fn plain(number: &str) -> String {
    let plain = |one: char| {
        if one.is_ascii_alphanumeric() || one == '-' {
            one
        } else {
            '-'
        }
    };
    number.chars().map(plain).collect()
}

fn write_record(folder: &Path, collection: &Collection) -> Result<PayloadFile, Box<dyn Error>> {
    let record = serde_json::to_vec_pretty(collection)?;
    fs::create_dir_all(folder.join("data/catalogue"))?;
    fs::write(folder.join("data/catalogue/record.json"), &record)?;
    Ok(PayloadFile {
        path: "data/catalogue/record.json".to_owned(),
        sha256: Digest::of(Algorithm::Sha256, &record),
        bytes: u64::try_from(record.len())?,
        portrait: None,
        view: None,
    })
}
