use super::{Context, Finding, Kind, maker};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "feature-missing",
    severity: Severity::Fault,
    explanation: "A feature of the drawing was not made at all, or not at its place.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize) -> Finding {
    ctx.at_job(KIND, maker::place(ctx, index))
        .message(format!("{} is missing", maker::name(ctx, index)))
        .acting("not on the finished part at this place")
        .help("look for the operation that should make it, and for its place")
        .done()
}
