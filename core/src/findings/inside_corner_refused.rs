use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "inside-corner-refused",
    severity: Severity::Fault,
    explanation: "The contour turns inwards under cutter compensation, and the control takes no inside \
                  corner there: it is one that refuses them (`control.inside_corner` of the machine file), \
                  or the corner is where the lead-in meets the contour.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, first: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("contour turns inwards here, which the control refuses under cutter compensation")
        .acting("turns inwards")
        .help("round the corner with an arc larger than the tool, or lead in from another side")
        .also(first, "the move before")
        .done()
}
