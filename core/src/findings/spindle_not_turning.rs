use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "spindle-not-turning",
    severity: Severity::Fault,
    explanation: "A tool moves at feed while the spindle stands, or turns at no speed. In material it breaks. Every tool \
                  change stops the spindle: it needs S and M3 (or M4) after the change.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    (first, moves): (usize, usize),
    cutting: Option<usize>,
    no_speed: bool,
) -> Finding {
    let state = if no_speed { "turning at no speed" } else { "stopped" };
    let builder = ctx
        .at_move(KIND, setup, first)
        .message(match cutting {
            Some(_) => format!("tool is fed into material with the spindle {state}"),
            None => format!("tool is fed with the spindle {state}"),
        })
        .acting(format!("spindle {state}"))
        .help(if no_speed {
            "give a speed with S before this block"
        } else {
            "start the spindle before this block"
        });
    let builder = match cutting.and_then(|c| ctx.move_at(setup, c)) {
        Some(m) => builder.note(format!("first material in line {}", m.place.line)),
        None => builder.note("it meets no material"),
    };
    if moves > 1 { builder.note(format!("{moves} moves of this tool are so")).done() } else { builder.done() }
}
