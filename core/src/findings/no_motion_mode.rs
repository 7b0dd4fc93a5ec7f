use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "no-motion-mode",
    severity: Severity::Unproven,
    explanation: "A block has axis words, but no motion code is active: none was written yet, or G80 \
                  cancelled the last. Controls differ on what they do then, so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("axis words without a motion code: the control may move at rapid, at feed, or not at all")
        .acting("no G0, G1, G2 or G3 is active")
        .help("write the motion code in this block")
        .done()
}
