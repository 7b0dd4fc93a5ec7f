use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "no-tool-called",
    severity: Severity::Unproven,
    explanation: "The program moves down or feeds before it has called a tool. What hangs in the spindle then is not known, \
                  so nothing is proved of these moves.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, first: usize) -> Finding {
    ctx.at_move(KIND, setup, first)
        .message("program moves below home height before any tool is called")
        .acting("no tool is known here")
        .help("call the tool with T and M6 before this block")
        .done()
}
