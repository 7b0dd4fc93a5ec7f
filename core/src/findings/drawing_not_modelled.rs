use super::{Context, Finding, Kind, maker};
use crate::solid::Unclear;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "drawing-not-modelled",
    severity: Severity::Unproven,
    explanation: "The drawing asks for something that cannot be modelled, such as a broken edge on a slanted or \
                  round wall. Nothing of it counts as passed: look at it yourself.",
};

pub(super) fn finding(ctx: &Context<'_>, what: &Unclear) -> Finding {
    let (feature, message) = match what {
        Unclear::HoleEndNotFlat { feature, end } => (
            *feature,
            format!(
                "the edge at the {} does not lie in one plane",
                maker::edge_name(ctx, *feature, Some(*end))
            ),
        ),
        Unclear::HoleEndWithoutEdge { feature, end } => (
            *feature,
            format!("no edge to break is known at the {}", maker::edge_name(ctx, *feature, Some(*end))),
        ),
        Unclear::BreakFace { feature } => (
            *feature,
            format!("{} breaks edges of a face that is no end of its shape", maker::name(ctx, *feature)),
        ),
        Unclear::EdgeGone { feature, end } => (
            *feature,
            format!("the drawing's part has no edge left at {}", maker::edge_name(ctx, *feature, *end)),
        ),
    };
    ctx.at_job(KIND, maker::place(ctx, feature))
        .message(message)
        .acting("not judged")
        .help("look at this edge yourself")
        .done()
}

/// The drawing's mesh is not closed.
pub(super) fn mesh(ctx: &Context<'_>) -> Finding {
    ctx.at_job(KIND, &ctx.job.place)
        .message("the drawing's mesh is not closed: the part cannot be compared with it")
        .acting("not judged")
        .help("write the mesh again as a closed solid")
        .done()
}

/// The drawing has cuts and no body.
pub(super) fn nothing(ctx: &Context<'_>) -> Finding {
    ctx.at_job(KIND, &ctx.job.place)
        .message("no feature of the drawing adds material: the part cannot be compared with it")
        .acting("not judged")
        .help("begin the drawing's features with the body of the part")
        .done()
}
