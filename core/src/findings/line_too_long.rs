use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "line-too-long",
    severity: Severity::Unproven,
    explanation: "Words stand beyond the characters that the control reads of a line (`line_length` of the \
                  machine's control, 256 if it is not given, as in NISTIR 6556). A control stops there with an \
                  alarm or leaves them out. A comment may be longer.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, most: usize) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "the line goes on beyond {most} characters; what the control makes of it is not known"
        ))
        .acting("ends beyond")
        .help("write the block on several lines")
        .done()
}
