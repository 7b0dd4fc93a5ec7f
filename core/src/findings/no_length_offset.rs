use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "no-length-offset",
    severity: Severity::Fault,
    explanation: "A tool leaves home height while no length offset is active, so the control does not know where the tip \
                  is: the tool goes down by its own length too far. Each tool needs G43 with its H register after the \
                  change, before the first Z move.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, first: usize, cancelled: Option<Place>) -> Finding {
    let tool = ctx.move_at(setup, first).and_then(|m| m.tool);
    let own = tool.and_then(|t| ctx.job.tool(t)).map(|t| t.length_offset);
    let builder = ctx
        .at_move(KIND, setup, first)
        .message("tool moves below home height with no length offset active")
        .acting("no G43 is active here")
        .help(match own {
            Some(h) => format!("call up its register, G43 H{h}, before the first move in Z"),
            None => "call up its length register with G43 before the first move in Z".to_owned(),
        });
    match cancelled {
        Some(place) => builder.also(place, "the last word about it").done(),
        None => builder.done(),
    }
}
