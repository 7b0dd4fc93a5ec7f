use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "compensation-look-ahead",
    severity: Severity::Unproven,
    explanation: "Between two moves of a contour stand more blocks without movement in the plane than the \
                  control looks across (`control.compensation_blocks_ahead` of the machine file, 1 without \
                  it). It may not see the next move, and then goes round the corner another way: too far, or \
                  into the part.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, blocks: u32, most: u32) -> Finding {
    ctx
        .at_place(KIND, setup, place)
        .message(format!("{blocks} blocks without movement in the plane stand before this corner; the control looks across {most}"))
        .acting("this corner")
        .help("put these blocks before or behind the contour")
        .done()
}
