use super::{Context, Finding, Kind, maker};
use crate::inspect::BreakResult;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "edge-break-outside",
    severity: Severity::Fault,
    explanation: "A broken edge is smaller or larger than the drawing permits, at least at the place given. \
                  Mostly the chamfer mill's depth, or its diameter at that depth.",
};

pub(super) fn finding(ctx: &Context<'_>, feature: usize, edge: &BreakResult) -> Finding {
    let name = maker::edge_name(ctx, feature, edge.end);
    let limits = (edge.nominal - edge.tolerance.minus, edge.nominal + edge.tolerance.plus);
    let maker = edge.made_by.iter().find(|m| m.setup.is_some());
    let mut builder = maker::at_maker(ctx, KIND, maker, Some(maker::place(ctx, feature)));
    if let Some((least, greatest)) = edge.leg {
        let worst = if greatest.value > limits.1 { greatest } else { least };
        builder = builder
            .message(format!(
                "break of {name} has a leg of {}, the drawing permits {} to {}",
                ctx.length(worst.value),
                ctx.number(limits.0),
                ctx.length(limits.1)
            ))
            .amount(worst.value)
            .note(format!("its legs run from {} to {}", ctx.length(least.value), ctx.length(greatest.value)));
    }
    if let Some(lost) = edge.lost {
        builder = builder
            .message(format!("the faces beside {name} are not where the drawing has them"))
            .note(format!("seen at {} of the drawing", ctx.xyz(&lost)));
    }
    let builder = builder.acting("leaves this break").help("correct the depth or the path of this pass");
    match edge.at {
        Some(at) => builder.at_part(at).done(),
        None => builder.done(),
    }
}
