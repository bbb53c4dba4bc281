//! Building the new package beside its target: every file is compared with its checksums again while it is copied, and the whole
//! is audited before it gets its name.

use super::CannotBeHad;
use super::MendError;
use super::MendReport;
use super::Taken;
use super::plan::Plan;
use super::stock::Place;
use super::stock::Stock;
use crate::audit::AuditOptions;
use crate::audit::AuditReport;
use crate::audit::bag;
use crate::counting::counted;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::portable_path::PortablePath;
use crate::progress::Progress;
use crate::store;
use crate::store::DiskErrors;
use crate::store::StoreError;
use crate::store::staging::StagedFile;
use crate::store::staging::Staging;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;

/// Builds the package that a plan describes.
pub(super) fn build(
    stock: &Stock,
    plan: &Plan,
    into: &Path,
    threads: usize,
    progress: &dyn Progress,
) -> Result<MendReport, MendError> {
    let staging = Staging::beside(&into.join(name(stock)))?;
    let mut counts = vec![0_u64; stock.copies.len()];
    let mut cannot_be_had = Vec::new();
    let total = u64::try_from(plan.files.len()).unwrap_or(u64::MAX);
    progress.begin("Writing the new package", total);
    for (path, places) in &plan.files {
        let wanted = plan.digests.get(path).map_or(&[][..], Vec::as_slice);
        match copy(stock, &staging, path, places, wanted)? {
            Ok(copy) => {
                if let Some(count) = counts.get_mut(copy) {
                    *count = count.saturating_add(1);
                }
            }
            Err(why) => cannot_be_had.push(CannotBeHad {
                path: path.clone(),
                why: why.to_owned(),
            }),
        }
        progress.advance(1);
    }
    progress.end();
    if !cannot_be_had.is_empty() {
        return Ok(super::nothing_built(Plan {
            cannot_be_had,
            ..Plan::default()
        }));
    }
    // A payload may be empty, but its folder has to be there. [RFC8493 2.1.2]
    if let Ok(payload) = PortablePath::new("data") {
        staging.make_folder(&payload)?;
    }
    let mut audit = audit(&staging, threads, progress)?;
    let target = staging.commit()?;
    audit.location = target.display().to_string();
    audit.name = name(stock);
    let taken: Vec<Taken> = stock
        .copies
        .iter()
        .zip(&counts)
        .map(|(holding, files)| Taken {
            copy: holding.location().display().to_string(),
            files: *files,
        })
        .collect();
    Ok(MendReport {
        verdict: format!(
            "Rebuilt: {}, each as its manifests say, in {}.",
            counted(total, "file", "files"),
            target.display()
        ),
        package: Some(target.display().to_string()),
        taken,
        cannot_be_had: Vec::new(),
        left_out: plan.left_out.clone(),
        audit: Some(audit),
    })
}

/// The new package is called as the folder inside a zip, which nobody renames by accident, or else as the first copy.
fn name(stock: &Stock) -> String {
    let in_zip = stock.copies.iter().find(|holding| holding.is_zip());
    in_zip
        .or(stock.copies.first())
        .map_or_else(|| "package".to_owned(), |holding| holding.name().to_owned())
}

fn audit(
    staging: &Staging,
    threads: usize,
    progress: &dyn Progress,
) -> Result<AuditReport, MendError> {
    let holding = store::holding::open(staging.folder())?;
    let options = AuditOptions {
        threads,
        ..AuditOptions::default()
    };
    let report = bag::check(&*holding, &options, None, progress).report;
    if report.is_sound() {
        Ok(report)
    } else {
        Err(MendError::NotSound {
            verdict: report.verdict,
        })
    }
}

/// Copies a file from the first place that gives it as it should be; returns the copy it came from, or why none did.
fn copy(
    stock: &Stock,
    staging: &Staging,
    path: &str,
    places: &[Place],
    wanted: &[Digest],
) -> Result<Result<usize, &'static str>, MendError> {
    let Ok(portable) = PortablePath::new(path) else {
        return Ok(Err("its name cannot be written on every computer"));
    };
    for place in places {
        let Some(mut reader) = open(stock, *place) else {
            continue;
        };
        let mut staged = staging.create(&portable)?;
        let is_same = pour(&mut *reader, &mut staged, wanted)?;
        staged.finish()?;
        return Ok(if is_same {
            Ok(place.copy)
        } else {
            Err("it changed, or could not be read to its end, while it was copied")
        });
    }
    Ok(Err("it could not be opened again"))
}

fn open(stock: &Stock, place: Place) -> Option<Box<dyn Read + Send>> {
    stock.holding(place)?.open(place.position).ok()
}

/// Copies to the end and tells whether the bytes have the checksums; what cannot be read has not.
fn pour(
    reader: &mut dyn Read,
    staged: &mut StagedFile,
    wanted: &[Digest],
) -> Result<bool, StoreError> {
    let algorithms = wanted.iter().map(Digest::algorithm);
    let mut running: Vec<Running> = algorithms.map(Running::new).collect();
    let mut buffer = ReadBuffer::of(READ_BUFFER);
    loop {
        let count = match reader.read(&mut buffer) {
            Ok(0) => break,
            Ok(count) => count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(_) => return Ok(false),
        };
        let read = buffer.get(..count).unwrap_or_default();
        running.iter_mut().for_each(|one| one.update(read));
        let written = staged.write_all(read);
        written.while_doing("write", staged.path())?;
    }
    let found: Vec<Digest> = running.into_iter().map(Running::finish).collect();
    Ok(!wanted.is_empty() && found == wanted)
}
