use super::from_cutting::Group;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "rapid-into-stock",
    severity: Severity::Fault,
    explanation: "A rapid move goes through stock. The tool meets material at many times its feed and breaks, or moves the part. \
                  Usually a retract is missing, a Z has lost its sign or its point, or G0 is still active where G1 was meant.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, group: &Group<'_>) -> Finding {
    let c = group.first;
    let builder = ctx
        .at_move(KIND, setup, c.move_index)
        .message(format!("rapid move goes {} into stock", ctx.length(c.depth)))
        .acting("still at rapid here")
        .at(c.at)
        .amount(c.depth)
        .note(group.tip(ctx, setup))
        .help("go clear of the stock first, or make this move with G1 and a feed");
    group.more(builder, ctx, setup).done()
}
