/// How what is shown stands to the job's files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// The job is being checked; what is shown, if anything, is from before.
    Computing,
    /// A file on disk is newer than what is shown.
    Stale,
    /// The files hold mistakes, or the check broke off: there is nothing to show.
    Failed,
    /// The check was stopped before its end.
    Stopped,
    /// Checked; the job names no drawing, so the finished part was compared with nothing.
    NoDrawing,
    /// Checked, and what is shown is what the files say.
    Ready,
}

impl State {
    /// The word that is shown.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Computing => "checking",
            Self::Stale => "STALE",
            Self::Failed => "FAILED",
            Self::Stopped => "STOPPED",
            Self::NoDrawing => "no drawing",
            Self::Ready => "checked",
        }
    }

    /// True when what is shown is what the files on disk say.
    pub const fn is_current(self) -> bool {
        matches!(self, Self::NoDrawing | Self::Ready)
    }
}
