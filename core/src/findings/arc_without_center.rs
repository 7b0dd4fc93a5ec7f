use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "arc-without-center",
    severity: Severity::Fault,
    explanation: "G2 or G3 without a centre (I, J, K) and without a radius (R), or with the centre at the \
                  start.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("arc has neither center nor radius")
        .acting("center missing")
        .help("give the center with I, J or K of the plane, or the radius with R")
        .done()
}
