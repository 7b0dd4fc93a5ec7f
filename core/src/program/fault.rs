use crate::source::Span;

/// Something in a program's text that cannot be read, with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// Where; from there to the end of its line nothing was read.
    pub span: Span,
}

/// What cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// A character that begins no word.
    UnexpectedCharacter,
    /// A letter without a number behind it, or a sign without digits.
    MissingNumber,
    /// A number with two decimal points, or too large for any machine.
    BadNumber,
    /// A line number (N) that is not a whole number without sign.
    BadLineNumber,
    /// A comment that is not closed on its line.
    UnclosedComment,
    /// A comment opened inside a comment: controls differ on where it ends.
    CommentInComment,
    /// A parameter setting without `=` or without a value.
    BadSetting,
    /// An expression that is not closed or lacks an operator or a value.
    BadExpression,
    /// `IF`, `WHILE`, `DO` or `END` without what belongs to it.
    BadStatement,
    /// An expression nested deeper than any control reads.
    TooDeep,
    /// A `%` inside the program with more text behind it, though the program did not begin with one.
    StrayPercent,
    /// A text too long to be addressed (4 GiB).
    TextTooLong,
}
