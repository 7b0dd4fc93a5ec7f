use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "arc-radius-mismatch",
    severity: Severity::Fault,
    explanation: "The start and the end of an arc lie at different distances from its centre, by more than \
                  the control lets pass. The control stops with an alarm, or cuts a shape that nobody \
                  drew.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: Place,
    at_start: f64,
    at_end: f64,
    tolerance: f64,
) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "arc begins {} and ends {} from its center",
            ctx.length(at_start),
            ctx.length(at_end)
        ))
        .acting("radii differ")
        .help("check the end point and I, J, K of this block, and the position before it")
        .note(format!("the control lets {} pass", ctx.length(tolerance)))
        .amount((at_start - at_end).abs())
        .done()
}
