use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "calls-itself",
    severity: Severity::Fault,
    explanation: "A subprogram calls itself, directly or by way of others. Such calls never come back; the \
                  control stops with an alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, first: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("this call leads back into a subprogram that is still running")
        .acting("calls it again")
        .help("check the number after P")
        .also(first, "first called here")
        .done()
}
