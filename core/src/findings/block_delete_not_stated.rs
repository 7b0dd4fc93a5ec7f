use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "block-delete-not-stated",
    severity: Severity::Unproven,
    explanation: "A block begins with a slash, so a switch at the machine decides whether it runs, and the \
                  machine file does not say how the switch stands. The proof takes the block as run; with \
                  the switch on, the job is another one.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("this block runs or not by the block delete switch, and its position is not stated")
        .acting("taken as run")
        .help("say in the machine file how the switch stands: control, block_delete")
        .done()
}
