use super::{Context, Finding, Kind, maker};
use crate::inspect::{DimensionResult, DimensionValue};
use crate::job::Dimension;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "size-outside",
    severity: Severity::Fault,
    explanation: "A size of the finished part lies outside the limits of the drawing. The line is the one that \
                  left the end that is further from where the drawing has it.",
};

pub(super) fn finding(ctx: &Context<'_>, dimension: &Dimension, result: &DimensionResult) -> Finding {
    let builder = maker::at_maker(ctx, KIND, result.off.as_ref(), Some(&dimension.place));
    let DimensionValue::Size(size) = &result.value else {
        return builder.message(format!("{} is outside its limits", dimension.id)).done();
    };
    let builder = builder
        .message(format!("{} is {}{}", dimension.id, ctx.length(size.value), limits(ctx, dimension)))
        .acting(format!("leaves an end of {}", dimension.id))
        .help("compare the tool, its offset and the active zero with the drawing");
    let builder = match dimension.nominal {
        Some(nominal) => builder.amount(size.value - nominal),
        None => builder,
    };
    builder.done()
}

/// `, the drawing permits 0.8970 to 0.9030 in`.
pub(super) fn limits(ctx: &Context<'_>, dimension: &Dimension) -> String {
    match (dimension.nominal, dimension.tolerance) {
        (Some(nominal), Some(t)) => format!(
            ", the drawing permits {} to {}",
            ctx.number(nominal - t.minus),
            ctx.length(nominal + t.plus)
        ),
        _ => String::new(),
    }
}
