use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-entry-on-arc",
    severity: Severity::Fault,
    explanation: "Cutter compensation is turned on or off by an arc. Shop controls stop with an alarm: it \
                  must be done on a straight move beside the part. NISTIR 6556 (B.6) follows such an arc; for a \
                  control that does, `compensation_on_arc` in the machine's control is `followed`, and the finding is \
                  about an arc that the tool does not touch where it stands. A lead-in on an arc is written as a \
                  straight move that turns compensation on, then the arc.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, gap: Option<f64>) -> Finding {
    let at = ctx.at_place(KIND, setup, place);
    match gap {
        None => at
            .message("cutter compensation is turned on or off by an arc")
            .acting("an arc")
            .help("lead in and out on straight moves longer than the tool's radius")
            .done(),
        Some(gap) => at
            .message(format!(
                "the arc that turns cutter compensation on passes the tool's edge by {}",
                ctx.length(gap)
            ))
            .acting("does not touch the tool")
            .help("lead in on a straight move, or begin with the tool's edge on the circle about the arc's center")
            .amount(gap)
            .done(),
    }
}
