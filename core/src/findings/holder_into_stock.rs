use super::from_cutting::Group;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "holder-into-stock",
    severity: Severity::Fault,
    explanation: "The tool holder meets stock that is still there. Use more stick-out or a slimmer holder, or make room first.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, group: &Group<'_>) -> Finding {
    let c = group.first;
    let builder = ctx
        .at_move(KIND, setup, c.move_index)
        .message(format!("holder goes {} into stock", ctx.length(c.depth)))
        .acting("holder meets stock here")
        .at(c.at)
        .amount(c.depth)
        .note(group.tip(ctx, setup))
        .help("use more stick-out or a slimmer holder, or clear the stock above first");
    group.more(builder, ctx, setup).done()
}
