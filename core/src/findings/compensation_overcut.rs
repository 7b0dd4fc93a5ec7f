use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-overcut",
    severity: Severity::Fault,
    explanation: "Under cutter compensation the tool does not fit between two moves of the contour: a step, \
                  slot, neck or corner is narrower than the tool. A control sees a few moves ahead and stops with \
                  an alarm there, or cuts into the part; farther apart it sees nothing and cuts.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: Place,
    other: Place,
    radius: f64,
    depth: Option<f64>,
) -> Finding {
    let builder = ctx.at_place(KIND, setup, place).help("take a smaller tool, or open the contour here");
    let tool = format!("a tool of compensated radius {}", ctx.length(radius));
    match depth {
        None => builder
            .message(format!("{tool} does not fit between this move and the one before"))
            .acting("does not fit")
            .also(other, "the move before")
            .done(),
        Some(depth) => builder
            .message(format!("{tool} cuts {} into another part of the contour", ctx.length(depth)))
            .acting("along here")
            .also(other, "into the contour of this move")
            .amount(depth)
            .done(),
    }
}
