use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::program::FaultKind;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "unreadable-text",
    severity: Severity::Unproven,
    explanation: "A piece of the program is not a word of the language: a letter without its number, a \
                  number with two points, a comment that is not closed. The control would stop with an \
                  alarm, or read something else.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, fault: FaultKind) -> Finding {
    let what = reason(fault);
    ctx.at_place(KIND, setup, place)
        .message(format!("the program cannot be read here: {what}"))
        .acting("cannot be read")
        .help("write the block again as it is meant")
        .done()
}

const fn reason(fault: FaultKind) -> &'static str {
    match fault {
        FaultKind::UnexpectedCharacter => "no word begins with this character",
        FaultKind::MissingNumber => "a letter without its number",
        FaultKind::BadNumber => "this is not one number",
        FaultKind::BadLineNumber => "N needs a whole number without sign",
        FaultKind::UnclosedComment => "the comment is not closed on its line",
        FaultKind::CommentInComment => "a comment opens inside a comment",
        FaultKind::BadSetting => "a parameter needs `=` and a value",
        FaultKind::BadExpression => "the expression is not complete",
        FaultKind::BadStatement => "this statement is not complete",
        FaultKind::TooDeep => "the expression is nested too deep",
        FaultKind::StrayPercent => "% stands inside the program, and text follows it",
        FaultKind::TextTooLong => "the text is longer than 4 GiB",
    }
}
