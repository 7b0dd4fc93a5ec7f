use super::{Context, Finding, Kind};
use crate::job::Dimension;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "size-missing",
    severity: Severity::Fault,
    explanation: "There is nothing to measure where the drawing has this size: no material, or no air between two \
                  walls.",
};

pub(super) fn finding(ctx: &Context<'_>, dimension: &Dimension) -> Finding {
    ctx.at_job(KIND, &dimension.place)
        .message(format!("nothing is there to measure {} on", dimension.id))
        .acting("not there on the finished part")
        .help("look for the feature that this size belongs to")
        .done()
}
