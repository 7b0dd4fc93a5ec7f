use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "too-many-moves",
    severity: Severity::Unproven,
    explanation: "The program makes more moves than any milling program needs: a peck or a count of \
                  repeats is probably wrong. The run stops there and nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("more moves than any milling program needs; nothing after it is proved")
        .acting("the run stops here")
        .help("check the pecks (Q) and repeats (L or K) of this block")
        .done()
}
