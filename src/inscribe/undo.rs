//! Giving originals back from described copies.

use super::set::InscribeError;
use crate::format::container;
use crate::format::container::ContainerError;
use crate::format::container::UndoNote;
use crate::format::xmp;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::DiskErrors;
use crate::store::SourceFile;
use crate::store::staging::Staging;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// What became of one described copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Undone {
    /// The described copy.
    pub copy: String,
    /// The name of the original that was given back, in the new folder.
    pub original: Option<String>,
    /// Why it was not given back.
    pub refused: Option<String>,
}

/// Gives the original of every copy back, under the copy's name. Each is compared with the checksum that its original had.
///
/// # Errors
/// Gives the disk's error. A copy that cannot give its original back is no error: it is told with the reason.
pub fn undo_all(
    copies: &[PathBuf],
    staging: &Staging,
    progress: &dyn Progress,
) -> Result<Vec<Undone>, InscribeError> {
    progress.begin(
        "Giving originals back",
        u64::try_from(copies.len()).unwrap_or_default(),
    );
    let mut taken = BTreeSet::new();
    let mut done = Vec::new();
    for copy in copies {
        done.push(undo_one(copy, staging, &mut taken)?);
        progress.advance(1);
    }
    progress.end();
    Ok(done)
}

fn undo_one(
    path: &Path,
    staging: &Staging,
    taken: &mut BTreeSet<String>,
) -> Result<Undone, InscribeError> {
    let shown = path.display().to_string();
    let refused = |why: String| Undone {
        copy: shown.clone(),
        original: None,
        refused: Some(why),
    };
    let mut copy = store::open(path)?;
    let mode = copy.stamp().mode;
    let note = match label(&mut copy) {
        Ok(note) => note,
        Err(why) => return Ok(refused(why)),
    };
    // The whole copy is read through the note and compared with the original's checksum before anything is written.
    let mut original = match container::Undone::new(&mut copy, &note) {
        Ok(original) => original,
        Err(ContainerError::Read(source)) => {
            return Err(source)
                .while_doing("read", path)
                .map_err(InscribeError::from);
        }
        Err(fault) => return Ok(refused(fault.to_string())),
    };
    let name = free_name(
        &path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default(),
        taken,
    );
    let portable = PortablePath::new(&name).map_err(|why| InscribeError::Name {
        name: name.clone(),
        why,
    })?;
    let mut staged = staging.create(&portable)?;
    staged.set_mode(mode)?;
    let written_at = staged.path().to_owned();
    original
        .write(&mut staged)
        .while_doing("write", &written_at)?;
    staged.finish()?;
    let mut back = store::open(&written_at)?;
    let found = container::source_digest(&mut back).ok();
    if found == note.sha256() {
        return Ok(Undone {
            copy: shown,
            original: Some(name),
            refused: None,
        });
    }
    Err(InscribeError::ReadBack {
        file: shown,
        what: "the original that was given back is not the one that was described".to_owned(),
    })
}

/// Returns the note that a copy carries.
fn label(copy: &mut SourceFile) -> Result<UndoNote, String> {
    let no_label = || "it is no described copy of kithbag's, or its label was changed".to_owned();
    let anatomy = container::examine(copy).map_err(|fault| fault.to_string())?;
    let packet = anatomy.packet.ok_or_else(no_label)?;
    let screened = xmp::screen(&packet).map_err(|fault| fault.to_string())?;
    let embedded = xmp::read(&screened).map_err(|fault| fault.to_string())?;
    let note = embedded
        .undo
        .as_deref()
        .and_then(UndoNote::parse)
        .ok_or_else(no_label)?;
    if note.blanked().is_empty() {
        return Ok(note);
    }
    Err(format!(
        "private facts were taken out when this copy was made ({}), so the original is not in it any more",
        note.blanked().join(", ")
    ))
}

fn free_name(name: &str, taken: &mut BTreeSet<String>) -> String {
    let (stem, extension) = name.rsplit_once('.').unwrap_or((name, "scan"));
    let mut candidate = name.to_owned();
    let mut count = 1_u32;
    while !taken.insert(candidate.to_lowercase()) {
        count = count.saturating_add(1);
        candidate = format!("{stem}-{count}.{extension}");
    }
    candidate
}
