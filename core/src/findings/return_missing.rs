use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "return-missing",
    severity: Severity::Unproven,
    explanation: "A subprogram ends without M99. Controls go on in different ways, or stop; and a file that \
                  was cut off on its way looks just so.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("subprogram ends without M99: what runs next is not known")
        .acting("last block")
        .help("end the subprogram with M99")
        .done()
}
