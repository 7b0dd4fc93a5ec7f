use super::{Context, Finding, Kind, words};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "too-many-tools",
    severity: Severity::Fault,
    explanation: "The programs of all setups together call more tools than the changer has pockets, so the job cannot run \
                  through without someone exchanging tools. Free pocket numbers, if there are any, are told.",
};

/// The tool that is one too many, all tools called, and the changer.
pub(super) struct Full<'a> {
    pub(super) tool: u32,
    pub(super) called: &'a [u32],
    pub(super) pockets: u32,
    pub(super) free: &'a [u32],
}

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, full: &Full<'_>) -> Finding {
    let numbers: Vec<String> = full.called.iter().map(|t| format!("T{t}")).collect();
    ctx.at_place(KIND, setup, place)
        .tool(full.tool)
        .message(format!(
            "the job calls {} and the changer has {}",
            words::count(full.called.len(), "tool", "tools"),
            words::count(usize::try_from(full.pockets).unwrap_or(usize::MAX), "pocket", "pockets")
        ))
        .acting(format!("T{} is one too many", full.tool))
        .number(f64::from(u32::try_from(full.called.len()).unwrap_or(u32::MAX)))
        .note(format!("called: {}", words::list(&numbers, 40)))
        .note(free_pockets(full.free))
        .help("do without one, or plan a stop to exchange tools")
        .done()
}

/// `no pocket is free`, `free pockets: 3 and 8`.
pub(super) fn free_pockets(free: &[u32]) -> String {
    if free.is_empty() {
        return "no pocket is free".to_owned();
    }
    let free: Vec<String> = free.iter().map(u32::to_string).collect();
    format!("free pockets: {}", words::list(&free, 40))
}
