use super::{Context, Finding, Kind, words};
use crate::motion::UnsafeStart;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "no-safe-start",
    severity: Severity::Note,
    explanation: "The program moves before it has said what its motion depends on: plane (G17), compensation and \
                  length offset off (G40, G49), cycle off (G80), absolute or incremental (G90, G91). What an earlier \
                  program or a hand entry left on is then still on. A safe line at the head says all of it.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, start: &UnsafeStart) -> Finding {
    let codes: Vec<String> = start.missing.iter().map(|c| (*c).to_owned()).collect();
    ctx.at_place(KIND, setup, start.place)
        .message(format!("program moves before it says {}", words::list(&codes, 5)))
        .acting("first motion")
        .help("begin with a safe line such as G17 G40 G49 G80 G90")
        .done()
}
