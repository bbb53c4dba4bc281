//! The exit codes, which scripts may rely on.

use std::process::ExitCode;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Done; no concern of severity "stop", no damage. Code 0.
    Done,
    /// Concerns of severity "stop", or damage found. Code 1.
    Found,
    /// The command line is wrong. Code 2.
    CommandLine,
    /// It could not be done: file, permission, disk. Code 3.
    CouldNot,
    /// A fault of kithbag's own. Code 70.
    Fault,
}

impl Exit {
    /// Returns the number that the system gets.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Found => 1,
            Self::CommandLine => 2,
            Self::CouldNot => 3,
            Self::Fault => 70,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}
