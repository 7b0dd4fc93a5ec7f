use super::{Context, Finding, Kind, maker, size_outside};
use crate::inspect::{DimensionResult, DimensionValue};
use crate::job::Dimension;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "size-undecided",
    severity: Severity::Unproven,
    explanation: "A limit of this size lies within the error that the model can have, so it cannot be said \
                  whether the size is inside. Aim at the middle of the tolerance. It does not count as passed.",
};

pub(super) fn finding(ctx: &Context<'_>, dimension: &Dimension, result: &DimensionResult) -> Finding {
    let builder = maker::at_maker(ctx, KIND, result.off.as_ref(), Some(&dimension.place));
    let DimensionValue::Size(size) = &result.value else {
        return builder.message(format!("{} cannot be judged", dimension.id)).done();
    };
    builder
        .message(format!(
            "{} is {}, on its very limit{}",
            dimension.id,
            ctx.length(size.value),
            size_outside::limits(ctx, dimension)
        ))
        .acting(format!("leaves an end of {}", dimension.id))
        .amount(size.bound)
        .help("aim at the middle of the tolerance")
        .done()
}
