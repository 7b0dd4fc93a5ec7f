use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "holder-not-given",
    severity: Severity::Note,
    explanation: "The tool table says nothing of a tool's holder. The tool was looked at up to its stick-out, and nothing \
                  above: whether the holder meets part or workholding is not known. Measure the holder and add its \
                  sections to the table.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, tool: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .tool(tool)
        .message(format!(
            "{} has no holder in the tool table: nothing above its stick-out was looked at",
            ctx.tool_name(tool)
        ))
        .acting("its holder is not known")
        .help("add the sections of its holder to the tool table")
        .done()
}
