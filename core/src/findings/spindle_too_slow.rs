use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "spindle-too-slow",
    severity: Severity::Warning,
    explanation: "The program asks for less speed than the spindle can hold. Controls either stop with an alarm or turn at \
                  their lowest speed.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, first: usize, rpm: f64, limit: f64) -> Finding {
    ctx.at_move(KIND, setup, first)
        .message(format!(
            "spindle is asked for {rpm:.0} rev/min; this machine turns no slower than {limit:.0}"
        ))
        .acting(format!("at {rpm:.0} rev/min"))
        .number(rpm)
        .help("raise S, or use a smaller tool")
        .done()
}
