use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "no-value",
    severity: Severity::Fault,
    explanation: "An expression has no result (a division by zero, the root of a negative number), or \
                  names a parameter that does not exist. The control stops with an alarm.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` has no value"))
        .acting("no result")
        .help("check the numbers and parameters in the expression")
        .done()
}
