use super::{Context, Finding, Kind, maker};
use crate::inspect::Quantity;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "tap-drill-wrong",
    severity: Severity::Fault,
    explanation: "The hole under a thread is too wide, so that the thread strips, or too narrow, so that the tap \
                  breaks: its diameter lies outside the limits of the minor diameter of that thread, or the tap \
                  itself had to cut the hole's wall. Mostly a drill of the neighbouring size.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize, q: &Quantity) -> Finding {
    let name = maker::name(ctx, index);
    let thread = maker::feature(ctx, index).and_then(|f| f.thread.as_ref());
    let designation = thread.map_or("its thread", |t| t.designation.as_str());
    let mut builder = maker::at_maker(ctx, KIND, q.made_by.as_ref(), Some(maker::place(ctx, index)))
        .acting("leaves this hole under the thread")
        .help("compare this drill with the tap drill of the thread");
    if let (Some(m), Some(t)) = (q.measured, q.tolerance) {
        let (low, high) = (q.nominal - t.minus, q.nominal + t.plus);
        builder = builder.amount(m.value - q.nominal).message(if low <= m.value && m.value <= high {
            format!("the hole of {name} is so narrow that the tap cuts its wall: {designation}")
        } else {
            format!(
                "the hole of {name} is {}, {designation} permits {} to {}",
                ctx.length(m.value),
                ctx.number(low),
                ctx.length(high)
            )
        });
    }
    match q.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}
