use super::{Context, Finding, Kind};
use crate::checks::contact::Approach;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "near-workholding",
    severity: Severity::Warning,
    explanation: "A tool passes something that holds the part without touching it, but more closely than the job's \
                  clearance. A stop set a little off, a burr under the part or a tool length entered a little wrong \
                  turns this into a crash. Jog to the position given and look, or make more room.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, a: &Approach, solid: &str) -> Finding {
    let what = super::role_word(a.role);
    let offset = ctx.move_at(setup, a.move_index).map(|m| m.offset);
    let tip = ctx.position(setup, offset, &a.tip);
    ctx.at_move(KIND, setup, a.move_index)
        .message(format!("{what} passes {solid} at {}", ctx.length(a.gap)))
        .acting(format!("only {} from {solid}", ctx.length(a.gap)))
        .at(a.at)
        .amount(a.gap)
        .note(format!("the job asks for {}", ctx.length(ctx.job.clearance)))
        .help(format!("jog to {tip} and look, or make more room"))
        .done()
}
