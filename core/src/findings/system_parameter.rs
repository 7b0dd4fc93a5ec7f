use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "system-parameter",
    severity: Severity::Unproven,
    explanation: "The program sets a parameter that the control uses itself, for offsets or positions. \
                  What that does is not modelled, so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, number: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "setting parameter #{number} changes the control itself; nothing after it is proved"
        ))
        .acting("used by the control")
        .help("set work offsets at the machine and list their zeros in the job")
        .done()
}
