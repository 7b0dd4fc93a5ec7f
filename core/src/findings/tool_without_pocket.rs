use super::too_many_tools::free_pockets;
use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "tool-without-pocket",
    severity: Severity::Fault,
    explanation: "A tool number is higher than the last pocket of the carousel, where a tool's number is its pocket's. The \
                  change stops with an alarm. Give the tool the number of a free pocket.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: Place,
    tool: u32,
    (pockets, free): (u32, &[u32]),
) -> Finding {
    ctx.at_place(KIND, setup, place)
        .tool(tool)
        .message(format!("T{tool} has no pocket: the carousel has pockets 1 to {pockets}"))
        .acting("no such pocket")
        .note(free_pockets(free))
        .help("give the tool the number of a free pocket, in program, table and offsets")
        .done()
}
