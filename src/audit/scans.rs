//! Auditing scans outside a package: a folder of described copies, or one stray scan. Each is compared with the digest of its picture
//! that its own description carries.

use super::AuditError;
use super::AuditOptions;
use super::picture;
use super::picture::Judged;
use super::report;
use super::report::AuditReport;
use super::report::FileFinding;
use super::report::Kind;
use super::report::Seen;
use super::words;
use crate::concern::ConcernList;
use crate::crew;
use crate::progress::Progress;
use crate::store;
use crate::store::tree;
use crate::store::tree::TreeFile;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use std::collections::BTreeMap;
use std::path::Path;

/// Audits every picture below a folder.
pub(super) fn folder(
    path: &Path,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> Result<AuditReport, AuditError> {
    let tree = tree::list(path)?;
    Ok(audit(
        path,
        Kind::Scans,
        &tree.files,
        tree.concerns,
        options,
        progress,
    ))
}

/// Audits one scan.
pub(super) fn single(
    path: &Path,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> Result<AuditReport, AuditError> {
    // Opened once beforehand, so that a file that cannot be opened at all is an error and no finding.
    drop(store::open(path)?);
    let file = TreeFile {
        path: name_of(path),
        full_path: path.to_owned(),
    };
    let concerns = ConcernList::default();
    Ok(audit(
        path,
        Kind::Scan,
        &[file],
        concerns,
        options,
        progress,
    ))
}

fn name_of(path: &Path) -> String {
    let whole = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    whole
        .file_name()
        .map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn audit(
    path: &Path,
    kind: Kind,
    files: &[TreeFile],
    concerns: ConcernList,
    options: &AuditOptions<'_>,
    progress: &dyn Progress,
) -> AuditReport {
    let mut seen = Seen {
        files: report::number(files.len()),
        ..Seen::default()
    };
    let mut findings = Vec::new();
    let mut untold: BTreeMap<FileVerdict, u64> = BTreeMap::new();
    if options.quick {
        untold.insert(FileVerdict::NotRead, seen.files);
    } else {
        progress.begin("Reading scans", seen.files);
        let judged = crew::share(files, options.threads, |file| {
            let judged = look(file, kind);
            progress.advance(1);
            judged
        });
        progress.end();
        for (file, judged) in files.iter().zip(judged) {
            let Some(judged) = judged else {
                continue;
            };
            if judged.read > 0 {
                seen.files_read = seen.files_read.saturating_add(1);
                seen.bytes_read = seen.bytes_read.saturating_add(judged.read);
            }
            if judged.verdict == FileVerdict::PictureUnchanged
                && kind == Kind::Scans
                && !options.every_file
            {
                let count = untold.entry(judged.verdict).or_default();
                *count = count.saturating_add(1);
            } else {
                findings.push(finding(file, judged));
            }
        }
    }
    let counts = report::count(&findings, untold);
    let mut report = AuditReport {
        location: path.display().to_string(),
        name: name_of(path),
        kind,
        outcome: outcome(&counts),
        verdict: String::new(),
        quick: options.quick,
        complete: None,
        valid: None,
        seen,
        bag: None,
        files: findings,
        counts,
        concerns,
    };
    report.verdict = words::verdict(&report);
    report
}

fn look(file: &TreeFile, kind: Kind) -> Option<Judged> {
    match store::open(&file.full_path) {
        Ok(mut source) => {
            let judged = picture::judge_alone(&mut source, &file.path);
            // Whoever names one file wants to hear of it, whatever it is.
            judged.or_else(|| (kind == Kind::Scan).then(Judged::no_picture))
        }
        Err(error) => Some(Judged::unreadable(super::findings::reason(&error))),
    }
}

fn finding(file: &TreeFile, judged: Judged) -> FileFinding {
    FileFinding {
        portrait: judged.portrait,
        view: judged.view,
        detail: judged.detail,
        ..FileFinding::new(file.path.clone(), judged.verdict)
    }
}

fn outcome(counts: &BTreeMap<FileVerdict, u64>) -> Outcome {
    if counts.keys().any(|verdict| verdict.is_damage()) {
        Outcome::Damaged
    } else if counts.contains_key(&FileVerdict::PictureUnchanged) {
        Outcome::Sound
    } else {
        Outcome::CannotTell
    }
}
