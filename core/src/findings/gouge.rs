use super::{Context, Finding, Kind, maker};
use crate::inspect::Region;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "gouge",
    severity: Severity::Fault,
    explanation: "The finished part has lost material that the drawing keeps, deeper than any tolerance there permits. \
                  The line is the first that cut too deep there. Nothing puts metal back: look at that block, at \
                  the zero and at the tool before the first part is cut.",
};

pub(super) fn finding(ctx: &Context<'_>, region: &Region) -> Finding {
    let index = region.feature;
    let name = index.map_or("the part", |i| maker::name(ctx, i));
    let asked = index.map(|i| maker::place(ctx, i));
    let depth = ctx.length(region.depth.value);
    let builder = maker::at_maker(ctx, KIND, region.made_by.as_ref(), asked)
        .message(format!("cuts {depth} too deep into {name}"))
        .acting("the first cut too deep here")
        .at_part(region.at)
        .amount(region.depth.value)
        .note(size_note(ctx, region))
        .help("compare this block with the drawing: its coordinate, the active zero and the tool in the spindle");
    match region
        .left_by
        .as_ref()
        .filter(|l| Some(*l) != region.made_by.as_ref())
        .and_then(|l| l.lines.first())
    {
        Some(line) => builder.note(format!("the deepest place was left by line {line}")).done(),
        None => builder.done(),
    }
}

/// How large the place is.
pub(super) fn size_note(ctx: &Context<'_>, region: &Region) -> String {
    let size = region.bounds.size();
    format!(
        "the place is {} x {} x {} {} in size",
        ctx.number(size.x),
        ctx.number(size.y),
        ctx.number(size.z),
        ctx.job.unit.sign()
    )
}
