use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "calls-too-deep",
    severity: Severity::Fault,
    explanation: "Subprograms call one another more deeply than the control allows \
                  (`control.subprogram_depth` of the machine file, 4 without it). It stops with an alarm in \
                  the middle of the work.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, most: usize) -> Finding {
    ctx
        .at_place(KIND, setup, place)
        .message(format!("subprograms call one another more than {most} deep"))
        .acting("one call too many")
        .help("write the innermost subprogram in place, or set control.subprogram_depth as the control's manual says")
        .done()
}
