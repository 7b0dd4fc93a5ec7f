use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;
use crate::units::Unit;

pub(super) const KIND: Kind = Kind {
    name: "units-not-stated",
    severity: Severity::Warning,
    explanation: "The program has lengths before G20 or G21. The control takes the unit in which it was \
                  left; the proof takes the machine file's.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let unit = match ctx.job.machine.unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    };
    ctx.at_place(KIND, setup, place)
        .message(format!("the program says neither G20 nor G21 before this block; taken as {unit}"))
        .acting("in which unit?")
        .help("write G20 or G21 at the head of the program")
        .done()
}
