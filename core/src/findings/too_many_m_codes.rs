use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "too-many-m-codes",
    severity: Severity::Fault,
    explanation: "A block holds more M codes than the control takes (`control.m_codes_per_block` of the \
                  machine file, 4 without it). Controls stop with an alarm, or do only the last of them: a \
                  spindle or a coolant that was to start may not.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, most: usize) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("block has more than {most} M codes, which is what the control takes"))
        .acting("too many M codes")
        .help("write them in blocks of their own")
        .done()
}
