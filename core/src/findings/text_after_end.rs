use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "text-after-end",
    severity: Severity::Warning,
    explanation: "Blocks stand behind the end of the program (M2, M30), and nothing jumps to them: they are \
                  never run. A program that was put together from two, or an end in the wrong place, looks \
                  like this.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("blocks behind the end of the program are never run")
        .acting("never run")
        .help("take these blocks out, or move the end behind them")
        .done()
}
