use super::{Context, Finding, Kind, maker};
use crate::inspect::Quantity;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "feature-undecided",
    severity: Severity::Unproven,
    explanation: "It cannot be said whether this feature is as the drawing asks: a limit lies within the error of \
                  the measurement, or its walls are too much interrupted to be measured. It does not count as \
                  passed.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize, q: &Quantity) -> Finding {
    let name = maker::name(ctx, index);
    let what = maker::quantity_name(q.name);
    let message = match q.measured {
        Some(m) if q.name == "thread_depth" => {
            let (low, high) = (ctx.length(m.value - m.bound), ctx.length(m.value + m.bound));
            format!("full thread of {name} reaches {low} to {high}, by the tap's chamfer, which is not told")
        }
        Some(m) => format!("{what} of {name} is {}, on its very limit", ctx.length(m.value)),
        None => format!("{what} of {name} cannot be measured"),
    };
    let builder = maker::at_maker(ctx, KIND, q.made_by.as_ref(), Some(maker::place(ctx, index)))
        .message(message)
        .acting(format!("leaves this {what}"))
        .help(if q.name == "thread_depth" {
            "give the tap its chamfer_threads in the tool table"
        } else if q.measured.is_some() {
            "aim at the middle of the tolerance"
        } else {
            "measure it yourself"
        });
    match q.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}
