use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "shift-left-on",
    severity: Severity::Warning,
    explanation: "The program ends with a shift by G92 still on. On most controls it stays, and moves every \
                  work offset of the next program, or of this one when it is run again.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, set: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("program ends with a shift of all work offsets by G92 still on")
        .acting("ends here")
        .help("cancel the shift before the end, with G92.1 where the control has it")
        .also(set, "shifted here")
        .done()
}
