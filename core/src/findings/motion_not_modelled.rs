use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "motion-not-modelled",
    severity: Severity::Unproven,
    explanation: "The program asks for a motion that is understood but not modelled: the step aside of a \
                  standing boring bar, the way out by hand after G88, a rotation in another plane than XY. \
                  What the tool does there is not known.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, what: &'static str) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("not modelled: {what}"))
        .acting("not modelled")
        .help("look at this place at the machine, or write it with plain moves")
        .done()
}
