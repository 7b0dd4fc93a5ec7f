use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-not-modelled",
    severity: Severity::Unproven,
    explanation: "Cutter radius compensation is modelled in the XY plane. In another plane, or round an arc that stands \
                  upright, the path of the tool is not known, so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "cutter compensation outside the XY plane (`{word}`) is not modelled; nothing after it is proved"
        ))
        .acting("not modelled")
        .help("post the path of the tool's center")
        .done()
}
