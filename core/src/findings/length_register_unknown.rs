use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "length-register-unknown",
    severity: Severity::Unproven,
    explanation: "G44 takes a length register off where G43 adds it. Which way the tool goes depends on the sign \
                  of what is entered, so the job must tell it: the register under `registers`, and the \
                  `gauge_length` of the tool.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, register: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "G44 takes length register {register} off, and what it holds is not told; nothing after it is proved"
        ))
        .acting("taken off")
        .help("give the register under registers of the job and the tool's gauge_length, or use G43")
        .done()
}
