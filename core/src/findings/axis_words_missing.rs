use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "axis-words-missing",
    severity: Severity::Fault,
    explanation: "A code needs at least one axis word: G28 or G30 on a machine that sends only the named axes \
                  home, a shift, a mirror or a probing move, and, on controls that are so strict, a motion code \
                  alone in its block or a full circle that names no end (`motion_without_axes` and \
                  `circle_without_end` in the machine's control).",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    let number = word.get(1..).and_then(|digits| digits.trim().parse::<u32>().ok());
    let help = match number {
        Some(28 | 30) => "name the axes that are to go home, Z first",
        Some(0..=3) => "name at least one axis beside the code, an arc's end in its plane",
        _ => "name the axes that the block is for",
    };
    ctx.at_place(KIND, setup, place)
        .message(format!("`{word}` names no axis"))
        .acting("no axis word")
        .help(help)
        .done()
}
