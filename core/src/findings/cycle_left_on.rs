use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "cycle-left-on",
    severity: Severity::Warning,
    explanation: "A canned cycle is still on when the tool is changed or the program ends. The next block \
                  with X or Y drills there, with whatever tool is in the spindle, unless a G80 or another \
                  motion code comes first.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, set: Option<Place>) -> Finding {
    let builder = ctx
        .at_place(KIND, setup, place)
        .message("canned cycle is still on here")
        .acting("still on")
        .help("end the cycle with G80 before this block");
    match set {
        Some(mode) => builder.also(mode, "called here").done(),
        None => builder.done(),
    }
}
