//! Giving originals back from described copies.

use super::set::InscribeError;
use crate::fixity::Algorithm;
use crate::fixity::Running;
use crate::format::container;
use crate::format::container::SpliceError;
use crate::format::container::UndoError;
use crate::format::xmp;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::DiskErrors;
use crate::store::SourceFile;
use crate::store::staging::StagedFile;
use crate::store::staging::Staging;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Seek;
use std::io::Write;
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
    let (note, expected) = match label(&mut copy) {
        Ok(found) => found,
        Err(why) => return Ok(refused(why)),
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
    let mut sink = Sink {
        staged: staging.create(&portable)?,
        running: Running::new(Algorithm::Sha256),
    };
    sink.staged.set_mode(copy.stamp().mode)?;
    copy.rewind().while_doing("read", path)?;
    let outcome = container::undo(&mut copy, &note, &mut sink);
    let written_at = sink.staged.path().to_owned();
    let found = sink.running.finish();
    let why = match outcome {
        Ok(()) if found.hex() == expected => {
            sink.staged.finish()?;
            return Ok(Undone {
                copy: shown,
                original: Some(name),
                refused: None,
            });
        }
        Ok(()) => {
            "the copy was changed since it was made, so its original cannot be given back from it"
                .to_owned()
        }
        Err(UndoError::Pass(SpliceError::Sink(source))) => {
            return Err(source)
                .while_doing("write", &written_at)
                .map_err(InscribeError::from);
        }
        Err(fault) => fault.to_string(),
    };
    drop(sink.staged);
    staging.remove(&portable)?;
    Ok(refused(why))
}

/// Returns the note and the checksum of the original that a copy carries.
fn label(copy: &mut SourceFile) -> Result<(String, String), String> {
    let no_label = || "it is no described copy of kithbag's".to_owned();
    let anatomy = container::examine(copy).map_err(|fault| fault.to_string())?;
    let packet = anatomy.packet.ok_or_else(no_label)?;
    let screened = xmp::screen(&packet).map_err(|fault| fault.to_string())?;
    let embedded = xmp::read(&screened).map_err(|fault| fault.to_string())?;
    let sha256 = embedded.source_sha256.ok_or_else(no_label)?;
    Ok((embedded.undo.ok_or_else(no_label)?, sha256.hex().to_owned()))
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

struct Sink {
    staged: StagedFile,
    running: Running,
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let count = self.staged.write(bytes)?;
        self.running.update(bytes.get(..count).unwrap_or_default());
        Ok(count)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.staged.flush()
    }
}
