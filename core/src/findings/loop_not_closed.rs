use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "loop-not-closed",
    severity: Severity::Fault,
    explanation: "A WHILE or DO has no END of its number, an END has no DO, or two loops cross. The control \
                  stops with an alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("this loop has no other end of its own number")
        .acting("not closed")
        .help("write DO and END in pairs of one number, one pair whole inside the other")
        .done()
}
