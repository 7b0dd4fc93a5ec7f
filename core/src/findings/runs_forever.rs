use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "runs-forever",
    severity: Severity::Fault,
    explanation: "The program never ends: it jumps back, or begins again, and nothing changes that could end \
                  that. At the machine it would run until it is stopped by hand.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("program runs for ever: nothing ends this repetition")
        .acting("taken again and again")
        .help("check the condition and what counts up to it; a program ends with M30, a subprogram with M99")
        .done()
}
