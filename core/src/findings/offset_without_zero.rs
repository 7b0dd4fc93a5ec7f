use super::{Context, Finding, Kind};
use crate::job::WorkOffset;
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "offset-without-zero",
    severity: Severity::Fault,
    explanation: "The program uses a work offset for which the job gives no zero in this setup. On the \
                  machine it holds whatever was left there, so nothing after it is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, offset: WorkOffset) -> Finding {
    let zeros = ctx.setup(setup).map_or(&[][..], |s| &s.zeros);
    let listed: Vec<String> = zeros.iter().map(|(o, _)| o.to_string()).collect();
    ctx.at_place(KIND, setup, place)
        .message(format!("{offset} has no zero in this setup"))
        .acting("zero not listed")
        .help("use the offset that is set for this setup, or list its zero in the job")
        .note(format!("listed: {}", listed.join(", ")))
        .done()
}
