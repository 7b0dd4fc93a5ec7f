use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "unused-word",
    severity: Severity::Unproven,
    explanation: "A word stands in a block in which nothing makes use of it. A control may stop with an \
                  alarm, leave the word out, or do something that is not modelled (an R beside G1 rounds \
                  the corner on some), so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("nothing in this block makes use of `{word}`; nothing after it is proved"))
        .acting("not used")
        .help("take the word out, or write the code that it belongs to")
        .done()
}
