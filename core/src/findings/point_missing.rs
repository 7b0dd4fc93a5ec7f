use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "point-missing",
    severity: Severity::Warning,
    explanation: "A length or a dwell is written without a decimal point, and the machine file does not say what such \
                  numbers mean (`control.number_without_point`). Some controls read X1 as one unit, some as \
                  the smallest increment, a thousandth of a millimetre or a ten-thousandth of an inch; a dwell \
                  (`control.dwell_without_point`) counts seconds or milliseconds.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` has no decimal point; controls read such a number in two ways"))
        .acting("no point")
        .help("write the point, or say in the machine file how the control reads such numbers")
        .done()
}
