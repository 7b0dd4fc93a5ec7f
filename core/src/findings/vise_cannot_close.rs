use super::{Context, Finding, Kind};
use crate::checks::workholding::ViseFault;
use crate::job::JobPlace;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "vise-cannot-close",
    severity: Severity::Fault,
    explanation: "The vise of a setup cannot hold the stock as it is when the setup begins: there is nothing between the \
                  jaws, or the stock is too wide, or the parallels do not fit. Nothing is then known of the tool's \
                  way past this vise.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: &JobPlace, why: &ViseFault) -> Finding {
    let (why, help) = sentence(ctx, why);
    ctx.at_job(KIND, place)
        .in_setup(setup)
        .message(format!("the vise cannot close on the stock: {why}"))
        .acting("this vise")
        .note("the tools' way past this vise was not looked at")
        .help(help)
        .done()
}

fn sentence(ctx: &Context<'_>, why: &ViseFault) -> (String, String) {
    let l = |mm: f64| ctx.length(mm);
    match *why {
        ViseFault::NoStock => ("no stock is left".into(), "look at the setups before this one".into()),
        ViseFault::NoGrip { grip } => {
            (format!("`grip` is {}", l(grip)), "give how far the stock sits below the jaw tops".into())
        }
        ViseFault::BelowBed { grip, jaw_height } => (
            format!("it would sit {} below the jaw tops, but the jaws are {} high", l(grip), l(jaw_height)),
            "`grip` can be no more than `jaw_height`".into(),
        ),
        ViseFault::NothingBetween { heights, jaws } => (
            format!(
                "between Z{} and Z{} nothing of it is between the jaws, which stand from {} to {} along their width",
                ctx.number(heights.0),
                ctx.number(heights.1),
                ctx.number(jaws.0),
                ctx.number(jaws.1)
            ),
            "look at `jaw_center`, `closes_along` and `grip`, and at the zero of the setup".into(),
        ),
        ViseFault::TooWide { opening, max_opening } => (
            format!("it is {} wide there and the vise opens {}", l(opening), l(max_opening)),
            "use a wider vise, turn the part, or move the jaws outside".into(),
        ),
        ViseFault::ParallelsTooThick { thickness, opening } => (
            format!("two parallels of {} do not fit into a gap of {}", l(thickness), l(opening)),
            "use thinner parallels".into(),
        ),
        ViseFault::NoRoomForParallels => (
            "the stock sits on the bed and leaves no height for parallels".into(),
            "leave `parallels` out, or make `grip` less than `jaw_height`".into(),
        ),
    }
}
