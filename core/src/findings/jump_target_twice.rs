use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "jump-target-twice",
    severity: Severity::Unproven,
    explanation: "A jump goes to a block number that two blocks have. Some controls look forward first, some \
                  from the beginning: where the program goes on is not known.",
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
        .message(format!("two blocks have the number N{number}; where the program goes on is not known"))
        .acting("jumps there")
        .help("number the blocks anew, each once")
        .also(first, "the first")
        .also(second, "the second")
        .done()
}
