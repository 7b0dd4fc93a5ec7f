use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "axis-words-missing",
    severity: Severity::Fault,
    explanation: "G28 or G30 on a machine that sends only the named axes home needs at least one axis \
                  word.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` names no axis"))
        .acting("no axis word")
        .help("name the axes that are to go home, Z first")
        .done()
}
