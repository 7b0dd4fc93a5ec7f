use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-overcut",
    severity: Severity::Fault,
    explanation: "Under cutter compensation the tool does not fit between two moves of the contour: a step, \
                  slot or corner is narrower than the tool. A control that does not stop with an alarm cuts \
                  into the part there.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, first: Place, radius: f64) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "a tool of compensated radius {} does not fit between this move and the one before",
            ctx.length(radius)
        ))
        .acting("does not fit")
        .help("take a smaller tool, or open the contour here")
        .also(first, "the move before")
        .done()
}
