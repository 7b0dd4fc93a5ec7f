use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "length-offset-of-before",
    severity: Severity::Fault,
    explanation: "After a tool change the tool goes down without a length offset of its own: the one of the \
                  tool before is still active. The tip is wrong by the difference of the two lengths.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, register: u32, set: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("tool goes down with H{register}, the length offset that the tool before it used"))
        .acting("H is still the old one")
        .help("call up the tool's own register with G43 after the change, before the first move in Z")
        .also(set, "taken up here, for the tool before")
        .done()
}
