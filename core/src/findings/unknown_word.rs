use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "unknown-word",
    severity: Severity::Unproven,
    explanation: "The program holds a word or a code that is not understood. What the machine does with it \
                  is not known, so nothing after it is proved. Some M codes belong to the builder of one \
                  machine and do nothing, or something else, on another.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` is not understood; nothing after it is proved"))
        .acting("not understood")
        .help("check this word in the control's manual; if the machine does not need it, take it out")
        .done()
}
