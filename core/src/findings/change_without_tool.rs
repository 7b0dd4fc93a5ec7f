use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "change-without-tool",
    severity: Severity::Fault,
    explanation: "M6 before any T: which tool goes into the spindle is not known, so nothing after it is \
                  proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("tool change before any tool is named")
        .acting("no T so far")
        .help("write T before M6 or beside it")
        .done()
}
