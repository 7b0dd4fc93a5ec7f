use super::{Context, Finding, Kind};
use crate::geom::Box3;
use crate::job::JobPlace;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "workholding-in-stock",
    severity: Severity::Fault,
    explanation: "Something that holds the part stands where there is stock when the setup begins. The part cannot be \
                  put there, so the setup is not as the job file has it: its zero, the clamp's place or the order of the \
                  setups is wrong.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: &JobPlace,
    solid: &str,
    overlap: &Box3,
) -> Finding {
    let size = overlap.size();
    let depth = size.x.min(size.y).min(size.z);
    ctx.at_job(KIND, place)
        .in_setup(setup)
        .message(format!("{solid} stands in the stock, by {} at least", ctx.length(depth)))
        .acting("stands in the stock")
        .at(overlap.center())
        .amount(depth)
        .note(format!("they share the room from {} to {}", ctx.xyz(&overlap.min), ctx.xyz(&overlap.max)))
        .help("look at its place and at the zero of the setup")
        .done()
}
