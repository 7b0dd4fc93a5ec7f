use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "repeated-word",
    severity: Severity::Fault,
    explanation: "A letter stands twice in one block. Controls stop with an alarm or take the last one.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, first: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` stands in a block that has this letter already"))
        .acting("second time")
        .help("put one of the two in a block of its own, or take it out")
        .also(first, "first time")
        .done()
}
