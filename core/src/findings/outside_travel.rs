use super::{Context, Finding, Kind};
use crate::geom::Axis;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "outside-travel",
    severity: Severity::Fault,
    explanation: "The program sends an axis beyond the machine's travel. The control stops with an alarm, often in the \
                  middle of a cut. Set the vise elsewhere, or turn the part.",
};

pub(super) fn finding(
    ctx: &Context<'_>,
    setup: usize,
    first: usize,
    axis: Axis,
    (reached, end): (f64, f64),
) -> Finding {
    let letter = axis.letter().to_ascii_uppercase();
    let beyond = (reached - end).abs();
    ctx.at_move(KIND, setup, first)
        .message(format!("{letter} goes {} beyond the machine's travel", ctx.length(beyond)))
        .acting(format!("{letter} ends before this"))
        .amount(beyond)
        .note(format!(
            "machine coordinate {letter}{}; the travel ends at {letter}{}",
            ctx.number(reached),
            ctx.number(end)
        ))
        .help("set the part elsewhere on the table, or look at the machine zero of this offset")
        .done()
}

pub(super) fn too_short(ctx: &Context<'_>, setup: usize, axis: Axis, (needed, room): (f64, f64)) -> Finding {
    let letter = axis.letter().to_ascii_uppercase();
    ctx.at_setup(KIND, setup)
        .message(format!(
            "the program needs {} along {letter}, and the machine has {}",
            ctx.length(needed),
            ctx.length(room)
        ))
        .amount(needed - room)
        .help("turn the part, or split the program over two setups")
        .done()
}
