use super::collision;
use super::{Context, Finding, Kind};
use crate::checks::contact::Collision;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "shank-into-workholding",
    severity: Severity::Fault,
    explanation: "The shank or neck above the flutes runs into something that holds the part. Use a longer tool or more \
                  stick-out, or keep the path away from the piece.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, hit: &Collision, solid: &str) -> Finding {
    collision::finding(KIND, "shank", ctx, setup, hit, solid)
}
