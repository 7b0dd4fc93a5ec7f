use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "subprogram-twice",
    severity: Severity::Unproven,
    explanation: "Two subprograms have the number that is called. Which of them the control holds, or takes, \
                  is not known.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: Place,
    number: u32,
    first: Place,
    second: Place,
) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("two subprograms have the number {number}; which one is run is not known"))
        .acting("called here")
        .help("give one of them another number")
        .also(first, "the first")
        .also(second, "the second")
        .done()
}
