use super::{Context, Finding, Kind, maker};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "thread-missing",
    severity: Severity::Fault,
    explanation: "The drawing asks for a thread in this hole, and no tap went into it.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize) -> Finding {
    let thread = maker::feature(ctx, index).and_then(|f| f.thread.as_ref());
    let designation = thread.map_or("thread", |t| t.designation.as_str());
    ctx.at_job(KIND, maker::place(ctx, index))
        .message(format!("{} was not tapped: {designation}", maker::name(ctx, index)))
        .acting("no tap went in here")
        .help("add the tapping cycle, or look where it went")
        .done()
}
