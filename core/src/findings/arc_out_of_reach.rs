use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "arc-out-of-reach",
    severity: Severity::Fault,
    explanation: "The radius of an arc is less than half the distance between its ends, so no arc joins \
                  them. The control stops with an alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, radius: f64, least: f64) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "no arc of radius {} reaches: at least {} is needed",
            ctx.length(radius.abs()),
            ctx.length(least)
        ))
        .acting("too small")
        .help("check R, the end point, and the position before this block")
        .amount(least - radius.abs())
        .done()
}
