use super::{Context, Finding, Kind, gouge, maker};
use crate::inspect::Region;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "leftover",
    severity: Severity::Fault,
    explanation: "The finished part has material that the drawing does not have, more than any tolerance there \
                  permits. A pass is missing, stops short, or stands too high.",
};

pub(super) fn finding(ctx: &Context<'_>, region: &Region) -> Finding {
    let index = region.feature;
    let name = index.map_or("the part", |i| maker::name(ctx, i));
    let place = index.map_or(&ctx.job.place, |i| maker::place(ctx, i));
    let depth = ctx.length(region.depth.value);
    ctx.at_job(KIND, place)
        .message(format!("{depth} of material is left at {name}"))
        .acting("not finished")
        .at_part(region.at)
        .amount(region.depth.value)
        .note(gouge::size_note(ctx, region))
        .help("look for the pass that should have taken it: left out, too short, or too high")
        .done()
}
