use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "word-missing",
    severity: Severity::Fault,
    explanation: "A code stands without a word that it needs: a canned cycle without its depth, its R \
                  plane, its peck or dwell, G43 without H. The control stops with an alarm or takes a \
                  number left from before.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, letter: char) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` needs {letter}, which is missing"))
        .acting(format!("{letter} missing"))
        .help(format!("write {letter} in this block"))
        .done()
}
