use super::twice::Twice;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "jump-target-twice",
    severity: Severity::Unproven,
    explanation: "A jump goes to a block number that two blocks have. Some controls look forward first, some \
                  from the beginning: where the program goes on is not known.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, number: u32, twice: Twice) -> Finding {
    let message = format!("two blocks have the number N{number}; where the program goes on is not known");
    twice.finding(ctx, KIND, setup, message, ("jumps there", "number the blocks anew, each once"))
}
