use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "jump-target-missing",
    severity: Severity::Fault,
    explanation: "A jump goes to a block number that the program does not have. The control stops with an \
                  alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, number: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("no block of this program has the number N{number}"))
        .acting("jumps there")
        .help("check the number, or write it before the block that is meant")
        .done()
}
