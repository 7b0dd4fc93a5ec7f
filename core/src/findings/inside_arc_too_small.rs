use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "inside-arc-too-small",
    severity: Severity::Fault,
    explanation: "An arc of the contour is followed on its inside, and its radius is not larger than the \
                  radius that is compensated: the tool does not fit into it. Controls stop with an alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, radius: f64, tool: f64) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "inside arc of radius {} is too small for the compensated radius of {}",
            ctx.length(radius),
            ctx.length(tool)
        ))
        .acting("the tool does not fit")
        .help("take a smaller tool, or check the radius register")
        .done()
}
