//! The second level: when a file is not as it was, is its picture? And for scans outside a package: is the picture as the description
//! in the file says?

use super::known::Known;
use crate::fixity::Digest;
use crate::format::container;
use crate::format::container::ContainerError;
use crate::format::container::HEAD_LENGTH;
use crate::format::xmp;
use crate::record::Collection;
use crate::store::holding::ReadSeek;
use crate::verdict::FileVerdict;
use std::io::Read;
use std::io::Seek;

/// Endings of names of files that ought to be pictures.
const PICTURES: [&str; 7] = ["tif", "tiff", "jpg", "jpeg", "png", "webp", "dng"];

/// What is said of a file whose picture was looked at.
#[derive(Debug)]
pub(super) struct Judged {
    pub(super) verdict: FileVerdict,
    pub(super) portrait: Option<String>,
    pub(super) view: Option<String>,
    pub(super) detail: Option<String>,
    /// Bytes of the picture that were read.
    pub(super) read: u64,
}

impl Judged {
    fn new(verdict: FileVerdict, detail: Option<String>) -> Self {
        Self {
            verdict,
            portrait: None,
            view: None,
            detail,
            read: 0,
        }
    }

    /// Returns what is said of a file that is no picture.
    pub(super) fn no_picture() -> Self {
        let detail = "it is no picture that kithbag knows, and no package".to_owned();
        Self::new(FileVerdict::NothingToCompare, Some(detail))
    }

    /// Returns what is said of a file that cannot be opened.
    pub(super) fn unreadable(why: String) -> Self {
        Self::new(FileVerdict::Unreadable, Some(why))
    }

    fn of(verdict: FileVerdict, seen: &Seen, detail: Option<&str>) -> Self {
        let (portrait, view) = seen.shows();
        Self {
            verdict,
            portrait,
            view,
            detail: detail.map(str::to_owned),
            read: seen.read,
        }
    }
}

/// What looking into a file showed.
enum Look {
    /// It is no picture.
    Other,
    /// It is a kind of picture that kithbag does not look into.
    Closed(&'static str),
    /// It is damaged.
    Broken(String),
    /// Its picture was read from the first byte to the last.
    Seen(Box<Seen>),
}

struct Seen {
    picture: Digest,
    /// The picture digest that the description in the file states.
    stated: Option<Digest>,
    record: Option<Collection>,
    /// The first thing in the file that is not as it should be.
    flaw: Option<&'static str>,
    read: u64,
}

impl Seen {
    /// Returns the portrait and the view that the description in the file names.
    fn shows(&self) -> (Option<String>, Option<String>) {
        let Some(record) = &self.record else {
            return (None, None);
        };
        let portrait = record.portraits.first();
        let view = record.scans.first().and_then(|scan| scan.view.given());
        (
            portrait.map(|portrait| portrait.number.to_string()),
            view.map(|view| view.word().to_owned()),
        )
    }
}

/// Judges a file of a package that is not as its manifest says.
pub(super) fn judge(reader: &mut Box<dyn ReadSeek>, path: &str, known: &Known) -> Judged {
    let seen = match look(reader) {
        Look::Seen(seen) => seen,
        Look::Broken(why) => return Judged::new(FileVerdict::Unreadable, Some(why)),
        Look::Closed(why) => {
            let detail = format!("whether the picture changed cannot be told: {why}");
            return Judged::new(FileVerdict::Changed, Some(detail));
        }
        Look::Other if ought_to_be_picture(path) => {
            let detail = "it is no picture any more".to_owned();
            return Judged::new(FileVerdict::Unreadable, Some(detail));
        }
        Look::Other => return Judged::new(FileVerdict::Changed, None),
    };
    let picture = seen.picture.hex();
    if let Some(logged) = known.picture_of(path) {
        return by(picture == logged, &seen);
    }
    if known.has_picture(picture) {
        return by(true, &seen);
    }
    match &seen.stated {
        Some(stated) => by(seen.picture == *stated, &seen),
        None => Judged::of(
            FileVerdict::Changed,
            &seen,
            Some("whether the picture changed cannot be told: nothing says how it was"),
        ),
    }
}

fn by(same_picture: bool, seen: &Seen) -> Judged {
    if same_picture {
        Judged::of(FileVerdict::LabelChanged, seen, None)
    } else {
        Judged::of(FileVerdict::PictureChanged, seen, seen.flaw)
    }
}

fn ought_to_be_picture(path: &str) -> bool {
    let ending = path.rsplit_once('.').map(|(_, ending)| ending);
    ending.is_some_and(|ending| {
        PICTURES
            .iter()
            .any(|picture| picture.eq_ignore_ascii_case(ending))
    })
}

/// Judges a scan outside a package by what its own description says; nothing when the file is no picture and is not called one.
pub(super) fn judge_alone<R: Read + Seek>(reader: &mut R, path: &str) -> Option<Judged> {
    let nothing = FileVerdict::NothingToCompare;
    Some(match look(reader) {
        Look::Other if !ought_to_be_picture(path) => return None,
        Look::Other => Judged::new(
            FileVerdict::Unreadable,
            Some("it is called a picture, but is none that kithbag knows".to_owned()),
        ),
        Look::Broken(why) => Judged::new(FileVerdict::Unreadable, Some(why)),
        Look::Closed(why) => Judged::new(nothing, Some(why.to_owned())),
        Look::Seen(seen) => match &seen.stated {
            Some(stated) if *stated == seen.picture => {
                Judged::of(FileVerdict::PictureUnchanged, &seen, None)
            }
            Some(_) => Judged::of(FileVerdict::PictureChanged, &seen, seen.flaw),
            None => Judged::of(nothing, &seen, seen.flaw),
        },
    })
}

fn look<R: Read + Seek>(reader: &mut R) -> Look {
    let mut head = Vec::new();
    let limit = u64::try_from(HEAD_LENGTH).unwrap_or(u64::MAX);
    if let Err(error) = reader.by_ref().take(limit).read_to_end(&mut head) {
        return Look::Broken(error.to_string());
    }
    let Some(kind) = container::sniff(&head) else {
        return Look::Other;
    };
    if let Some(why) = kind.why_not() {
        return Look::Closed(why);
    }
    match into(reader) {
        Ok(seen) => Look::Seen(Box::new(seen)),
        Err(ContainerError::Unsupported { why, .. }) => Look::Closed(why),
        Err(error) => Look::Broken(error.to_string()),
    }
}

fn into<R: Read + Seek>(reader: &mut R) -> Result<Seen, ContainerError> {
    let anatomy = container::examine(reader)?;
    let picture = container::picture_digest(reader, &anatomy)?;
    // A damaged packet states nothing; the picture beside it is read all the same.
    let embedded = anatomy.packet.as_deref().and_then(|packet| {
        let text = xmp::screen(packet).ok()?;
        xmp::read(&text).ok()
    });
    let read = anatomy
        .picture_ranges()
        .fold(0_u64, |sum, range| sum.saturating_add(range.length));
    let (stated, record) = embedded.map_or((None, None), |embedded| {
        (embedded.picture_digest, embedded.record)
    });
    Ok(Seen {
        picture,
        stated,
        record,
        flaw: anatomy.flaws.first().map(|flaw| flaw.why),
        read,
    })
}
