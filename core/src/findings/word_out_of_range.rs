use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "word-out-of-range",
    severity: Severity::Fault,
    explanation: "The number of a word is one that its letter cannot have: a negative speed or dwell, a \
                  register or a count of repeats that is not a whole number, a peck of nothing, a length \
                  longer than any machine.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` is no number for this letter"))
        .acting("out of range")
        .help("write the number again as it is meant")
        .done()
}
