//! `audit`: check packages, folders and single scans.

use super::arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::session::Session;
use super::terminal::Style;
use crate::audit;
use crate::audit::AuditOptions;
use crate::audit::AuditReport;
use crate::audit::Audited;
use crate::audit::Comparison;
use crate::audit::ledger::Ledger;
use crate::audit::ledger::LedgerLine;
use crate::format::bagit::profile;
use crate::format::bagit::profile::Profile;
use crate::store;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use serde::Serialize;
use std::path::Path;

/// What `--json` prints.
#[derive(Debug, Serialize)]
struct Document<'a> {
    sound: bool,
    audits: &'a [&'a AuditReport],
    could_not_be_read: &'a [String],
}

/// Audits every path and says how it is with each; one bad package never ends the run.
///
/// # Errors
/// Gives a failure when the profile or the ledger cannot be read, or the ledger cannot be written.
pub(super) fn run(session: &Session, arguments: &arguments::Audit) -> Result<Exit, Failure> {
    let profile = arguments.profile.as_deref().map(read_profile).transpose()?;
    let options = AuditOptions {
        quick: arguments.quick,
        threads: session.threads,
        every_file: session.json,
        profile: profile.as_ref(),
    };
    if let Some(other) = &arguments.against {
        return compare(session, arguments, other, &options);
    }
    let ledger = arguments.ledger.as_deref().map(read_ledger).transpose()?;
    let all = audit::audit_all(&arguments.paths, &options, &*session.progress, |audited| {
        hear(session, ledger.as_ref(), audited);
    });
    if let Some((path, ledger)) = arguments.ledger.as_deref().zip(ledger.as_ref()) {
        write_ledger(session, path, ledger, &all)?;
    }
    let reports: Vec<&AuditReport> = all
        .iter()
        .filter_map(|audited| audited.result.as_ref().ok())
        .collect();
    let unread: Vec<String> = all
        .iter()
        .filter(|audited| audited.result.is_err())
        .map(|audited| audited.path.display().to_string())
        .collect();
    let sound = unread.is_empty() && reports.iter().all(|report| report.is_sound());
    if session.json {
        session.document(&Document {
            sound,
            audits: &reports,
            could_not_be_read: &unread,
        })?;
    } else if all.len() > 1 {
        let good = reports.iter().filter(|report| report.is_sound()).count();
        session.terminal.say_styled(
            Style::Strong,
            &format!("{good} of {} are sound.", all.len()),
        );
    }
    let damage = reports.iter().any(|report| !report.is_sound());
    Ok(if damage {
        Exit::Found
    } else if unread.is_empty() {
        Exit::Done
    } else {
        Exit::CouldNot
    })
}

fn hear(session: &Session, ledger: Option<&Ledger>, audited: &Audited) {
    match &audited.result {
        Ok(report) if !session.json => {
            tell(session, report);
            if audited.not_looked_at > 0 {
                let others = format!(
                    "  {} other files lie beside the packages here; they belong to none and were not looked at.",
                    audited.not_looked_at
                );
                session.terminal.say_styled(Style::Careful, &others);
            }
            if let Some(since) = ledger.and_then(|ledger| ledger.since(report)) {
                session.terminal.say(&format!("  {since}"));
            }
            if report.has_warnings() {
                session.terminal.complain(&format!(
                    "kithbag: {}: there are warnings, see above",
                    report.location
                ));
            }
        }
        Ok(_) => {}
        Err(error) => {
            let failure = Failure::from_error(error);
            session.terminal.complain(&format!(
                "kithbag: {}\n  → {}",
                failure.what, failure.remedy
            ));
        }
    }
}

fn read_ledger(path: &Path) -> Result<Ledger, Failure> {
    let text = store::ledger::read(path).map_err(|error| Failure::from_error(&error))?;
    Ok(Ledger::read(&text))
}

