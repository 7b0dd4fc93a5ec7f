use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "cycle-upside-down",
    severity: Severity::Fault,
    explanation: "The R plane of a canned cycle lies below its bottom. The control stops with an alarm, or \
                  goes at rapid to R and feeds upwards.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, retract: f64, bottom: f64) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("R plane lies {} below the bottom of the hole", ctx.length(bottom - retract)))
        .acting("R below Z")
        .help("check the signs of R and Z, and G90 or G91")
        .amount(bottom - retract)
        .done()
}
