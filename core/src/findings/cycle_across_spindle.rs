use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "cycle-across-spindle",
    severity: Severity::Unproven,
    explanation: "A canned cycle in another plane than XY (G17) drills along X or Y. The spindle of this \
                  machine points along Z: it is not modelled, and nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("canned cycle across the spindle: G17 is not active")
        .acting("drills along X or Y")
        .help("write G17 before the cycle")
        .done()
}
