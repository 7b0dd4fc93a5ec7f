use super::collision;
use super::{Context, Finding, Kind};
use crate::checks::contact::Collision;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "holder-into-workholding",
    severity: Severity::Fault,
    explanation: "The tool holder runs into something that holds the part. Use more stick-out or a slimmer holder, hold the \
                  part higher, or keep the path away from the piece.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, hit: &Collision, solid: &str) -> Finding {
    collision::finding(KIND, "holder", ctx, setup, hit, solid)
}
