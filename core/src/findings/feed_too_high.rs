use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "feed-too-high",
    severity: Severity::Warning,
    explanation: "The program asks for more feed than the machine has. Often a decimal point is missing, or inches are read \
                  as millimetres.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, first: usize, feed: f64, limit: f64) -> Finding {
    ctx.at_move(KIND, setup, first)
        .message(format!("feed of {} a minute; this machine has {}", ctx.length(feed), ctx.length(limit)))
        .acting("faster than the machine")
        .amount(feed)
        .help("look at F: its point, and its unit")
        .done()
}
