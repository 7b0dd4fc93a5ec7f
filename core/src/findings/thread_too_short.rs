use super::{Context, Finding, Kind, maker};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "thread-too-short",
    severity: Severity::Fault,
    explanation: "Full thread does not reach as deep as the drawing asks. A tap's tip cuts no full thread: at \
                  least one and a half turns of its lead are counted off, the shortest lead that is made; a plug \
                  tap needs more.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    index: usize,
    (setup, move_index): (usize, usize),
    reached: f64,
    asked: f64,
) -> Finding {
    let name = maker::name(ctx, index);
    ctx.at_move(KIND, setup, move_index)
        .also_in_job(maker::place(ctx, index), "what the drawing asks for")
        .message(format!(
            "full thread of {name} reaches {} at most, the drawing asks for {}",
            ctx.length(reached.max(0.0)),
            ctx.length(asked)
        ))
        .acting("the tap goes no deeper")
        .amount(reached - asked)
        .help("tap deeper, if the drilled hole has room for the tap's lead")
        .done()
}
