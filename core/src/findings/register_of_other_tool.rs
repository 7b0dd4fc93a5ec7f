use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "register-of-other-tool",
    severity: Severity::Fault,
    explanation: "The program calls up a length (H) or radius (D) register that belongs to another tool, or to none. The \
                  tip is then off by the difference of the two lengths: too deep into the part, the vise or the table, \
                  or cutting air.",
};

/// What was called up: H or D, the register, the tool in the spindle, its own register, and whose the register is.
pub(super) struct Called {
    pub(super) letter: char,
    pub(super) register: u32,
    pub(super) tool: u32,
    pub(super) own: u32,
    pub(super) owner: Option<u32>,
}

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, c: &Called) -> Finding {
    let Called { letter, register, tool, own, owner } = *c;
    let what = if letter == 'H' { "length" } else { "radius" };
    let whose = match owner {
        Some(other) => format!("belongs to {}", ctx.tool_name(other)),
        None => "belongs to no tool of the table".to_owned(),
    };
    ctx.at_place(KIND, setup, place)
        .tool(tool)
        .message(format!("{what} register {letter}{register} {whose}; T{tool} has {letter}{own}"))
        .acting(format!("T{tool} is in the spindle"))
        .help(format!("write {letter}{own}, or say in the tool table that T{tool} uses {letter}{register}"))
        .done()
}
