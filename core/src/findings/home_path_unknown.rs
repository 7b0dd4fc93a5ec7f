use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "home-path-unknown",
    severity: Severity::Unproven,
    explanation: "The tool is sent to a machine position that the job does not tell, by a way that may \
                  cross part or vise: X or Y goes home while Z is down, or Z goes to a machine height \
                  other than home. Nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("the way to this machine position is not known; nothing after it is proved")
        .acting("goes where the job does not say")
        .help("send Z home first, or give machine_zeros in the job")
        .done()
}
