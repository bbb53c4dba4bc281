//! The one line that says it all, in plain words.

use super::report::AuditReport;
use super::report::Kind;
use crate::counting::counted;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;

/// Returns the verdict of a report in one line.
pub(super) fn verdict(report: &AuditReport) -> String {
    let word = report.outcome.words();
    match report.outcome {
        Outcome::Sound => format!("{word}: {}. {}", all_unchanged(report), read(report)),
        Outcome::NamesAgree => format!(
            "{word}: {} there as listed. Nothing was read, so this does not say that they are unchanged.",
            are(report.seen.files)
        ),
        Outcome::CannotTell => format!(
            "{word}: nothing here states how the {} should be. {}",
            if report.kind == Kind::Scan {
                "file"
            } else {
                "files"
            },
            read(report)
        ),
        Outcome::NotInOrder => format!("{word}: {}. {}", not_in_order(report), read(report)),
        Outcome::Damaged => format!("{word}: {}. {}", damage(report), read(report)),
    }
}

fn all_unchanged(report: &AuditReport) -> String {
    match report.kind {
        Kind::PackageFolder | Kind::PackageZip => {
            let unchanged = report.count(FileVerdict::Unchanged);
            format!("{} there and unchanged", all_are(unchanged))
        }
        Kind::Scan => "the picture is as it was when the description was written".to_owned(),
        Kind::Scans => {
            let unchanged = report.count(FileVerdict::PictureUnchanged);
            let without = report.count(FileVerdict::NothingToCompare);
            let same = format!(
                "{} as when the description was written",
                are_of(unchanged, "picture", "pictures")
            );
            if without > 0 {
                let more = counted(without, "file carries", "files carry");
                format!("{same}; {more} nothing to compare with")
            } else {
                same
            }
        }
    }
}

fn not_in_order(report: &AuditReport) -> String {
    let mut parts = Vec::new();
    if report.quick {
        parts.push("only names and sizes were looked at".to_owned());
    } else if report.count(FileVerdict::Unchanged) > 0 {
        let unchanged = report.count(FileVerdict::Unchanged);
        parts.push(format!("{} unchanged", are(unchanged)));
    }
    parts.extend(tally(
        report,
        &[FileVerdict::NotListed, FileVerdict::Litter],
    ));
    let broken = u64::try_from(report.concerns.count(crate::concern::Severity::Stop));
    let broken = broken.unwrap_or(u64::MAX);
    if broken > 0 {
        parts.push(counted(
            broken,
            "rule of packages is broken",
            "rules of packages are broken",
        ));
    }
    parts.join(", ")
}

fn damage(report: &AuditReport) -> String {
    let all: Vec<FileVerdict> = FileVerdict::ALL.into_iter().rev().collect();
    let mut parts = tally(report, &all);
    if matches!(report.kind, Kind::PackageFolder | Kind::PackageZip) {
        let unchanged = report.count(FileVerdict::Unchanged);
        parts.push(counted(unchanged, "file unchanged", "files unchanged"));
    }
    parts.join(", ")
}

fn tally(report: &AuditReport, verdicts: &[FileVerdict]) -> Vec<String> {
    verdicts
        .iter()
        .filter(|verdict| **verdict != FileVerdict::Unchanged)
        .filter_map(|verdict| {
            let count = report.count(*verdict);
            let words = match verdict {
                // The words hold a comma of their own.
                FileVerdict::Renamed => "renamed",
                FileVerdict::LabelChanged => "with a changed label only",
                other => other.words(),
            };
            (count > 0).then(|| format!("{} {words}", counted(count, "file", "files")))
        })
        .collect()
}

fn read(report: &AuditReport) -> String {
    if report.seen.bytes_read == 0 && report.quick {
        return "Nothing was read.".to_owned();
    }
    format!(
        "Read in full: {}, {}.",
        counted(report.seen.files_read, "file", "files"),
        size(report.seen.bytes_read)
    )
}

fn are(count: u64) -> String {
    are_of(count, "file", "files")
}

fn all_are(count: u64) -> String {
    if count == 1 {
        "the one file is".to_owned()
    } else {
        format!("all {}", are(count))
    }
}

fn are_of(count: u64, one: &str, many: &str) -> String {
    let verb = if count == 1 { "is" } else { "are" };
    format!("{} {verb}", counted(count, one, many))
}

/// Returns a number of bytes as people say it.
#[must_use]
pub fn size(bytes: u64) -> String {
    // A tenth of each unit, so that one digit behind the point is whole.
    const UNITS: [(u64, &str); 4] = [
        (100_000_000_000, "TB"),
        (100_000_000, "GB"),
        (100_000, "MB"),
        (100, "kB"),
    ];
    for (tenth, name) in UNITS {
        let tenths = bytes.checked_div(tenth).unwrap_or_default();
        if tenths >= 10 {
            return format!("{}.{} {name}", tenths / 10, tenths % 10);
        }
    }
    counted(bytes, "byte", "bytes")
}

#[cfg(test)]
mod tests {
    use super::size;

    #[test]
    fn sizes_as_people_say_them() {
        assert_eq!(size(1), "1 byte");
        assert_eq!(size(999), "999 bytes");
        assert_eq!(size(1_000), "1.0 kB");
        assert_eq!(size(216_951_362), "216.9 MB");
        assert_eq!(size(4_600_000_000), "4.6 GB");
    }
}
