use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "codes-exclude",
    severity: Severity::Fault,
    explanation: "Two codes of one block exclude each other: they belong to one modal group, or both want \
                  the axis words. Controls stop with an alarm or take the last one.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, first: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    let other = super::word_at(ctx, setup, first);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` and `{other}` cannot stand in one block"))
        .acting("excludes the other")
        .help("put the codes in blocks of their own, or take one out")
        .also(first, "first code")
        .done()
}
