use super::from_cutting::Group;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "shank-into-stock",
    severity: Severity::Fault,
    explanation: "The shank or neck above the flutes meets stock that is still there. It does not cut: it rubs, burns and bends \
                  the tool. Use longer flutes or a relieved neck, or make room first.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, group: &Group<'_>) -> Finding {
    let c = group.first;
    let builder = ctx
        .at_move(KIND, setup, c.move_index)
        .message(format!("shank goes {} into stock", ctx.length(c.depth)))
        .acting("shank meets stock here")
        .at(c.at)
        .amount(c.depth)
        .note(group.tip(ctx, setup))
        .help("use longer flutes or a slimmer shank, or clear the wall above first");
    group.more(builder, ctx, setup).done()
}
