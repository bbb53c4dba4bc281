//! Viewing copies for eyes and browsers: made from the original's picture, never from its metadata.

use super::PackError;
use super::contents::Contents;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::crew;
use crate::format::viewing;
use crate::format::viewing::Caption;
use crate::format::viewing::Picture;
use crate::format::viewing::Viewing;
use crate::format::viewing::ViewingFault;
use crate::progress::Progress;
use crate::store;
use std::io::Read;
use std::io::Seek;
use std::path::Path;

/// Where the viewing copies lie.
pub(super) const FOLDER: &str = "data/viewing/";

/// Where the copies lie that are for sending on.
pub(super) const CAPTIONED_FOLDER: &str = "data/viewing/captioned/";

/// One viewing copy to make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Wanted {
    /// The original's place in the collection.
    pub(super) from: String,
    /// The name without folder and ending, for example `A-001-front`.
    pub(super) name: String,
    /// What stands under the captioned copy, if there is to be one.
    pub(super) caption: Option<Caption>,
}

/// A viewing copy that was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Made {
    /// The original's place in the collection.
    pub(super) from: String,
    /// Its place in the package.
    pub(super) path: String,
    /// The place in the package of the copy that has its caption under the picture.
    pub(super) captioned: Option<String>,
    /// Width in pixels.
    pub(super) width: u32,
    /// Height in pixels.
    pub(super) height: u32,
}

/// Makes the viewing copies on several threads. A picture that cannot be shown is a concern, not a failure: its scan is packed
/// all the same.
pub(super) fn make(
    contents: &Contents<'_>,
    root: &Path,
    wanted: &[Wanted],
    threads: usize,
    progress: &dyn Progress,
    concerns: &mut ConcernList,
) -> Result<Vec<Made>, PackError> {
    progress.begin(
        "Making viewing copies",
        u64::try_from(wanted.len()).unwrap_or_default(),
    );
    let results = crew::share(wanted, threads, |one| {
        let result = make_one(contents, root, one);
        progress.advance(1);
        result
    });
    progress.end();
    let mut made = Vec::new();
    for (one, result) in wanted.iter().zip(results) {
        match result? {
            Ok(copy) => made.push(copy),
            Err(reason) => concerns.warning(
                "no-viewing-copy",
                Place::file(one.from.clone()),
                format!("No picture for viewing could be made from this file: {reason}."),
                "The scan itself is packed. For people without special programs, put a JPEG of it beside it in the collection.",
            ),
        }
    }
    Ok(made)
}

fn make_one(
    contents: &Contents<'_>,
    root: &Path,
    one: &Wanted,
) -> Result<Result<Made, String>, PackError> {
    let source = store::open(&root.join(&one.from))?;
    let (picture, captioned) = match draw(source, one.caption.as_ref()) {
        Ok(drawn) => drawn,
        Err(fault) => return Ok(Err(fault.to_string())),
    };
    let path = format!("{FOLDER}{}.jpg", one.name);
    contents.write(&path, &picture.jpeg)?;
    let mut made = Made {
        from: one.from.clone(),
        path,
        captioned: None,
        width: picture.width,
        height: picture.height,
    };
    if let Some(captioned) = captioned {
        let path = format!("{CAPTIONED_FOLDER}{}.jpg", one.name);
        contents.write(&path, &captioned.jpeg)?;
        made.captioned = Some(path);
    }
    Ok(Ok(made))
}

/// The source is decoded once for both copies.
fn draw(
    source: impl Read + Seek,
    caption: Option<&Caption>,
) -> Result<(Viewing, Option<Viewing>), ViewingFault> {
    let picture = Picture::read(source, viewing::VIEWING_EDGE)?;
    let captioned = caption.map(|caption| picture.captioned(caption));
    Ok((
        picture.jpeg(viewing::VIEWING_EDGE, viewing::VIEWING_QUALITY)?,
        captioned.transpose()?,
    ))
}
