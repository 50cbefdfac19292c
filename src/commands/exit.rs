//! The exit codes, in one table.

use std::process::ExitCode;

use crate::compare::Verdict;
use crate::error::{Error, Kind};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Exit {
    /// Done, or within: 0.
    Done,
    /// Too close to call: 4.
    Unsure,
    /// Outside: 1.
    Outside,
    /// The picture cannot be judged by: 3.
    PictureNotUsable,
    /// Could not run: 2.
    CouldNotRun,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Done => 0,
            Exit::Outside => 1,
            Exit::CouldNotRun => 2,
            Exit::PictureNotUsable => 3,
            Exit::Unsure => 4,
        })
    }
}

impl From<Verdict> for Exit {
    fn from(verdict: Verdict) -> Exit {
        match verdict {
            Verdict::Within => Exit::Done,
            Verdict::Outside => Exit::Outside,
            Verdict::Unsure => Exit::Unsure,
        }
    }
}

impl From<&Error> for Exit {
    fn from(error: &Error) -> Exit {
        match error.kind() {
            Kind::CouldNotRun => Exit::CouldNotRun,
            Kind::PictureNotUsable => Exit::PictureNotUsable,
        }
    }
}
