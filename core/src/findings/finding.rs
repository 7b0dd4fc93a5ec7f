use crate::geom::Vec3;
use crate::job::WorkOffset;
use crate::source::{Diagnostic, Severity};

/// A kind of finding: its name, how grave it is, and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Kebab-case name, such as `rapid-into-stock`.
    pub name: &'static str,
    /// How grave.
    pub severity: Severity,
    /// A short paragraph for the user: what it is, why it matters at the mill, what to do.
    pub explanation: &'static str,
}

/// Something found, in words, with its place and numbers. Millimetres.
#[derive(Clone, Debug)]
pub struct Finding {
    /// Kind.
    pub kind: Kind,
    /// The sentence, the underlined places, notes and help.
    pub diagnostic: Diagnostic,
    /// Index of the setup.
    pub setup: Option<usize>,
    /// Name of the program file that `line` counts in.
    pub program: Option<String>,
    /// 1-based line of the program.
    pub line: Option<u32>,
    /// 1-based column.
    pub column: Option<u32>,
    /// Text of that block.
    pub block: Option<String>,
    /// Tool number.
    pub tool: Option<u32>,
    /// Work offset that was active; the position in words is counted from its zero.
    pub offset: Option<WorkOffset>,
    /// Where, setup frame, millimetres.
    pub at: Option<Vec3>,
    /// Where, part frame, millimetres.
    pub at_part: Option<Vec3>,
    /// How much.
    pub amount: Option<Amount>,
}

/// How much, of what the kind is about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A length, millimetres.
    Length(f64),
    /// A plain number, such as a count of tools.
    Number(f64),
}
