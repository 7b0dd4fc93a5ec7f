use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "end-missing",
    severity: Severity::Unproven,
    explanation: "The program ends without M2, M30 or a closing `%`. A file that was cut off on its way looks just so: \
                  what was to come after its last block is not known, so the job is not proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("program ends without M2, M30 or a closing `%`: it may be cut off")
        .acting("last block")
        .help("compare the file with the one that was posted; end a whole program with M30")
        .done()
}
