use super::{Context, Finding, Kind, maker};
use crate::inspect::BreakResult;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "edge-break-undecided",
    severity: Severity::Unproven,
    explanation: "It cannot be said whether this edge is broken as the drawing asks: a limit lies within the \
                  error of the measurement, or the surfaces beside the edge are not where the drawing has them. \
                  It does not count as passed.",
};

pub(super) fn finding(ctx: &Context<'_>, feature: usize, edge: &BreakResult) -> Finding {
    let name = maker::edge_name(ctx, feature, edge.end);
    let message = match edge.leg {
        Some((least, greatest)) => format!(
            "break of {name} has legs from {} to {}: too near to a limit to judge",
            ctx.length(least.value),
            ctx.length(greatest.value)
        ),
        None => format!("break of {name} cannot be measured"),
    };
    let builder = ctx
        .at_job(KIND, maker::place(ctx, feature))
        .message(message)
        .acting("not decided")
        .help("look at this edge yourself");
    match edge.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}
