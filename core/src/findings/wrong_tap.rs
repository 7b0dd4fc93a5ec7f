use super::{Context, Finding, Kind, maker};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "wrong-tap",
    severity: Severity::Fault,
    explanation: "A tap went into this hole whose pitch or diameter is not that of the thread on the drawing.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize, setup: usize, move_index: usize) -> Finding {
    let thread = maker::feature(ctx, index).and_then(|f| f.thread.as_ref());
    let designation = thread.map_or("another thread", |t| t.designation.as_str());
    let tool = ctx.move_at(setup, move_index).and_then(|m| m.tool);
    let tap = tool.map_or_else(|| "this tap".to_owned(), |t| ctx.tool_name(t));
    ctx.at_move(KIND, setup, move_index)
        .also_in_job(maker::place(ctx, index), "what the drawing asks for")
        .message(format!("{tap} goes into {}, which asks for {designation}", maker::name(ctx, index)))
        .acting("tapped with another thread")
        .help("compare the tap in the tool table with the drawing")
        .done()
}
