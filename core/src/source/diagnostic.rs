use super::{SourceText, Span};

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Look at it before cycle start.
    Warning,
    /// The job must not be run as it is.
    Fault,
    /// Not modelled, not understood or not certain: nothing may read as a pass.
    Unproven,
}

impl Severity {
    /// The word that is printed: `note`, `warning`, `fault`, `unproven`.
    pub const fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Fault => "fault",
            Severity::Unproven => "unproven",
        }
    }
}

/// A piece of a text that is underlined, and what is said beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Which file.
    pub source: SourceText,
    /// Which piece of it.
    pub span: Span,
    /// What is said beside the underline; may be empty.
    pub text: String,
    /// True for the place that acts, false for a place that only explains.
    pub primary: bool,
}

/// Something to say about input, with its place: the form of every input mistake and every finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How grave.
    pub severity: Severity,
    /// Kebab-case name of the kind, such as `rapid-into-stock` or `unknown-field`.
    pub kind: &'static str,
    /// One sentence that stands alone.
    pub message: String,
    /// Underlined places, the acting one first; empty when a whole file is meant.
    pub labels: Vec<Label>,
    /// Further facts, one line each (position, tool, time).
    pub notes: Vec<String>,
    /// What to do, one line.
    pub help: Option<String>,
}
