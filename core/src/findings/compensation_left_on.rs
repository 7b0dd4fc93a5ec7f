use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-left-on",
    severity: Severity::Fault,
    explanation: "Cutter compensation (G41, G42) is still on when the tool is changed or the program ends. \
                  The next move is made with the old radius beside the path: it cuts where nothing is \
                  programmed. Controls stop with an alarm at some of these places, not at all of them.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, set: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("cutter compensation is still on here")
        .acting("still on")
        .help("leave the contour with G40 on a straight move before this block")
        .also(set, "turned on here")
        .done()
}
