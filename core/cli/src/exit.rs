//! Exit codes, which CI relies on.

use std::process::ExitCode;

/// How a command ended, from best to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Nothing short and nothing unproven among what is required.
    Done,
    /// Something required is short or unproven.
    Short,
    /// The input cannot be used.
    BadInput,
    /// A plugin or mateline itself failed.
    Failed,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Done => 0,
            Exit::Short => 1,
            Exit::BadInput => 2,
            Exit::Failed => 3,
        })
    }
}
