use super::{Context, Finding, Kind};
use crate::cutter::Hand;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "spindle-wrong-way",
    severity: Severity::Fault,
    explanation: "The spindle turns against the hand of the tool: right-hand tools cut clockwise (M3), left-hand tools \
                  counter-clockwise (M4). The tool rubs and breaks; a tap does not enter or tears its thread.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    (first, moves): (usize, usize),
    hand: Hand,
    tapping: bool,
) -> Finding {
    let (hand, way, code) = match hand {
        Hand::Right => ("right", "counter-clockwise", "M3"),
        Hand::Left => ("left", "clockwise", "M4"),
    };
    let tool = if tapping { "tap" } else { "tool" };
    let builder = ctx
        .at_move(KIND, setup, first)
        .message(format!("{hand}-hand {tool} is fed with the spindle turning {way}"))
        .acting(format!("spindle turns {way}"))
        .help(if tapping {
            format!("a {hand}-hand tap goes in with {code}: use the cycle for its hand")
        } else {
            format!("a {hand}-hand tool cuts with {code}")
        });
    if moves > 1 { builder.note(format!("{moves} moves of this tool are so")).done() } else { builder.done() }
}