fn write_ledger(
    session: &Session,
    path: &Path,
    ledger: &Ledger,
    all: &[Audited],
) -> Result<(), Failure> {
    for line in &ledger.unreadable {
        session.terminal.complain(&format!(
            "kithbag: {}, line {line} cannot be read and was passed over",
            path.display()
        ));
    }
    let reports = all
        .iter()
        .filter_map(|audited| audited.result.as_ref().ok());
    let lines: Vec<LedgerLine> = reports
        .map(|report| LedgerLine::new(report, session.as_of, ledger.last(report)))
        .collect();
    let written: Vec<String> = lines.iter().map(LedgerLine::to_json).collect();
    store::ledger::append(path, &written).map_err(|error| Failure::from_error(&error))?;
    for line in &lines {
        session.terminal.tell(&format!(
            "  {}: next check due {}",
            line.package, line.next_check
        ));
    }
    Ok(())
}

fn read_profile(path: &Path) -> Result<Profile, Failure> {
    let bytes = store::read_all(path).map_err(|error| Failure::from_error(&error))?;
    profile::read(&bytes).map_err(|error| {
        Failure::could_not(
            format!(
                "{} is no BagIt profile that can be read: {error}.",
                path.display()
            ),
            "A profile is a JSON file; ask whoever gave it to you for a sound copy.",
        )
    })
}

pub(super) fn tell(session: &Session, report: &AuditReport) {
    let terminal = &session.terminal;
    terminal.say_styled(Style::Strong, &report.location);
    for finding in report.worst_first() {
        if !matches!(
            finding.verdict,
            FileVerdict::Unchanged | FileVerdict::NotRead
        ) {
            terminal.say_styled(
                style_of(finding.verdict),
                &format!("  {}: {}", finding.in_words(), finding.verdict),
            );
        }
    }
    session.concerns(&report.concerns);
    terminal.say_styled(outcome_style(report), &report.verdict);
    terminal.tell(&advice(report));
}

fn advice(report: &AuditReport) -> String {
    let advice = match report.outcome {
        Outcome::Sound => "Look again in a year, and keep a second copy in another place.",
        _ if report.quick => "Run it again without --quick to have every byte read.",
        _ => {
            "Do not repair anything by hand. If you have another copy, compare them (kithbag audit THIS --against OTHER) or rebuild a sound one (kithbag mend THIS OTHER --into FOLDER)."
        }
    };
    format!("  → {advice}\n")
}

const fn style_of(verdict: FileVerdict) -> Style {
    match verdict {
        FileVerdict::Unchanged
        | FileVerdict::PictureUnchanged
        | FileVerdict::Litter
        | FileVerdict::NothingToCompare
        | FileVerdict::NotRead => Style::Soft,
        FileVerdict::Renamed | FileVerdict::NotListed | FileVerdict::LabelChanged => Style::Careful,
        FileVerdict::Changed
        | FileVerdict::PictureChanged
        | FileVerdict::Unreadable
        | FileVerdict::Missing => Style::Bad,
    }
}

fn outcome_style(report: &AuditReport) -> Style {
    if report.is_sound() {
        Style::Good
    } else {
        Style::Bad
    }
}

fn compare(
    session: &Session,
    arguments: &arguments::Audit,
    other: &Path,
    options: &AuditOptions<'_>,
) -> Result<Exit, Failure> {
    let [first] = arguments.paths.as_slice() else {
        return Err(Failure::command_line(
            "Two copies can be compared, no more.",
            "Name one package before --against and one after it.",
        ));
    };
    let comparison = audit::compare(first, other, options, &*session.progress)
        .map_err(|error| Failure::from_error(&error))?;
    if session.json {
        session.document(&comparison)?;
    } else {
        tell_comparison(session, &comparison);
    }
    Ok(if comparison.is_sound() {
        Exit::Done
    } else {
        Exit::Found
    })
}

fn tell_comparison(session: &Session, comparison: &Comparison) {
    let terminal = &session.terminal;
    terminal.say(&format!(
        "First copy:   {}\n              {}",
        comparison.first.location, comparison.first.verdict
    ));
    terminal.say(&format!(
        "Second copy:  {}\n              {}",
        comparison.second.location, comparison.second.verdict
    ));
    for difference in &comparison.differences {
        terminal.say_styled(
            Style::Careful,
            &format!("  {}: {}", difference.path, difference.what),
        );
    }
    let style = if comparison.is_sound() {
        Style::Good
    } else {
        Style::Bad
    };
    terminal.say_styled(style, &comparison.verdict);
}
