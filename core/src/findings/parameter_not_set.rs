use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "parameter-not-set",
    severity: Severity::Unproven,
    explanation: "The program reads a parameter that it has not set. Its value at the machine is not \
                  known, so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, number: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("parameter #{number} is read, but the program has not set it"))
        .acting("value not known")
        .help("set the parameter in the program before it is read")
        .done()
}
