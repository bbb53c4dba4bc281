//! What can go wrong with a container, sorted by whose fault it is.

use std::io;

/// Why a picture file could not be understood.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ContainerError {
    /// The bytes could not be fetched. Try again, or from another copy.
    #[error("the file could not be read")]
    Read(#[source] io::Error),
    /// The file breaks the rules of its own format: it is damaged or cut short.
    #[error("{what} (at byte {offset})")]
    Format {
        /// Where, in bytes from the beginning of the file.
        offset: u64,
        /// What is wrong, in plain words.
        what: &'static str,
    },
    /// The file may be sound, but it has something that kithbag does not handle.
    #[error("{why} (at byte {offset})")]
    Unsupported {
        /// Where, in bytes from the beginning of the file.
        offset: u64,
        /// What it is, in plain words.
        why: &'static str,
    },
    /// The file asks for more than kithbag allows one file.
    #[error("{what}: {found}, and kithbag takes no more than {allowed} (at byte {offset})")]
    Limit {
        /// Where, in bytes from the beginning of the file.
        offset: u64,
        /// What there is too much of, in plain words.
        what: &'static str,
        /// How much there is.
        found: u64,
        /// How much is allowed.
        allowed: u64,
    },
}

impl ContainerError {
    /// Returns the position in the file in bytes, if the fault has one.
    #[must_use]
    pub const fn offset(&self) -> Option<u64> {
        match self {
            Self::Read(_) => None,
            Self::Format { offset, .. }
            | Self::Unsupported { offset, .. }
            | Self::Limit { offset, .. } => Some(*offset),
        }
    }
}

impl From<io::Error> for ContainerError {
    fn from(error: io::Error) -> Self {
        Self::Read(error)
    }
}

/// Why a file that can be looked at must not be written to, or whose picture cannot be proved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refusal {
    /// Where, in bytes from the beginning of the file.
    pub offset: u64,
    /// Why, in plain words.
    pub why: &'static str,
}

impl From<Refusal> for ContainerError {
    fn from(refusal: Refusal) -> Self {
        Self::Unsupported {
            offset: refusal.offset,
            why: refusal.why,
        }
    }
}

/// Returns a fault of the file itself.
pub(super) const fn broken(offset: u64, what: &'static str) -> ContainerError {
    ContainerError::Format { offset, what }
}

/// Returns the fault of being more than is allowed, or nothing.
///
/// # Errors
/// When `found` is more than `allowed`.
pub(super) const fn within(
    offset: u64,
    what: &'static str,
    found: u64,
    allowed: u64,
) -> Result<(), ContainerError> {
    if found > allowed {
        return Err(ContainerError::Limit {
            offset,
            what,
            found,
            allowed,
        });
    }
    Ok(())
}
