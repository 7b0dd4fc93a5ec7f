use super::twice::Twice;
use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "subprogram-twice",
    severity: Severity::Unproven,
    explanation: "Two subprograms have the number that is called. Which of them the control holds, or takes, \
                  is not known.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, number: u32, twice: Twice) -> Finding {
    let message = format!("two subprograms have the number {number}; which one is run is not known");
    twice.finding(ctx, KIND, setup, message, ("called here", "give one of them another number"))
}
