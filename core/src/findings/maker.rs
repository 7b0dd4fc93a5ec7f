//! What the findings of the inspection share: the line that left a surface, and the drawing's names.

use super::{Builder, Context, Kind};
use crate::inspect::MadeBy;
use crate::job::{Feature, HoleEnd, JobPlace};

/// A finding at the line that left a surface; where that is not known, or the raw stock's surface was left, at the place
/// of the drawing that asks for it.
pub(super) fn at_maker<'a>(
    ctx: &Context<'a>,
    kind: Kind,
    maker: Option<&MadeBy>,
    asked: Option<&JobPlace>,
) -> Builder<'a> {
    let known = maker.and_then(|m| Some((m.setup?, *m.lines.first()?, m.tool)));
    let builder = match (known, asked) {
        (Some((setup, line, tool)), _) => {
            let builder = ctx.at_line(kind, setup, line);
            tool.map_or(builder.clone(), |t| builder.tool(t))
        }
        (None, Some(place)) => return ctx.at_job(kind, place),
        (None, None) => return ctx.at_job(kind, &ctx.job.place),
    };
    match asked {
        Some(place) => builder.also_in_job(place, "what the drawing asks for"),
        None => builder,
    }
}

/// The feature of the drawing.
pub(super) fn feature<'a>(ctx: &Context<'a>, index: usize) -> Option<&'a Feature> {
    ctx.job.drawing.as_ref()?.features.get(index)
}

/// The feature's name on the print.
pub(super) fn name<'a>(ctx: &Context<'a>, index: usize) -> &'a str {
    feature(ctx, index).map_or("the part", |f| f.id.as_str())
}

/// Where the drawing asks for the feature.
pub(super) fn place<'a>(ctx: &Context<'a>, index: usize) -> &'a JobPlace {
    feature(ctx, index).map_or(&ctx.job.place, |f| &f.place)
}

/// `entry of bore`, `exit of bore`, or `top edge` for a `break` feature.
pub(super) fn edge_name(ctx: &Context<'_>, index: usize, end: Option<HoleEnd>) -> String {
    match end {
        Some(HoleEnd::Entry) => format!("entry of {}", name(ctx, index)),
        Some(HoleEnd::Exit) => format!("exit of {}", name(ctx, index)),
        None => name(ctx, index).to_owned(),
    }
}

/// The words of a measured quantity.
pub(super) fn quantity_name(name: &str) -> String {
    name.replace('_', " ")
}
