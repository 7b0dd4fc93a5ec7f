use super::{Context, Finding, Kind};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "pieces-left",
    severity: Severity::Warning,
    explanation: "The stock has come apart: besides the largest piece there is at least one more. A piece that is \
                  cut free is thrown about by the tool, unless something holds it.",
};

pub(super) fn finding(ctx: &Context<'_>, pieces: usize) -> Finding {
    ctx.at_job(KIND, &ctx.job.place)
        .message(format!("{} are left of the stock", super::words::count(pieces, "piece", "pieces")))
        .acting("came apart")
        .number(f64::from(u32::try_from(pieces).unwrap_or(u32::MAX)))
        .help("look where the stock is cut through, and what holds the piece that comes free")
        .done()
}
