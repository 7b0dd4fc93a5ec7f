use super::{Context, Finding, Kind, maker};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "thread-limits-differ",
    severity: Severity::Warning,
    explanation: "The drawing asks for a hole whose diameter lies outside the limits of the thread's minor \
                  diameter in the standard's table. A few usual tap drills do so by a hair. The hole is judged by \
                  the wider of the two.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize) -> Finding {
    let thread = maker::feature(ctx, index).and_then(|f| f.thread.as_ref());
    let limits = thread
        .and_then(|t| t.minor_limits)
        .map_or_else(String::new, |(low, high)| format!(": {} to {}", ctx.number(low), ctx.length(high)));
    let designation = thread.map_or("its thread", |t| t.designation.as_str());
    ctx.at_job(KIND, maker::place(ctx, index))
        .message(format!(
            "the hole of {} lies outside the limits of {designation}{limits}",
            maker::name(ctx, index)
        ))
        .acting("drawn outside the thread's limits")
        .help("ask who drew it whether the drill is meant so")
        .done()
}
