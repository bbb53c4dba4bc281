//! What a person is told when something could not be done: what is wrong and what to do, and how the run ends.

use super::exit::Exit;
use crate::store::StoreError;
use std::error::Error;
use std::io;

/// A run that could not be finished.
#[derive(Debug)]
pub(super) struct Failure {
    /// How the run ends.
    pub(super) exit: Exit,
    /// What is wrong, a sentence.
    pub(super) what: String,
    /// What to do, a sentence.
    pub(super) remedy: String,
}

impl Failure {
    /// Returns a failure of the command line.
    pub(super) fn command_line(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            exit: Exit::CommandLine,
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    /// Returns a failure of file, permission or disk.
    pub(super) fn could_not(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            exit: Exit::CouldNot,
            what: what.into(),
            remedy: remedy.into(),
        }
    }

    /// Returns the failure that an error of a stage means: disk errors are looked for along the chain of causes, since they
    /// decide the remedy.
    pub(super) fn from_error(error: &(dyn Error + 'static)) -> Self {
        let mut cause = Some(error);
        while let Some(one) = cause {
            if let Some(disk) = one.downcast_ref::<StoreError>() {
                return Self::could_not(sentence(&told(error)), disk_remedy(disk));
            }
            // Errors that stand for their cause hide its type; the system's own error at the end of the chain still tells.
            if let Some(remedy) = one.downcast_ref::<io::Error>().and_then(system_remedy) {
                return Self::could_not(sentence(&told(error)), remedy);
            }
            cause = one.source();
        }
        Self::could_not(
            sentence(&told(error)),
            "Mend what is named above, then run the same command again; nothing was written.",
        )
    }

    /// Returns a failure that is kithbag's own fault.
    pub(super) fn fault(what: impl Into<String>) -> Self {
        Self {
            exit: Exit::Fault,
            what: what.into(),
            remedy: "This is a fault of kithbag, not yours. Your pictures were only read. Please report these words.".to_owned(),
        }
    }
}

fn system_remedy(error: &io::Error) -> Option<&'static str> {
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
            Some(
                "The disk is full. Make room or choose another disk; nothing was left half-written.",
            )
        }
        io::ErrorKind::PermissionDenied => {
            Some("Check that you may read and write there, then run again.")
        }
        io::ErrorKind::NotFound => {
            Some("Check the spelling, and that the disk or stick is plugged in.")
        }
        _ => None,
    }
}

/// Returns the error and its causes as one line; a cause that the line before already tells is not told twice.
fn told(error: &dyn Error) -> String {
    let mut line = error.to_string();
    let mut cause = error.source();
    while let Some(one) = cause {
        let text = one.to_string();
        if !line.contains(&text) {
            line.push_str(": ");
            line.push_str(&text);
        }
        cause = one.source();
    }
    line
}

fn sentence(fragment: &str) -> String {
    let mut characters = fragment.chars();
    let start: String = characters
        .next()
        .map(|first| first.to_uppercase().collect())
        .unwrap_or_default();
    let end = if fragment.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{start}{}{end}", characters.as_str())
}

fn disk_remedy(error: &StoreError) -> String {
    match error {
        StoreError::TargetExists { .. } => {
            "Nothing is ever overwritten. Choose another folder, or move the old one away first."
                .to_owned()
        }
        StoreError::InProgress { path } => format!(
            "If another run is at work, wait for it. If not, add --resume to go on with what it left (pack, inscribe), or delete {} yourself and run again.",
            path.display()
        ),
        StoreError::Changed { .. } => {
            "Close the program that is changing it, then run again.".to_owned()
        }
        StoreError::TooLong { .. } => "Check that it is the file you meant. The limit cannot be raised: such a file is held in memory whole.".to_owned(),
        full if full.is_disk_full() => {
            "The disk is full. Make room or choose another disk; nothing was left half-written."
                .to_owned()
        }
        refused if refused.is_permission() => {
            "Check that you may read and write there, then run again.".to_owned()
        }
        missing if missing.is_missing() => {
            "Check the spelling, and that the disk or stick is plugged in.".to_owned()
        }
        StoreError::Disk { .. } => {
            "Check the disk or stick, then run again; nothing was left half-written.".to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may fail loudly")]

    use super::*;
    use std::path::PathBuf;

    /// A sentence begins with a large letter, and a path is told as it is on the disk.
    #[test]
    fn a_path_keeps_its_small_letters() {
        let path = || PathBuf::from("into/shelf");
        let source = || io::Error::from(io::ErrorKind::NotFound);
        for error in [
            StoreError::Disk {
                act: "read",
                path: path(),
                source: source(),
            },
            StoreError::TargetExists { path: path() },
            StoreError::InProgress { path: path() },
            StoreError::TooLong {
                path: path(),
                length: 2,
                limit: 1,
            },
            StoreError::Changed { path: path() },
        ] {
            let said = Failure::from_error(&error).what;
            assert!(said.contains(" into/shelf"), "{said}");
            assert!(said.starts_with(char::is_uppercase), "{said}");
        }
    }
}
