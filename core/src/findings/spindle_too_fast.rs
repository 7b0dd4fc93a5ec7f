use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "spindle-too-fast",
    severity: Severity::Warning,
    explanation: "The program asks for more speed than the spindle has. Controls either stop with an alarm or turn at their \
                  highest speed with the feed as programmed, which loads each tooth more than was meant.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, first: usize, rpm: f64, limit: f64) -> Finding {
    ctx.at_move(KIND, setup, first)
        .message(format!("spindle is asked for {rpm:.0} rev/min; this machine has {limit:.0}"))
        .acting(format!("at {rpm:.0} rev/min"))
        .number(rpm)
        .help("lower S, and the feed with it so that each tooth cuts as much as before")
        .done()
}
