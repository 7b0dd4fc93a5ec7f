use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "probe-result-unknown",
    severity: Severity::Unproven,
    explanation: "A probing move (G38.2, G31) stops where the probe trips. Where that is, is known at the \
                  machine only, so neither the place of the tool nor what the program does with the result \
                  is known from there on.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("where this probing move stops is not known; nothing after it is proved")
        .acting("stops when the probe trips")
        .help("prove the part of the program behind the probing by itself")
        .done()
}
