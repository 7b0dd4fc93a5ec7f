use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-entry-too-short",
    severity: Severity::Fault,
    explanation: "The straight move that turns cutter compensation on is shorter than the radius that is \
                  compensated. The tool swings aside instead of along, controls stop with an alarm or cut \
                  into the part.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, length: f64, radius: f64) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "lead-in of {} is shorter than the compensated radius of {}",
            ctx.length(length),
            ctx.length(radius)
        ))
        .acting("too short")
        .help("begin the lead-in farther from the contour")
        .done()
}
