use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "full-circle-with-radius",
    severity: Severity::Fault,
    explanation: "An arc with R ends where it begins: its centre could lie anywhere. Controls stop with an \
                  alarm or do not move.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("a full circle cannot be given by its radius")
        .acting("ends where it begins")
        .help("give the center with I and J (or K) instead of R")
        .done()
}
