use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "read-two-ways",
    severity: Severity::Unproven,
    explanation: "Controls read this block in different ways: a cycle keeps R or Z over a change between \
                  G90 and G91, counts R under G91 from another height than the one where the cycles began, \
                  or G53 stands under G91. Which way the machine takes is not known, so nothing after it \
                  is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("controls read this block in different ways; nothing after it is proved")
        .acting("G90 or G91 matters here")
        .help("give R and Z again in this block, under G90")
        .done()
}
