use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "tool-not-in-table",
    severity: Severity::Fault,
    explanation: "The program calls a tool that the tool table does not list, so it cannot be known what \
                  it cuts or hits.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, tool: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("T{tool} is not in the tool table"))
        .acting("not listed")
        .help("list the tool, or call the one that is meant")
        .tool(tool)
        .done()
}
