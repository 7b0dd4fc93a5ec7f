use super::{Context, Finding, Kind, maker};
use crate::inspect::Quantity;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "feature-outside",
    severity: Severity::Fault,
    explanation: "Something measured of a feature, such as the diameter, depth or position of a hole, lies \
                  outside the drawing's limits. The line is the one that left the worst place.",
};

pub(super) fn finding(ctx: &Context<'_>, index: usize, q: &Quantity) -> Finding {
    let name = maker::name(ctx, index);
    let what = maker::quantity_name(q.name);
    let mut builder = maker::at_maker(ctx, KIND, q.made_by.as_ref(), Some(maker::place(ctx, index)))
        .acting(format!("leaves this {what}"))
        .help("compare the tool, its path and the active zero with the drawing");
    if let Some(m) = q.measured {
        builder = builder.message(sentence(ctx, name, &what, q, m.value)).amount(m.value - q.nominal);
    }
    match q.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}

fn sentence(ctx: &Context<'_>, name: &str, what: &str, q: &Quantity, value: f64) -> String {
    match q.tolerance {
        None => format!("{name} is blocked {} below its mouth: it does not go through", ctx.length(value)),
        Some(t) if q.name == "position" => {
            format!(
                "{name} stands {} off its place, a position of {}; the drawing permits {}",
                ctx.length(value / 2.0),
                ctx.number(value),
                ctx.number(t.plus)
            )
        }
        Some(t) => format!(
            "{what} of {name} is {}, the drawing permits {} to {}",
            ctx.length(value),
            ctx.number(q.nominal - t.minus),
            ctx.length(q.nominal + t.plus)
        ),
    }
}
