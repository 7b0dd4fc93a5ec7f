use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "not-while-active",
    severity: Severity::Fault,
    explanation: "The control refuses this code while another mode is on: a canned cycle or a probing move \
                  under inverse time feed, a change of plane, units or offsets under cutter compensation. It \
                  stops with an alarm.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    place: Place,
    mode: Option<Place>,
    what: &'static str,
) -> Finding {
    let word = super::word_at(ctx, setup, place);
    let builder = ctx
        .at_place(KIND, setup, place)
        .message(format!("`{word}` cannot be used while {what} is on"))
        .acting("refused here")
        .help("end the mode before this block, or write the move in another way");
    match mode {
        Some(mode) => builder.also(mode, "took effect here").done(),
        None => builder.done(),
    }
}
