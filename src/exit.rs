//! Every exit value and when it is used.

use std::process::{ExitCode, Termination};

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// The work was done.
    Done,
    /// The work was done and found what it was asked to fail on.
    Found,
    /// The work could not be done; nothing was written.
    CouldNot,
}

impl Exit {
    /// The value for the shell.
    #[must_use]
    pub fn value(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Found => 1,
            Self::CouldNot => 2,
        }
    }
}

impl Termination for Exit {
    fn report(self) -> ExitCode {
        ExitCode::from(self.value())
    }
}
