use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "offset-set-unproven",
    severity: Severity::Unproven,
    explanation: "The program itself sets a work offset or a register, and the job does not say enough to \
                  tell what that does: an absolute work offset needs `machine_zeros` in the setup, a length \
                  register the `gauge_length` of its tool, an increment needs the value before.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place) -> Finding {
    let word = super::word_at(ctx, setup, place);
    ctx.at_place(KIND, setup, place)
        .message(format!(
            "`{word}` sets an offset, and the job does not tell enough to know where that puts the tool"
        ))
        .acting("sets an offset")
        .help("give machine_zeros, registers and gauge_length in the job, or set offsets by hand")
        .done()
}
