use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;
use crate::units::Unit;

pub(super) const KIND: Kind = Kind {
    name: "units-unlike-job",
    severity: Severity::Warning,
    explanation: "The program is written in another unit than the job and the machine file. That is \
                  possible, but a program that was posted for the other unit looks just so, and is wrong by \
                  a factor of 25.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, unit: Unit) -> Finding {
    let name = match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    };
    ctx.at_place(KIND, setup, place)
        .message(format!("program is in {name}, the job and the machine are not"))
        .acting("the other unit")
        .help("check the unit that the post was set to")
        .done()
}
