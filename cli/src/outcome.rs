use proofcut_core::proof::Verdict;
use std::process::ExitCode;

/// How a run of the command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// No faults, no warnings.
    NothingFound,
    /// Faults or warnings were found.
    Found,
    /// Something is not proved, or the input could not be read.
    Unproven,
    /// Wrong usage of the command.
    WrongUsage,
}

impl Outcome {
    /// The exit code.
    pub(crate) fn code(self) -> ExitCode {
        ExitCode::from(match self {
            Outcome::NothingFound => 0,
            Outcome::Found => 1,
            Outcome::Unproven => 2,
            Outcome::WrongUsage => 3,
        })
    }

    /// The outcome of a verdict.
    pub(crate) const fn of(verdict: Verdict) -> Self {
        match verdict {
            Verdict::NoFaults => Outcome::NothingFound,
            Verdict::Warnings | Verdict::Faults => Outcome::Found,
            Verdict::Unproven => Outcome::Unproven,
        }
    }
}
