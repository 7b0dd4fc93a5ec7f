use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "shift-left-on",
    severity: Severity::Warning,
    explanation: "The program ends with a shift (G92), a rotation, scaling or mirror (G68, G51, G51.1), polar \
                  coordinates (G16) or a modal macro (G66) still on. On some controls it stays, and changes what \
                  the next program does, or this one when it is run again.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, set: Place) -> Finding {
    let word = super::word_at(ctx, setup, set);
    ctx.at_place(KIND, setup, place)
        .message(format!("program ends with `{word}` still on"))
        .acting("ends here")
        .help("cancel it before the end: G92.1 where the control has it, G69, G50, G50.1, G15 or G67")
        .also(set, "turned on here")
        .done()
}
