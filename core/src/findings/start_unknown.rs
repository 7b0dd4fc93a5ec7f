use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "start-unknown",
    severity: Severity::Unproven,
    explanation: "A move begins at a position that is not known, or counts from one: at the head of a \
                  program the machine stands anywhere in X and Y, with Z at home. Nothing after it is \
                  proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("this move begins at a position that is not known; nothing after it is proved")
        .acting("from where?")
        .help("position X and Y with Z at home, and then Z, each once by absolute numbers (G90)")
        .done()
}
