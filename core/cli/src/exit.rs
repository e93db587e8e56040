//! Exit codes, which CI relies on.

use mateline_model::Comparison;
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

impl Exit {
    /// How a comparison ends for CI.
    pub fn of_comparison(found: &Comparison, only_new: bool) -> Exit {
        if !found.failures.is_empty() {
            Exit::Failed
        } else if found.got_worse() || (!only_new && found.failing > 0) {
            Exit::Short
        } else {
            Exit::Done
        }
    }
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
