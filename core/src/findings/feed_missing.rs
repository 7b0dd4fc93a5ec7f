use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "feed-missing",
    severity: Severity::Fault,
    explanation: "A move at feed, but the program has given no feed (F), or F0. Under inverse time feed \
                  every block needs its own. The control stops with an alarm, or moves with the feed left \
                  from the last program.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message("move at feed without a feed")
        .acting("no F so far")
        .help("write F in this block or before it")
        .done()
}
