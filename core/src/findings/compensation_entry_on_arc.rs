use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-entry-on-arc",
    severity: Severity::Fault,
    explanation: "Cutter compensation is turned on or off by an arc. Shop controls stop with an alarm: it \
                  must be done on a straight move beside the part. NISTIR 6556 (B.6) lets a control build such a \
                  lead-in from an arc of its own; as few do, and as each builds another, it is a fault here too. \
                  A lead-in on an arc is written as a straight move that turns compensation on, then the arc.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("cutter compensation is turned on or off by an arc")
        .acting("an arc")
        .help("lead in and out on straight moves longer than the tool's radius")
        .done()
}
