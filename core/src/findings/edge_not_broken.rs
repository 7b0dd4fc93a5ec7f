use super::{Context, Finding, Kind, maker};
use crate::inspect::BreakResult;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "edge-not-broken",
    severity: Severity::Fault,
    explanation: "An edge that the drawing wants broken is still sharp, all along or at the place given. It cuts \
                  fingers and seals, and the part comes back from inspection.",
};

pub(super) fn finding(ctx: &Context<'_>, feature: usize, edge: &BreakResult) -> Finding {
    let name = maker::edge_name(ctx, feature, edge.end);
    let all = edge.leg.is_some_and(|(_, greatest)| greatest.value < 0.05 * edge.nominal);
    let builder = ctx
        .at_job(KIND, maker::place(ctx, feature))
        .message(if all {
            format!("{name} is not broken")
        } else {
            format!("{name} is not broken all along")
        })
        .acting(format!("asks for a break of {}", ctx.length(edge.nominal)))
        .help("add the pass that breaks it, or tell the drawing that it stays sharp");
    match edge.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}
