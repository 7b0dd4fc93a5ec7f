use super::from_cutting::Group;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "plunge-not-center-cutting",
    severity: Severity::Fault,
    explanation: "A cutter that has no edges at its middle goes straight down into stock. The middle only rubs: the cutter is \
                  pushed off, overheats or breaks. Ramp or helix in, start from a hole, or use a cutter that cuts at its centre.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, group: &Group<'_>) -> Finding {
    let c = group.first;
    let builder = ctx
        .at_move(KIND, setup, c.move_index)
        .message(format!(
            "cutter that does not cut at its centre goes {} down into stock",
            ctx.length(c.depth)
        ))
        .acting("straight down here")
        .at(c.at)
        .amount(c.depth)
        .note(group.tip(ctx, setup))
        .help("ramp or helix in, start from a hole that is wide enough, or use a centre-cutting tool");
    group.more(builder, ctx, setup).done()
}
