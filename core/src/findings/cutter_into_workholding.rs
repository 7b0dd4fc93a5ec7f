use super::collision;
use super::{Context, Finding, Kind};
use crate::checks::contact::Collision;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "cutter-into-workholding",
    severity: Severity::Fault,
    explanation: "The cutting part of a tool runs into something that holds the part: a jaw, a parallel, a clamp or a stop. \
                  It ruins the tool and the workholding and may throw the part. Set the path higher, hold the part \
                  lower or elsewhere, or end a drill above the parallels.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, hit: &Collision, solid: &str) -> Finding {
    collision::finding(KIND, "cutter", ctx, setup, hit, solid)
}
